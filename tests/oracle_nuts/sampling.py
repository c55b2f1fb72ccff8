"""Four chains of NUTS, and how well they mixed."""

from __future__ import annotations

import time
from typing import Any

import jax
import numpy as np
import numpyro
from numpyro.diagnostics import effective_sample_size, gelman_rubin
from numpyro.infer import MCMC, NUTS

from tests.oracle_nuts.model import arrays, model
from tests.oracle_nuts.scenarios import SCENARIOS, scenario

CHAINS = 4

numpyro.enable_x64()


def sampled(name: str, *, draws: int, warmup: int) -> dict[str, Any]:
    """Return mean and sd of every run, and R-hat, effective draws and seconds of the sampling.

    Parameters
    ----------
    name
        Of a scenario.
    draws, warmup
        Of each of four chains.
    """
    data = arrays(scenario(name))
    chains = MCMC(
        NUTS(model, target_accept_prob=0.8),
        num_warmup=warmup,
        num_samples=draws,
        num_chains=CHAINS,
        chain_method="vectorized",
        progress_bar=False,
    )
    began = time.perf_counter()
    chains.run(jax.random.PRNGKey(SCENARIOS[name][0]), data)
    runs = np.asarray(chains.get_samples(group_by_chain=True)["run"])
    seconds = time.perf_counter() - began
    return {
        "scenario": name,
        "numpyro": numpyro.__version__,
        "chains": CHAINS,
        "draws": draws,
        "warmup": warmup,
        "seconds": round(seconds, 1),
        "r_hat": round(float(np.max(gelman_rubin(runs))), 4),
        "effective": round(float(np.min(effective_sample_size(runs)))),
        "mean": np.round(runs.mean(axis=(0, 1)), 4).tolist(),
        "sd": np.round(runs.std(axis=(0, 1)), 4).tolist(),
    }
