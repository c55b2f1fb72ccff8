"""Three problems that NUTS and learning both solve: 20 lasts of 4 makers, scatter 3 mm, lapse 0.02."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from heelball.learn.habits import Habits
from tests.learn.told import World, world

#: By name: the seed, and what is unlike the plain case. 75 wearers and 4 pairs each are 300 try-ons,
#: 20 wearers and 3 pairs each are 3 a last.
SCENARIOS: Final[dict[str, tuple[int, dict[str, Any]]]] = {
    "measured": (101, {"wearers": 75, "each": 4}),
    "unmeasured": (102, {"wearers": 75, "each": 4, "measured": False}),
    "three": (103, {"wearers": 20, "each": 3}),
}

#: Warm-up and draws of each of four chains, for more than 2,000 effective draws of every run.
DRAWS: Final = {"measured": (700, 1500), "unmeasured": (800, 3000), "three": (600, 1200)}

SCATTER: Final = 3.0
LAPSE: Final = 0.02


def scenario(name: str) -> World:
    """Return the lasts, wearers and try-ons of a scenario; the same on every machine."""
    seed, more = SCENARIOS[name]
    return world(
        np.random.default_rng(seed), lasts=20, makers=4, lapse=LAPSE, scatter_sd=np.full(5, SCATTER), **more
    )


def held_habits() -> Habits:
    """Return the habits that both hold fixed."""
    shipped = Habits.default()
    return Habits(shipped.half_width, shipped.taste_sd, np.full(5, SCATTER), LAPSE)
