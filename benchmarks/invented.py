"""Wearers and lasts drawn from a seed, as values and as the files a person would write."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import numpy as np

from heelball.fit.wearer import DayState, Wearer
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET
from heelball.last.built_for import basis_of, built_for
from heelball.last.values import Advice, Label, Last, MeasuredPair
from heelball.scales.catalogue import size_scale
from heelball.units import format_fraction

_WIDTHS = ("B", "C", "D", "E", "EE")
_SIZES = 12
_LETTERS = ("B", "C", "D", "E")


def day() -> tuple[DayState, ...]:
    """Return a day of three states: morning, day, evening in a thick sock."""
    return (
        DayState("morning", 0.2, 2.0, "rest", 0.0),
        DayState("day", 0.5, 2.0, "ordinary", 0.0),
        DayState("evening", 0.3, 3.0, "hot", 0.0),
    )


def wearer(code: str, generator: np.random.Generator, states: tuple[DayState, ...] = ()) -> Wearer:
    """Return a man with gauge readings of length, ball and breadth of both feet."""
    halves = int(generator.integers(16, 24))
    readings: list[Reading] = []
    for foot in FEET:
        length, ball = (Fraction(halves + int(generator.integers(-1, 2)), 2) for _ in range(2))
        letter = str(generator.choice(_LETTERS))
        readings += [
            Reading(foot, "length", "gauge-men", format_fraction(length)),
            Reading(foot, "ball", "gauge-men", format_fraction(ball)),
            Reading(foot, "breadth", "gauge-men", letter, line=format_fraction(ball)),
        ]
    return Wearer(code, "men", tuple(readings), day=states)


def last(number: int, generator: np.random.Generator) -> Last:
    """Return a last of 12 sizes in 5 widths: with advice, a measured pair, both, or neither."""
    lowest = int(generator.integers(12, 18))
    labels = tuple(Label(Fraction(lowest + i, 2), width) for i in range(_SIZES) for width in _WIDTHS)
    kind = number % 4
    advice = (Advice("ball", Fraction(int(generator.integers(-2, 3)), 2)),) if kind in (0, 2) else ()
    measured = (_pair(labels[len(labels) // 2], generator),) if kind in (1, 2) else ()
    return Last(
        f"L{number:05d}", f"Maker {number % 97:02d}", "us-men", labels, advice=advice, measured=measured
    )


def _pair(label: Label, generator: np.random.Generator) -> MeasuredPair:
    length = np.array(float(size_scale("us-men").foot_length(label.size)))
    flex, inside, _, girth, _ = built_for(length, np.array(0.0), basis_of("us-men", "men"))
    off = generator.normal(scale=4.0, size=3).round(1)
    return MeasuredPair(
        label.size,
        label.width,
        inside_length=round(float(inside + off[0]), 1),
        flex_line=round(float(flex + off[1]), 1),
        ball_girth=round(float(girth + off[2]), 1),
    )


def lasts(count: int, generator: np.random.Generator) -> tuple[Last, ...]:
    """Return `count` lasts of 60 labels each."""
    return tuple(last(number, generator) for number in range(count))


def write_lasts(lasts: tuple[Last, ...], folder: Path) -> None:
    """Write one TOML file for each last."""
    folder.mkdir()
    for one in lasts:
        (folder / f"{one.code}.toml").write_text(_last_text(one), encoding="utf-8")


def _last_text(one: Last) -> str:
    first, final = one.labels[0].size, one.labels[-1].size
    lines = [
        'schema = "heelball/last/1"',
        f'code = "{one.code}"',
        f'maker = "{one.maker}"',
        f'label_scale = "{one.label_scale}"',
        f'sizes = "{format_fraction(first)}-{format_fraction(final)} by 1/2"',
        "widths = [" + ", ".join(f'"{width}"' for width in _WIDTHS) + "]",
    ]
    for advice in one.advice:
        assert advice.order is not None
        lines += ["[[advice]]", f"order = {float(advice.order)}", f'from = "{advice.basis}"']
    for pair in one.measured:
        lines += ["[[measured]]", f'size = "{format_fraction(pair.size)}"', f'width = "{pair.width}"']
        lines += [f"inside_length_mm = {pair.inside_length}", f"flex_line_mm = {pair.flex_line}"]
        lines += [f"ball_girth_mm = {pair.ball_girth}"]
    return "\n".join(lines) + "\n"


def write_crew(wearers: tuple[Wearer, ...], file: Path) -> None:
    """Write the readings of many wearers as one CSV, a reading a row."""
    with file.open("w", newline="", encoding="utf-8") as stream:
        rows = csv.writer(stream)
        rows.writerow(("wearer", "population", "foot", "what", "scale", "value", "line"))
        for one in wearers:
            for r in one.readings:
                rows.writerow((one.code, one.population, r.foot, r.what, r.scale, r.value, r.line or ""))


def write_wearer(one: Wearer, file: Path) -> None:
    """Write one wearer and the states of the day as TOML."""
    lines = ['schema = "heelball/wearer/1"', f'code = "{one.code}"', f'population = "{one.population}"']
    for r in one.readings:
        lines += ["[[reading]]", f'foot = "{r.foot}"', f'what = "{r.what}"', f'scale = "{r.scale}"']
        lines += [f'value = "{r.value}"'] + ([f'line = "{r.line}"'] if r.line else [])
    for state in one.day:
        lines += ["[[day]]", f'name = "{state.name}"', f"share = {state.share}", f"sock = {state.sock}"]
        lines += [f'swelling = "{state.swelling}"', f"insole_mm = {state.insole}"]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
