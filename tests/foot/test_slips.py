"""Slips of the pen: found where they are, not where they are not (MODEL 2)."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve

from heelball.foot import evidence
from heelball.foot.posterior import feet_posterior
from heelball.foot.reading import Reading
from heelball.foot.slips import likely_slips
from heelball.foot.vector import FEET
from tests.fittings import alike, gauge, mm, random_wearers

ORDINARY = alike("10", "10", "D", line="10")


def changed(rows, index: int, **more) -> tuple[Reading, ...]:
    return tuple(evolve(row, **more) if i == index else row for i, row in enumerate(rows))


def kinds(rows, population="men") -> set[str]:
    return {slip.kind for slip in likely_slips(rows, population)}


def test_an_ordinary_foot_has_no_slip():
    assert likely_slips(ORDINARY, "men") == ()
    assert likely_slips((), "men") == ()


def test_one_reading_of_the_other_populations_gauge():
    # One of three left lengths stands against the women's marks: 10 there is 9 here.
    rows = changed(ORDINARY * 3, 0, scale="gauge-women", value="10")
    found = likely_slips(rows, "men")[0]
    assert (found.kind, found.readings, found.meant[0].scale) == ("other-scale", (0,), "gauge-men")


def test_all_readings_of_the_other_populations_gauge():
    # A woman of average breadth two letters narrower than a man's: read all through on the men's
    # marks she would be an AA foot a size longer.
    rows = alike("10", "10", "AA", line="10")
    found = likely_slips(rows, "women")[0]
    assert (found.kind, found.readings) == ("other-scale", tuple(range(6)))
    assert {reading.scale for reading in found.meant} == {"gauge-women"}
    assert likely_slips(alike("10", "10", "B", line="10", sex="women"), "women") == ()


def test_inches_written_as_centimetres():
    rows = [Reading(foot, "length", "cm", "27", method="ruler") for foot in FEET]
    assert kinds(rows) == set()
    # 10 2/3 in is 27 cm; written "10.7 cm" it is a foot of 107 mm.
    rows[0] = Reading("left", "length", "cm", "10.7", method="ruler")
    found = likely_slips(rows, "men")[0]
    assert (found.kind, found.readings, found.meant[0].scale) == ("inch-for-cm", (0,), "in")
    assert found.odds > 1000


def test_length_and_ball_exchanged():
    rows = (
        *(mm("left", what, value) for what, value in (("length", 200), ("ball", 271))),
        mm("right", "length", 271),
    )
    found = likely_slips(rows, "men")[0]
    assert (found.kind, found.readings) == ("length-for-ball", (0, 1))
    assert [reading.value for reading in found.meant] == ["271", "200"]


def test_left_and_right_exchanged():
    # Lengths say the left foot is far longer, balls and breadths that the right is.
    rows = (
        gauge("left", "length", "11"), gauge("right", "length", "9"),
        gauge("left", "ball", "9"), gauge("right", "ball", "11"),
        mm("left", "breadth", 97, "caliper"), mm("right", "breadth", 104, "caliper"),
    )  # fmt: skip
    found = [slip for slip in likely_slips(rows, "men") if slip.kind == "left-for-right"]
    assert found
    assert all(len(slip.readings) == 2 for slip in found)


def test_seated_but_written_standing():
    # One of seven scans was seated: 280 / 1.015.
    rows = [*(mm("left", "length", 280, "scan") for _ in range(6)), mm("left", "length", 275.9, "scan")]
    found = next(slip for slip in likely_slips(rows, "men") if slip.kind == "seated")
    assert found.readings == (6,)
    assert found.meant[0].load == "seated"
    assert "seated" not in kinds([*rows[:-1], mm("left", "length", 279, "scan")])


def test_digits_exchanged():
    rows = [mm(foot, what, value) for foot in FEET for what, value in (("length", 271), ("ball", 201))]
    rows[0] = mm("left", "length", 217)
    found = likely_slips(rows, "men")[0]
    assert (found.kind, found.readings, found.meant[0].value) == ("digits", (0,), "271")


def test_one_size_out():
    rows = changed(ORDINARY * 4, 0, value="11")
    found = next(slip for slip in likely_slips(rows, "men") if slip.kind == "one-step")
    assert (found.readings, found.meant[0].value) == ((0,), "10")
    # A step is half as likely beforehand as another slip that would explain the same.
    other = next(slip for slip in likely_slips(rows, "men") if slip.kind == "other-scale")
    assert found.odds == pytest.approx(other.odds / 2, rel=1e-6)


def test_one_letter_out():
    rows = changed((*ORDINARY, *ORDINARY, *ORDINARY), 2, value="EEE")
    found = likely_slips(rows, "men")[0]
    assert (found.kind, found.readings, found.meant[0].value) == ("one-step", (2,), "EE")


def test_odds_are_the_prior_odds_times_the_ratio_of_likelihoods():
    # One length by ruler, 217 for 271: both densities are of one normal number.
    sd = np.sqrt(172.63082302984898 + 1 + 1.5**2 + 1 / 12)
    mean = 270.87261146496814
    slips = {
        slip.meant[0].value: slip
        for slip in likely_slips([mm("left", "length", 217)], "men")
        if slip.kind == "digits"
    }
    wanted = 0.01 * np.exp(-(((271 - mean) / sd) ** 2) / 2 + ((217 - mean) / sd) ** 2 / 2)
    assert slips["271"].odds == pytest.approx(wanted, rel=1e-9)


def test_the_likeliest_stands_first_and_all_are_above_one():
    rows = changed((*ORDINARY, *ORDINARY), 0, value="14")
    odds = [slip.odds for slip in likely_slips(rows, "men")]
    assert odds
    assert odds == sorted(odds, reverse=True)
    assert min(odds) > 1


def test_nothing_is_repaired_in_silence():
    rows = [mm("left", "length", 217)]
    found = feet_posterior(rows, (), "men").measure("left", "length")
    assert found is not None
    assert found[0] < 225


def test_false_alarms_are_few(generator):
    alarms = {
        sex: sum(bool(likely_slips(who.readings, sex)) for who in random_wearers(generator, 200, sex))
        for sex in ("men", "women")
    }
    # Measured with 600 of each: 3 men, 2 women.
    assert max(alarms.values()) <= 4, f"wearers of 200 with a slip named: {alarms}"


def test_a_length_four_sizes_out_is_mostly_found(generator):
    found = 0
    for who in random_wearers(generator, 50):
        right_length = who.readings[3].value.split()
        wrong = changed(who.readings, 3, value=" ".join([str(int(right_length[0]) + 4), *right_length[1:]]))
        found += any(3 in slip.readings for slip in likely_slips(wrong, "men"))
    assert found >= 45, f"found in {found} of 50"


def test_readings_of_two_sittings_are_not_exchanged_by_a_slip():
    rows = (
        gauge("left", "length", "11"), gauge("right", "length", "9"),
        gauge("left", "ball", "9"), gauge("right", "ball", "11"),
    )  # fmt: skip
    assert "left-for-right" in kinds(rows)
    assert "left-for-right" not in kinds([evolve(row, sitting=row.foot) for row in rows])


@pytest.mark.parametrize("scale", ["gauge-men", "gauge-child"])
def test_many_readings_are_weighed_some_at_a_time_with_the_same_odds(monkeypatch, scale):
    rows = [*(evolve(row, scale=scale) for row in ORDINARY), mm("left", "length", 300)]
    found = likely_slips(rows, "men")
    assert len(found) > 1
    monkeypatch.setattr(evidence, "_NUMBERS_AT_ONCE", 7 * len(rows) ** 2)
    again = likely_slips(rows, "men")
    assert [slip.readings for slip in again] == [slip.readings for slip in found]
    assert [slip.odds for slip in again] == pytest.approx([slip.odds for slip in found])
