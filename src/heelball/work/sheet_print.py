"""The use case behind ``heelball sheet print``: the sheet for a wearer's feet, set or described."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final, cast

from heelball.errors import InputError
from heelball.fit.wearer import Wearer
from heelball.foot.posterior import feet_posterior
from heelball.foot.vector import FEET, Foot
from heelball.sheet.described import describe
from heelball.sheet.layout import HOLDS, TWO_PAGES_HOLD, needs_two
from heelball.sheet.marking import Paper
from heelball.sheet.printing import sheet_pdf
from heelball.work.new_file import check_folder, write_new_bytes
from heelball.work.wearer_file import read_wearers

# A foot is known by readings with their ±: the sheet is chosen for one this many sd longer.
_SDS: Final = 2.0
_SHORTEST: Final = 150.0


def chosen_feet(foot: str) -> tuple[Foot, ...]:
    """Return the feet of ``left``, ``right`` or ``both``."""
    return FEET if foot == "both" else (cast("Foot", foot),)


def two_pages_for(paper: Paper, foot_length: float | None, place: str) -> bool:
    """Return whether a foot of a length [mm] needs two pages; where none is told, one is taken.

    Raises
    ------
    InputError
        Where no sheet holds it.
    """
    if foot_length is None:
        return False
    if not _SHORTEST <= foot_length <= TWO_PAGES_HOLD:
        wanted = f"{_SHORTEST:g} to {TWO_PAGES_HOLD:g} mm, what a sheet holds"
        raise InputError.at(place, f"a foot of {foot_length:.0f} mm", wanted)
    return needs_two(paper, foot_length)


def longest_of(wearer: Wearer, feet: Sequence[Foot]) -> float | None:
    """Return a length [mm] that none of a wearer's feet is likely to pass; None where nothing was read."""
    if not wearer.readings:
        return None
    posterior = feet_posterior(wearer.readings, wearer.gauge_marks, wearer.population)
    known = [figure for foot in feet if (figure := posterior.measure(foot, "length")) is not None]
    return max((mean + _SDS * sd for mean, sd in known), default=None)


def length_told(wearer_file: Path | None, foot_length: float | None, feet: Sequence[Foot]) -> float | None:
    """Return the length [mm] that the sheet is chosen by; None where none is told.

    Raises
    ------
    InputError
        Where the wearer file cannot be read, or both are given.
    """
    if wearer_file is None:
        return foot_length
    if foot_length is not None:
        raise InputError.at("--foot-length", "a wearer file beside it", "one of the two")
    wearers = read_wearers([wearer_file])
    if len(wearers) != 1:
        raise InputError.at(wearer_file.name, f"{len(wearers)} wearers", "one wearer")
    return longest_of(wearers[0], feet)


def print_sheet(paper: Paper, foot: str, foot_length: float | None, out: Path) -> list[str]:
    """Write the sheet's PDF, and return what is said of it.

    Raises
    ------
    InputError
        Where no sheet holds the foot, or the file cannot be written.
    MissingExtra
        Where typst is not installed.
    """
    feet = chosen_feet(foot)
    two = two_pages_for(paper, foot_length, "--foot-length")
    check_folder(out, "--out")
    write_new_bytes(out, sheet_pdf(paper, feet, two=two), "--out")
    holds = TWO_PAGES_HOLD if two else HOLDS[paper]
    said = [f"{out}: for feet up to {holds:g} mm, {'two pages' if two else 'one page'} a foot."]
    if foot_length is None:
        said.append("For a longer foot name the wearer's file or --foot-length.")
    return said


def describe_sheet(paper: Paper, foot: str, foot_length: float | None) -> dict[str, Any]:
    """Return the same sheet in numbers (``heelball/sheet/1``).

    Raises
    ------
    InputError
        Where no sheet holds the foot.
    """
    two = two_pages_for(paper, foot_length, "--foot-length")
    return describe(paper, chosen_feet(foot), two=two)
