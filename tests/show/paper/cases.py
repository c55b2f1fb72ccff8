"""Wearers and lasts whose papers are tested and looked at; every name is invented."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from attrs import evolve

from heelball.fit.answers import Answer
from heelball.fit.choice import answer
from heelball.fit.wearer import DayState, OwnedPair, Signs, Wearer
from heelball.foot.reading import Reading
from heelball.last.values import Advice, Last, MeasuredPair, Terms
from tests.fittings import alike, gauge, last, mm, wearer

DAY = date(2026, 11, 25)

LASTS = (
    last(6, 14, -0.5, code="N7", terms=Terms(True, 30), toe="almond"),
    last(6, 14, None, code="Q4", terms=Terms(False, None)),
    last(6, 13, 0.5, code="S30", terms=Terms(True, 0), toe="hard-cap", heel_height=45.0),
)
LASTS = (
    LASTS[0],
    evolve(LASTS[1], maker="Quernmere"),
    evolve(LASTS[2], maker="Sallowfirth", closing="pull-on"),
)

FEET = (
    gauge("left", "length", "10"),
    gauge("left", "ball", "10 1/2"),
    gauge("left", "breadth", "C 3/4", line="10 1/2"),
    gauge("right", "length", "10 1/4"),
    gauge("right", "ball", "11"),
    gauge("right", "breadth", "D", line="11"),
)
LONG_DAY = (
    DayState("morning", 0.4, 2.0, "ordinary", 0.0),
    DayState("evening", 0.6, 3.0, "hot", 0.0),
)
EVERY_SIGN = Signs(
    urgent=True,
    numbness=True,
    wound=True,
    circulation=True,
    deformity=True,
    orthosis=True,
    changed=True,
    pain_weeks=6.0,
)
#: Names that are markup in one language or another, or turn the direction of writing.
MARKUP = '#panic() $x$ *b* _i_ `r` @ref <script>alert(1)</script> // /* \\u{1F} = ~ [#read("x")]'
TURNED = "אבג\u202edoc\u202c محمد"
#: 2,000 letters with a break and without one.
LONG = "Tarrowdene " * 181 + "Brackensk"
UNBROKEN = "W" * 2000


def ordinary() -> Wearer:
    return wearer(*FEET, day=LONG_DAY, code="W12")


def one_foot() -> Wearer:
    return wearer(*FEET[:3], day=LONG_DAY, code="W13")


def part_read() -> Wearer:
    return wearer(*FEET[:4], mm("right", "girth", 255, method="tape"), code="W14")


def urgent() -> Wearer:
    return evolve(ordinary(), signs=EVERY_SIGN)


def child() -> Wearer:
    rows = [Reading(foot, "length", "gauge-child", "12") for foot in ("left", "right")]
    return wearer(*rows, code="W15")


def unserved() -> Wearer:
    """Return feet far too broad for any label of `NARROW`."""
    return wearer(*alike("10", "10 1/2", "EEE", line="10 1/2"), day=LONG_DAY, code="W16")


NARROW = (last(6, 12, None, widths="A", code="N2"),)


def biggest() -> Wearer:
    """Return a foot about as long and broad as the gauge reads."""
    return wearer(*alike("18", "18", "EEEE", line="18"), code="W17")


def everything_at_once() -> tuple[Wearer, Sequence[Last]]:
    """Return a wearer and a last about whom there is as much to say as there can be, under long names."""
    rows = tuple(
        evolve(reading, date=date(2020, 1, 1))
        for reading in (*FEET, *FEET, mm("left", "heel", 90), mm("left", "instep", 280))
    )
    pairs = (OwnedPair("N7", Fraction(10), "D"),)
    day = tuple(DayState(f"{LONG} {count}", 0.1, 1.0 + count / 3, "hot", 4.0) for count in range(10))
    measured = tuple(
        MeasuredPair(Fraction(10), "D", 300.0 + 9 * count, 190.0 + 12 * count, 230.0 + 15 * count)
        for count in range(6)
    )
    wide = last(
        6,
        14,
        None,
        code=LONG,
        toe="hard-cap",
        heel_height=60.0,
        closing="pull-on",
        terms=Terms(False, 0),
        measured=measured,
        advice=(Advice("ball", Fraction(1)), Advice("length", Fraction(-2))),
    )
    lasts = [
        evolve(wide, maker=LONG),
        *(evolve(wide, maker=f"{count} {UNBROKEN}", code=f"{count} {LONG}") for count in range(4)),
    ]
    return evolve(wearer(*rows, day=day, pairs=pairs, code=UNBROKEN), signs=EVERY_SIGN), lasts


def answered(who: Wearer, lasts: Sequence[Last] = LASTS) -> Answer:
    return answer(who, lasts, today=DAY)
