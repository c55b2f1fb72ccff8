"""A small bench of invented wearers and lasts, written as files."""

from __future__ import annotations

from pathlib import Path

from heelball.fit.wearer import DayState, Signs, Wearer
from heelball.foot.reading import Reading, ReadingOf
from heelball.foot.vector import FEET

#: What is read of a foot, and the plain marks on the men's gauge.
MARKED: tuple[ReadingOf, ...] = ("length", "ball", "breadth")
PLAIN = ("10", "10 1/2", "C 3/4")

NORTHMOOR = """\
schema = "heelball/last/1"
code = "N7"
maker = "Northmoor"
label_scale = "us-men"
sizes = "6-12 by 1/2, 13, 14"
widths = ["B", "D", "EE"]
reference_width = "D"
[advice]
order = -0.5
from = "ball"
[terms]
publishes_advice = true
exchange_days = 30
"""

KESTREL = """\
schema = "heelball/last/1"
code = "K2"
maker = "Kestrel Bench"
label_scale = "eu"
sizes = "39-48"
toe = "pointed"
[terms]
publishes_advice = false
exchange_days = 0
"""

SMALL = """\
schema = "heelball/last/1"
code = "S1"
maker = "Small & Sons"
label_scale = "uk"
sizes = "4-6"
"""


def readings(foot: str, marks: tuple[str, str, str] = PLAIN, scale: str = "gauge-men") -> str:
    """Return the readings of a foot as TOML."""
    return "\n".join(
        f'[[reading]]\nfoot = "{foot}"\nwhat = "{what}"\nscale = "{scale}"\nvalue = "{value}"\n'
        for what, value in zip(MARKED, marks, strict=True)
    )


def wearer_toml(code: str, *more: str, population: str = "men", both: bool = True) -> str:
    """Return a wearer file: plain marks on the right foot and, unless not `both`, the left."""
    feet = ("left", "right") if both else ("right",)
    head = f'schema = "heelball/wearer/1"\ncode = "{code}"\nname = "T. Nobody"\npopulation = "{population}"\n'
    return "\n".join([head, *(readings(foot) for foot in feet), *more])


def write(path: Path, text: str) -> Path:
    """Write a file and return its path."""
    path.write_text(text, encoding="utf-8")
    return path


def lasts_folder(folder: Path, *texts: str) -> Path:
    """Write last files into a new folder."""
    folder.mkdir()
    for number, text in enumerate(texts or (NORTHMOOR, KESTREL, SMALL)):
        write(folder / f"last-{number}.toml", text)
    return folder


def plain_wearer(code: str = "W1", day: tuple[DayState, ...] = (), heel: bool = False) -> Wearer:
    """Return the wearer of the plain marks, as a value."""
    marks = zip(MARKED, PLAIN, strict=True)
    read = [Reading(foot, what, "gauge-men", value) for what, value in marks for foot in FEET]
    if heel:
        read.append(Reading("left", "heel", "mm", "70", method="caliper"))
    return Wearer(code, "men", tuple(read), day=day, signs=Signs())
