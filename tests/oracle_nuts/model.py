"""The model of MODEL 3, 5 and 9 in NumPyro, written from its formulas and not from `heelball.learn`."""

from __future__ import annotations

from typing import Any

import jax.numpy as jnp
import numpy as np
import numpyro
import numpyro.distributions as dist
from jax.scipy.stats import norm

from heelball.fit.wearer import PLACES
from heelball.foot.posterior import feet_posterior
from heelball.foot.vector import FEET
from heelball.last.values import Label
from heelball.learn.problem import boot_at
from tests.learn.told import HI, LO, ONE_SIZE, PLACE_SD, SIZES_SD, TASTE_SD, World
from tests.oracle_nuts.scenarios import LAPSE, SCATTER

#: Places of one foot among its measures: ball, length, breadth, girth, heel breadth.
MEASURES = [1, 0, 2, 3, 4]
OFFSET_SD = np.array([3.0, 1.0, 1.0])
#: All makers' mean run.
TOGETHER_SD = 2.0
ADVICE_SD, FLEX_LINE_SD = 0.15, 2.0


def arrays(seen: World) -> dict[str, Any]:
    """Return a scenario as arrays: what was told, and each wearer's feet given the gauge's offsets."""
    last_at = {last.code: i for i, last in enumerate(seen.lasts)}
    wearer_at = {code: i for i, code in enumerate(seen.wearers)}
    means, slopes, factors = [], [], []
    for one in seen.wearers.values():
        (part,) = feet_posterior(one.readings, one.gauge_marks, one.population).components
        feet = np.r_[MEASURES, 5 + np.array(MEASURES)]
        c = np.arange(10, 13)
        cov = part.state.cov
        slope = np.linalg.solve(cov[np.ix_(c, c)], cov[np.ix_(c, feet)]).T
        left = cov[np.ix_(feet, feet)] - slope @ cov[np.ix_(c, feet)]
        taste = np.tile(np.diag(TASTE_SD**2), (2, 2))
        means.append(part.state.mean[feet] - slope @ part.state.mean[c])
        slopes.append(slope)
        factors.append(np.linalg.cholesky(left + taste))
    rows = [
        (
            wearer_at[told.wearer],
            last_at[told.last],
            FEET.index(foot) * 5 + PLACES.index(place),
            ("little", "right", "much").index(word),
            boot_at(seen.lasts[last_at[told.last]], told.label)[PLACES.index(place)],
        )
        for told in seen.try_ons
        for (foot, place), word in told.verdicts.items()
    ]
    wearer, last, slot, word, boot = (np.array(column) for column in zip(*rows, strict=True))
    lo, hi = LO[slot % 5], HI[slot % 5]
    pairs = [last.measured[0] for last in seen.lasts if last.measured]
    # All of one label of one scale, in the average letter: neither slope of a grade is in it.
    built = boot_at(seen.lasts[0], Label(pairs[0].size, pairs[0].width))
    makers = sorted({last.maker for last in seen.lasts})
    return {
        "mean": np.array(means),
        "slope": np.array(slopes),
        "factor": np.array(factors),
        "wearer": wearer,
        "last": last,
        "slot": slot,
        "boot": boot,
        "lower": np.where(word == 0, -np.inf, np.where(word == 1, lo, hi)),
        "upper": np.where(word == 0, lo, np.where(word == 1, hi, np.inf)),
        "maker": np.array([makers.index(last.maker) for last in seen.lasts]),
        "framed": np.array([bool(last.advice) for last in seen.lasts]),
        "advised": np.array(
            [-float(last.advice[0].order or 0) if last.advice else 0.0 for last in seen.lasts]
        ),
        "flexes": np.array([i for i, last in enumerate(seen.lasts) if last.measured]),
        "flex_off": np.array([float(pair.flex_line or 0) - built[0] for pair in pairs]),
    }


def model(data: dict[str, Any]) -> None:
    """Words given runs, feet and tastes; every latent a standard normal, scaled."""
    lasts, makers, wearers = len(data["maker"]), int(data["maker"].max()) + 1, len(data["mean"])
    half = np.sqrt(0.5)
    offsets = numpyro.sample("offsets", dist.Normal(0, 1).expand([3]).to_event(1)) * OFFSET_SD
    together = numpyro.sample("together", dist.Normal(0, 1).expand([5]).to_event(1)) * TOGETHER_SD
    maker_s = numpyro.sample("maker_s", dist.Normal(0, 1).expand([makers]).to_event(1)) * SIZES_SD * half
    maker_q = numpyro.sample("maker_q", dist.Normal(0, 1).expand([makers, 5]).to_event(2)) * PLACE_SD * half
    own_s = numpyro.sample("own_s", dist.Normal(0, 1).expand([lasts]).to_event(1)) * SIZES_SD * half
    own_q = numpyro.sample("own_q", dist.Normal(0, 1).expand([lasts, 5]).to_event(2)) * PLACE_SD * half
    size = maker_s[data["maker"]] + own_s
    run = size[:, None] * ONE_SIZE + maker_q[data["maker"]] + own_q + together
    run = run - data["framed"][:, None] * jnp.concatenate([offsets, jnp.zeros(2)])
    numpyro.deterministic("run", run)
    numpyro.factor(
        "advice", jnp.where(data["framed"], norm.logpdf(data["advised"], size, ADVICE_SD), 0.0).sum()
    )
    numpyro.factor("flex lines", norm.logpdf(data["flex_off"], run[data["flexes"], 0], FLEX_LINE_SD).sum())
    drawn = numpyro.sample("fit", dist.Normal(0, 1).expand([wearers, 10]).to_event(2))
    fit = data["mean"] + data["slope"] @ offsets + jnp.einsum("wij,wj->wi", data["factor"], drawn)
    margin = data["boot"] + run[data["last"], data["slot"] % 5] - fit[data["wearer"], data["slot"]]
    meant = norm.cdf((data["upper"] - margin) / SCATTER) - norm.cdf((data["lower"] - margin) / SCATTER)
    numpyro.factor("words", jnp.log((1 - LAPSE) * meant + LAPSE / 3).sum())
