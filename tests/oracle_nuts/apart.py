"""How far learning and NUTS are apart, and whether that is as near as was asked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from attrs import frozen

from heelball.learn.runs import Runs

#: How well chains have to have mixed before they say anything.
R_HAT: Final = 1.01
EFFECTIVE: Final = 2_000

#: How many times faster learning has to be in one run.
FASTER: Final = 100


@frozen
class Apart:
    """Means of runs in sds of NUTS's, and sds as a share of NUTS's."""

    means_rms: float
    means_worst: float
    sds_95th: float
    sds_worst: float

    def misses(self) -> list[str]:
        """Return what is further apart than was asked."""
        asked = {"means_rms": 0.10, "means_worst": 0.30, "sds_95th": 0.10, "sds_worst": 0.20}
        return [
            f"{name} {getattr(self, name):.3f}, wanted {most:.2f} at most"
            for name, most in asked.items()
            if not getattr(self, name) <= most
        ]


def apart(runs: Runs, nuts: Mapping[str, Any]) -> Apart:
    """Return how far the runs of lasts are from NUTS's of the same problem."""
    sd = np.array(nuts["sd"])
    off = (np.array([one.run.mean for one in runs.lasts]) - np.array(nuts["mean"])) / sd
    wide = np.abs(np.sqrt([np.diagonal(one.run.cov) for one in runs.lasts]) / sd - 1)
    return Apart(
        means_rms=float(np.sqrt((off**2).mean())),
        means_worst=float(np.abs(off).max()),
        sds_95th=float(np.quantile(wide, 0.95)),
        sds_worst=float(wide.max()),
    )


def unmixed(nuts: Mapping[str, Any]) -> list[str]:
    """Return why chains say nothing yet."""
    said = []
    if not nuts["r_hat"] < R_HAT:
        said.append(f"R-hat {nuts['r_hat']}, wanted below {R_HAT}")
    if not nuts["effective"] > EFFECTIVE:
        said.append(f"{nuts['effective']} effective draws, wanted over {EFFECTIVE}")
    return said
