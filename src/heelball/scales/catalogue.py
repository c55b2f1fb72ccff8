"""Every size scale Heelball knows, with the source of its line.

Lengths are exact: a barleycorn is 1/3 in, a Paris point 20/3 mm (S4, S5, S10). Gauge, UK and
US scales build a last 2/3 in longer than the foot; the European line from the foot has two
points of toe room (S3, S42). Children's scales follow the printed marking table (S3), whose toe
room grows with size, so that no straight line serves.
"""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

from heelball.errors import UnreadableText
from heelball.package_data import child_sizes
from heelball.scales.size_scale import RESTART, Numbering, Rows, ScalePopulation, SizeScale, Straight
from heelball.units import quoted

BARLEYCORN: Final = Fraction(254, 30)
PARIS_POINT: Final = Fraction(20, 3)

_HALF: Final = Fraction(1, 2)


def _barleycorn(
    name: str, title: str, population: ScalePopulation | None, last_shift: Fraction, top: int, source: str
) -> SizeScale:
    """Return an English or American scale: ``last = (size + last_shift) / 3`` inches."""
    gauge = name.startswith("gauge-")
    return SizeScale(
        name=name,
        title=title,
        population=population,
        measures="foot" if gauge else "last",
        line=Straight(last_shift - 2, BARLEYCORN),
        last_line=None if gauge else Straight(last_shift, BARLEYCORN),
        step=_HALF,
        # No adult takes a 0, and a 0 in a file is a slip; children's scales do start there.
        lowest=Fraction(0) if population == "child" else _HALF,
        highest=Fraction(top),
        restarts=population == "child",
        source=source,
    )


def _millimetres(name: str, title: str, step: Fraction, source: str) -> SizeScale:
    # From 90 mm, a multiple of both steps: these scales number children's feet too.
    return _foot_scale(
        name, title, None, Straight(Fraction(0), Fraction(1)), step, (90, 360), "millimetres", source
    )


def _foot_scale(
    name: str,
    title: str,
    population: ScalePopulation | None,
    line: Straight,
    step: Fraction,
    ends: tuple[int, int],
    numbering: Numbering,
    source: str,
) -> SizeScale:
    return SizeScale(
        name=name,
        title=title,
        population=population,
        measures="foot",
        line=line,
        step=step,
        lowest=Fraction(ends[0]),
        highest=Fraction(ends[1]),
        numbering=numbering,
        source=source,
    )


def _child_table(
    name: str, title: str, column: Literal["eu", "uk", "us"], last_line: Straight, source: str
) -> SizeScale:
    lengths = tuple(Fraction(row["foot_length_mm"]) for row in child_sizes())
    sizes: list[Fraction] = []
    for row in child_sizes():
        size = Fraction(row[column])
        sizes.append(size + RESTART if sizes and size < sizes[-1] else size)
    return SizeScale(
        name=name,
        title=title,
        population="child",
        measures="last",
        line=Rows(tuple(sizes), lengths),
        last_line=last_line,
        step=_HALF,
        lowest=sizes[0],
        highest=sizes[-1],
        restarts=column != "eu",
        source=source,
    )


def _jis(name: str, title: str, population: ScalePopulation, ends: tuple[int, int]) -> SizeScale:
    line = Straight(Fraction(0), Fraction(10))
    return _foot_scale(name, title, population, line, _HALF, ends, "centimetres", "S28")


@cache
def size_scales() -> Mapping[str, SizeScale]:
    """Return every size scale by its name, in the order in which people look for them."""
    scales = (
        _barleycorn("gauge-men", "foot gauge, men", "men", Fraction(24), 20, "S7 S8"),
        _barleycorn("gauge-women", "foot gauge, women", "women", Fraction(23), 20, "S7 S8"),
        _barleycorn("gauge-child", "foot gauge, child", "child", Fraction(35, 3), 19, "S8"),
        _barleycorn("us-men", "US men", "men", Fraction(24), 20, "S4 S7"),
        _barleycorn("us-women", "US women, standard (men + 1)", "women", Fraction(23), 20, "S7 S10"),
        _barleycorn(
            "us-women-common", "US women, common (men + 1 1/2)", "women", Fraction(45, 2), 20, "S4 S7"
        ),
        _child_table("us-child", "US child", "us", Straight(Fraction(35, 3), BARLEYCORN), "S3 S4"),
        _barleycorn("us-men-old", "US men, old", "men", Fraction(99, 4), 20, "S10"),
        _barleycorn("us-women-old", "US women, old", "women", Fraction(95, 4), 20, "S10"),
        _barleycorn("us-boys-old", "US boys, old", "child", Fraction(47, 4), 19, "S10 S23"),
        _barleycorn("us-girls-old", "US girls, old", "child", Fraction(43, 4), 19, "S10"),
        _barleycorn("uk", "UK", None, Fraction(25), 19, "S4 S5 S12"),
        _child_table("uk-child", "UK child", "uk", Straight(Fraction(12), BARLEYCORN), "S3 S5 S12"),
        SizeScale(
            name="eu",
            title="European",
            population=None,
            measures="last",
            line=Straight(Fraction(-2), PARIS_POINT),
            last_line=Straight(Fraction(0), PARIS_POINT),
            step=_HALF,
            lowest=Fraction(29),
            highest=Fraction(56),
            source="S3 S4 S42",
        ),
        _child_table("eu-child", "European child", "eu", Straight(Fraction(0), PARIS_POINT), "S3 S4"),
        _millimetres("mondopoint", "Mondopoint, steps of 5 mm", Fraction(5), "S1 S2"),
        _millimetres("mondopoint-7.5", "Mondopoint, steps of 7.5 mm", Fraction(15, 2), "S1 S47"),
        _jis("jis-men", "Japan, men", "men", (18, 36)),
        _jis("jis-women", "Japan, women", "women", (18, 36)),
        _jis("jis-child", "Japan, child", "child", (10, 26)),
        _millimetres("cn", "China", Fraction(5), "S29 S30"),
        _foot_scale(
            "cn-old",
            "China, old numbers",
            None,
            Straight(Fraction(10), Fraction(5)),
            Fraction(1),
            (26, 62),
            "sizes",
            "S23",
        ),
        _millimetres("kr", "Korea", Fraction(5), "S31"),
        _millimetres("gost", "GOST, steps of 5 mm", Fraction(5), "S33 S47"),
        _millimetres("gost-7.5", "GOST, steps of 7.5 mm", Fraction(15, 2), "S33 S47"),
    )
    return MappingProxyType({scale.name: scale for scale in scales})


def size_scale(name: str) -> SizeScale:
    """Return the size scale called `name`.

    Raises
    ------
    UnreadableText
        Where there is none; the nearest names are offered.
    """
    scale = size_scales().get(name)
    if scale is None:
        raise UnreadableText(f"no size scale {quoted(name)}", f"one of {', '.join(_nearest_names(name))}")
    return scale


def _nearest_names(name: str) -> list[str]:
    """Return the scales that begin like `name`, else those spelled like it, else all."""
    plain = name.strip().lower()
    begun = [known for known in size_scales() if plain and known.startswith(plain)]
    return begun or get_close_matches(plain, size_scales()) or list(size_scales())


#: The foot gauge of each population.
GAUGE_OF: Final[Mapping[str, str]] = MappingProxyType(
    {"men": "gauge-men", "women": "gauge-women", "child": "gauge-child"}
)
