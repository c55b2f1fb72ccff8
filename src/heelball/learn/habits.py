"""How wearers speak: the bands they call right, their tastes, their scatter and their lapses (MODEL 9)."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from attrs import frozen

from heelball.fit.verdict import taste_sd, thresholds
from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Array
from heelball.package_data import defaults

#: Order of the rows of half-widths.
STIFFNESSES: Final = ("soft", "medium", "stiff")


@frozen(eq=False)
class Habits:
    """What all wearers share in how they report.

    Parameters
    ----------
    half_width
        Half the width of the band called right, by stiffness and place [mm], shape (3, 5); its
        centre is pinned, since try-ons see only the sum of thresholds and runs.
    taste_sd, scatter_sd
        Between wearers, and from one report to the next [mm], shapes (5,).
    lapse
        How often a word is said whatever the margin.
    """

    half_width: Array
    taste_sd: Array
    scatter_sd: Array
    lapse: float

    @classmethod
    def default(cls) -> Habits:
        """Return what is held before any try-on."""
        return _default()

    def bands(self, stiffness: str) -> tuple[Array, Array]:
        """Return lo and hi of each place for a boot of that stiffness [mm], shapes (5,)."""
        lo, hi = thresholds(stiffness)
        half = self.half_width[STIFFNESSES.index(stiffness)]
        centre = (lo + hi) / 2
        return centre - half, centre + half


@lru_cache(maxsize=1)
def _default() -> Habits:
    bands = np.array([thresholds(stiffness) for stiffness in STIFFNESSES])
    verdict = defaults()["verdict"]
    return Habits(
        half_width=(bands[:, 1] - bands[:, 0]) / 2,
        taste_sd=taste_sd(),
        scatter_sd=np.array([verdict[place]["scatter_sd"] for place in PLACES]),
        lapse=float(defaults()["learn"]["lapse"]),
    )
