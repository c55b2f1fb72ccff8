"""What a question to a maker is worth: against the next reading's own computation and against brute force."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from heelball.fit.choice import answer
from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import Wearer
from heelball.foot.prior import offset_prior
from heelball.gaussian.normal import Gaussian
from heelball.last.values import Advice, Last, MeasuredPair
from heelball.learn.question import typical_wearers, worth_asking
from tests.fittings import gauge
from tests.learn.told import LABELS, ONE_SIZE, PLACE_SD, SIZES_SD

LAST = Last("N7", "Northmoor", "us-men", LABELS)


def reader() -> Wearer:
    readings = [gauge(foot, what, "10") for foot in ("left", "right") for what in ("length", "ball")]
    breadth = [gauge(foot, "breadth", "D", line="10") for foot in ("left", "right")]
    return Wearer("W1", "men", (*readings, *breadth))


def gains(last: Last) -> dict[str, float]:
    return {one.asked: one.gain for one in worth_asking(last, [reader()])}


def test_questions_stand_by_what_they_save() -> None:
    found = worth_asking(LAST)
    assert [one.gain for one in found] == sorted((one.gain for one in found), reverse=True)
    assert all(one.gain >= 0 for one in found)
    # A drawing tells all that its three measures tell.
    by = {one.asked: one.gain for one in found}
    assert by["drawing"] >= max(by["flex_line"], by["inside_length"], by["ball_girth"]) - 1e-3
    assert by["drawing"] > 0.05


@pytest.mark.parametrize("asked", ["flex_line", "inside_length"])
def test_against_measured_pairs_drawn_from_what_is_known(asked: str) -> None:
    # Draw what the pair would measure, tell the last of it, and choose anew.
    who, generator = reader(), np.random.default_rng(5)
    bare = answer(who, [LAST], detailed=0).choices[0].loss
    label = LABELS[len(LABELS) // 2]
    place, sd = {"flex_line": (0, 2.0), "inside_length": (1, 1.5)}[asked]
    size_sd = (6.27, 8.467)[place] * 0.6
    from heelball.learn.problem import boot_at

    built = boot_at(LAST, label)[place]
    after = []
    for z in generator.standard_normal(150):
        found = built + z * np.sqrt(size_sd**2 + 2.5**2 + sd**2)
        pair = MeasuredPair(
            label.size,
            label.width,
            flex_line=float(found) if asked == "flex_line" else None,
            inside_length=float(found) if asked == "inside_length" else None,
        )
        after.append(answer(who, [evolve(LAST, measured=(pair,))], detailed=0).choices[0].loss)
    brute, error = bare - np.mean(after), np.std(after) / np.sqrt(len(after))
    # Telling of a label brings the grades' slopes in, which the imagined answer leaves out.
    assert gains(LAST)[asked] == pytest.approx(brute, abs=3 * error + 0.03)


def test_what_is_known_already_is_not_worth_asking() -> None:
    measured = MeasuredPair(Fraction(10), "D", flex_line=205.0)
    assert gains(evolve(LAST, measured=(measured,)))["flex_line"] < 0.5 * gains(LAST)["flex_line"]
    advised = evolve(LAST, advice=(Advice("ball", order=Fraction(0)),))
    assert gains(advised)["advice"] < 0.25 * gains(LAST)["advice"]


def bare_belief(shrunk: float = 1.0) -> KnownRun:
    """Return what is known of a run before anything, as a learned run; `shrunk`: its sd against that."""
    run = SIZES_SD**2 * np.outer(ONE_SIZE, ONE_SIZE) + np.diag(PLACE_SD**2)
    return KnownRun(offset_prior().joined(Gaussian(np.zeros(5), shrunk**2 * run)), 0)


def test_a_learned_run_that_holds_nothing_is_asked_about_as_one_never_learned() -> None:
    learned = {one.asked: one.gain for one in worth_asking(LAST, [reader()], {"N7": bare_belief()})}
    plain = gains(LAST)
    for asked in ("flex_line", "inside_length", "ball_girth", "drawing"):
        assert learned[asked] == pytest.approx(plain[asked], abs=1e-3)
    # Advice of a run that is apart from the gauge tells of the gauge's offsets too.
    assert learned["advice"] == pytest.approx(plain["advice"], abs=0.08)


def test_what_try_ons_taught_is_not_worth_asking() -> None:
    learned = worth_asking(LAST, [reader()], {"N7": bare_belief(shrunk=0.3)})
    plain = gains(LAST)
    assert all(one.gain < 0.5 * plain[one.asked] for one in learned)


def test_typical_wearers_are_of_the_labels_population() -> None:
    women = typical_wearers(evolve(LAST, label_scale="us-women"))
    assert {one.population for one in women} == {"women"}
    lengths = [float(one.readings[0].value) for one in women]
    assert lengths == sorted(lengths)
    assert 215 < lengths[0] < lengths[-1] < 270
