"""Photographs spoiled in one way each: refused, and for that reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from attrs import evolve

from heelball.sheet.reading import read_photograph
from heelball.sheet.values import Circumstances, Refused
from tests.sheet.photographs import Choices, Photograph, chosen, take
from tests.sheet.photographs.camera import Curl

Spoiling = Callable[[Choices], dict[str, Any]]


def _view(**changes: Any) -> Spoiling:
    return lambda sound: {"view": evolve(sound.view, **changes)}


def _light(**changes: Any) -> Spoiling:
    return lambda sound: {"light": evolve(sound.light, **changes)}


def _manner(**changes: Any) -> Spoiling:
    return lambda sound: {"manner": evolve(sound.manner, **changes)}


def _printed_small(sound: Choices) -> dict[str, Any]:
    told = Circumstances(tool=sound.manner.tool, bar=(128.5, None))
    return {
        "printed": evolve(sound.printed, scale=0.857, stretch=1.0),
        "told": told,
        "view": evolve(sound.view, size=(3024, 4032)),
        "two": False,
        "length": 230.0,
    }


#: How each is spoiled, and the reasons that may be given: one, or two where two causes look the same.
KINDS: dict[str, tuple[Spoiling, tuple[str, ...]]] = {
    "small": (_view(size=(600, 800), tilt_deg=3.0), ("too_small",)),
    "hidden markers": (_view(hidden=9), ("markers", "no_sheet")),
    "blurred": (_light(blur_mm=1.1), ("blurred", "no_sheet", "markers")),
    "dark": (_light(exposure=0.07), ("dark", "no_sheet", "markers")),
    "glare": (_light(glare=55.0), ("glare", "markers", "outline_open")),
    "oblique": (_view(tilt_deg=48.0, size=(3024, 4032)), ("oblique",)),
    "bent": (_view(curl=Curl((28.0, 28.0, 28.0, 28.0), 2.0, 14.0)), ("bent",)),
    "printed small": (_printed_small, ("print_scale",)),
    "open at the heel": (_manner(open_heel=45.0, on_wall=True, gaps=0), ("outline_open",)),
    "open at the toes": (_manner(toe_gap=26.0, gaps=0, doubled=0.0), ("outline_open",)),
    "two outlines": (_manner(doubled=9.0, doubled_all=True, gaps=0), ("two_outlines",)),
    "no inner tick": (_manner(ticks=("outer",)), ("ticks",)),
    "no ticks": (_manner(ticks=()), ("ticks",)),
    "the other foot": (_manner(swapped_ticks=True), ("wrong_foot",)),
    "turned": (_manner(turn_deg=13.0), ("turned", "off_sheet")),
}


def spoiled(kind: str, seed: int) -> Photograph:
    """Return a photograph spoiled in one way; all else about it is sound."""
    spoil, _ = KINDS[kind]
    sound = chosen(np.random.default_rng(seed))
    sound = evolve(sound, two=False, length=None, printed=evolve(sound.printed, join=(0.0, 0.0, 0.0)))
    changes: dict[str, Any] = {"two": False, "length": None, "printed": sound.printed} | spoil(sound)
    if kind == "turned":
        changes["length"] = 225.0
    return take(seed, **changes)


def reason_of(photograph: Photograph) -> str:
    """Return why a photograph is refused, or ``read``."""
    try:
        read_photograph(photograph.content, "spoiled", photograph.told)
    except Refused as refusal:
        return refusal.reason
    return "read"


@pytest.mark.parametrize("kind", KINDS)
def test_a_spoiled_photograph_is_refused_for_its_reason(kind: str) -> None:
    """Two of each kind."""
    for seed in (5001, 5003):
        assert reason_of(spoiled(kind, seed)) in KINDS[kind][1], (kind, seed)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_no_more_than_one_in_a_hundred_is_read(kind: str) -> None:
    """Twenty of each kind, three hundred in all: none read, nearly all for the reason."""
    reasons = Counter(reason_of(spoiled(kind, 6000 + seed)) for seed in range(20))
    print(f"{kind:18} {dict(reasons)}")  # noqa: T201
    assert reasons["read"] == 0
    assert sum(reasons[one] for one in KINDS[kind][1]) >= 19
