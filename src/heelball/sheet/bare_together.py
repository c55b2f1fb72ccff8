"""Several photographs of one bare foot: what they say together, where they agree."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np
from attrs import evolve

from heelball.errors import PhotographError
from heelball.package_data import defaults
from heelball.sheet.bare import BareReading
from heelball.sheet.values import FOOT

# What another photograph of the same foot is off by, beside what both have wrong alike [mm]: judgement.
_OWN_SD: Final = 1.5
# Given points are of one photograph, so that several never say where the balls are.
_WORDS: Final = {"length": "length", "breadth": "breadth"}


def bare_together(readings: Sequence[BareReading]) -> BareReading:
    """Return what several photographs of one bare foot say together.

    What is unsure is the height of one and the same foot's edge, so that a second photograph makes
    the ± no smaller.

    Raises
    ------
    PhotographError
        Where they contradict each other, with a sentence for each contradiction.
    """
    apart = _contradictions(readings)
    if apart:
        remedy = "They are of two feet, or one of them is wrong: leave one out."
        raise PhotographError(" ".join(apart), remedy)
    first = readings[0]
    names = ", ".join(one.photo for one in readings)
    remarks = dict.fromkeys(remark for one in readings for remark in one.remarks)
    mean = np.mean([one.mean for one in readings], axis=0)
    cov = np.mean([one.cov for one in readings], axis=0)
    return evolve(first, photo=names, mean=mean, cov=cov, remarks=tuple(remarks))


def _contradictions(readings: Sequence[BareReading]) -> list[str]:
    allowed = defaults()["sheet"]["contradiction_sd"] * np.sqrt(2) * _OWN_SD
    remarks = []
    for what, words in _WORDS.items():
        i = FOOT.index(what)
        apart = [
            (abs(one.mean[i] - other.mean[i]), one.mean[i], other.mean[i])
            for one, other in combinations(readings, 2)
            if abs(one.mean[i] - other.mean[i]) > allowed
        ]
        if apart:
            _, low, high = max(apart)
            remarks.append(
                f"The photographs do not agree: {words} is {low:.1f} mm in one and {high:.1f} mm in another."
            )
    return remarks
