"""Photographs of drawn sheets whose truth is known, made from the real PDF: `take(seed)`."""

from __future__ import annotations

from typing import Any

import numpy as np
from attrs import evolve, field, frozen

from heelball.foot.vector import Foot as Side
from heelball.sheet.drawing import measure
from heelball.sheet.layout import HOLDS, pages_of
from heelball.sheet.marking import Paper
from heelball.sheet.values import Array, Circumstances, DrawnLine, Ticks, Tool
from tests.sheet.photographs.camera import Curl
from tests.sheet.photographs.definitions import measured
from tests.sheet.photographs.floors import PATTERNED, PLAIN
from tests.sheet.photographs.hand import Drawn, Manner, drawn_round, set_down
from tests.sheet.photographs.light import Light
from tests.sheet.photographs.outlines import Foot, random_foot
from tests.sheet.photographs.paper import Print, foot_to_world
from tests.sheet.photographs.picture import View, photographed

#: A foot that a helper sees reach over the paper, or all but, is set down again [mm].
LEAST_SPARE = 3.0

_TOOLS: tuple[Tool, ...] = ("pencil", "pen", "felt-pen")


@frozen
class Choices:
    """All that is chosen for one photograph; `chosen` makes sound ones."""

    side: Side
    paper: Paper
    two: bool
    length: float | None
    manner: Manner
    printed: Print
    told: Circumstances
    view: View
    light: Light


@frozen(eq=False)
class Photograph:
    """A photograph of known truth.

    Parameters
    ----------
    content
        The file.
    choices
        How it came about.
    drawn
        The foot's drawing, true mm in the foot's frame.
    on_line, apart
        The five measures of the mean drawn line [mm]: by the product's definitions, and by those
        written apart from it.
    foot
        Length, both ball lengths and breadth of the foot itself [mm].
    """

    content: bytes = field(repr=False)
    choices: Choices
    drawn: Drawn = field(repr=False)
    on_line: Array
    apart: Array
    foot: Array

    @property
    def told(self) -> Circumstances:
        """What the wearer told."""
        return self.choices.told


def take(seed: int, **choices: Any) -> Photograph:
    """Return the photograph of a seed: sound where nothing else is chosen.

    Parameters
    ----------
    seed
        Of all that is left to chance.
    choices
        Fields of `Choices` that are set instead.
    """
    chance = np.random.default_rng(seed)
    made = evolve(chosen(chance), **choices)
    stood, drawn = _standing(made, chance)
    content = photographed(
        made.paper, made.side, made.printed, made.view, made.light, drawn, chance, two=made.two
    )
    line = DrawnLine(drawn.line, np.ones(len(drawn.line), dtype=bool), drawn.closed, 0.0)
    ticks = Ticks(drawn.inner, drawn.outer, 0.0, 0.0)
    spoiled = made.manner.swapped_ticks or made.manner.turn_deg is not None
    return Photograph(
        content,
        made,
        drawn,
        np.full(5, np.nan) if spoiled else measure(line, ticks).values,
        measured(drawn.line, drawn.inner, drawn.outer, on_wall=made.manner.on_wall).values,
        _of_foot(stood),
    )


def _standing(made: Choices, chance: np.random.Generator) -> tuple[Foot, Drawn]:
    """Return a foot as it stood and its drawing, all of it on the paper but where a turn is chosen."""
    most = HOLDS[made.paper] - 8.0
    while True:
        foot = random_foot(chance, made.length)
        if not made.two and np.ptp(foot.outline[:, 0]) > most:
            foot = random_foot(chance, most)
        stood = set_down(foot, made.manner, chance)
        drawn = drawn_round(stood, made.manner, chance)
        if made.manner.turn_deg is not None or _spare(made, drawn.line) > LEAST_SPARE:
            return stood, drawn


def _spare(made: Choices, line: Array) -> float:
    """Return how far within the paper's edges a drawn line stays [mm]."""
    page = pages_of(made.paper, made.side, two=made.two)[0]
    size = np.array([page.size[0] * (2 if made.two else 1), page.size[1]])
    points = foot_to_world(page, made.printed, line)
    return float(np.minimum(points, size - points).min())


def _of_foot(foot: Foot) -> Array:
    return measured(foot.outline, foot.inner, foot.outer, on_wall=False).values[:4]


def chosen(chance: np.random.Generator) -> Choices:
    """Return what makes a sound photograph, drawn at random."""
    two = bool(chance.random() < 0.12)
    paper: Paper = "a4" if chance.random() < 0.6 else "letter"
    side: Side = "left" if chance.random() < 0.5 else "right"
    tool = _TOOLS[int(chance.choice(3, p=[0.5, 0.3, 0.2]))]
    manner = Manner(
        tool=tool,
        on_wall=bool(chance.random() < 0.8),
        gaps=int(chance.choice(3, p=[0.6, 0.25, 0.15])),
        doubled=float(chance.uniform(0.8, 1.8)) if chance.random() < 0.15 else 0.0,
        faint=bool(chance.random() < 0.12),
    )
    printed, told = _print(chance, tool, two=two)
    return Choices(
        side,
        paper,
        two,
        float(chance.uniform(255.0, 325.0)) if two else None,
        manner,
        printed,
        told,
        _view(chance, two=two),
        _light(chance),
    )


def _print(chance: np.random.Generator, tool: Tool, *, two: bool) -> tuple[Print, Circumstances]:
    """Return a print and what is told of it: at 90 to 105 % where a bar or a card says so."""
    witness = chance.choice(["bar", "bars", "card", "none"], p=[0.15, 0.2, 0.15, 0.5])
    scale = chance.choice([1.0, 0.97, chance.uniform(0.9, 1.05)])
    if witness == "none":
        # As unsure as the reading takes such a print to be.
        scale = 1.0 + np.clip(chance.normal(scale=0.01), -0.03, 0.03)
    if two:
        # Two sheets side by side: the second is printed as the first is, and reaches as far.
        scale = max(scale, 0.97)
    stretch = 1.0 + chance.normal(scale=0.001)
    join = (chance.uniform(-1.0, 3.0), chance.uniform(-3.0, 3.0), chance.uniform(-2.0, 2.0))
    printed = Print(
        float(scale),
        float(stretch),
        ink=float(chance.uniform(0.5, 0.95)),
        join=join if two and chance.random() < 0.6 else (0.0, 0.0, 0.0),
    )
    told_tool = tool if chance.random() < 0.8 else None

    def ruler(true: float) -> float:
        return float(round(2 * (true + chance.normal(scale=0.25))) / 2)

    bar = card = None
    if witness in ("bar", "bars"):
        across = ruler(150.0 * scale) if witness == "bars" else None
        bar = (ruler(150.0 * scale * stretch), across)
    if witness == "card":
        card = float(round(200.0 * (scale + chance.normal(scale=0.001))) / 2)
    return printed, Circumstances(tool=told_tool, bar=bar, card=card)


def _view(chance: np.random.Generator, *, two: bool) -> View:
    messenger = bool(chance.random() < 0.2) and not two
    tilt = chance.uniform(0.0, 18.0 if messenger else 33.0)
    return View(
        size=(1200, 1600)
        if messenger
        else ((2448, 3264) if chance.random() < 0.5 and not two else (3024, 4032)),
        tilt_deg=float(tilt),
        toward_deg=float(chance.uniform(0.0, 360.0)),
        roll_deg=float(
            chance.uniform(0.0, 360.0)
            if chance.random() < 0.4 and not messenger
            else chance.normal(scale=5.0)
        ),
        lens_mm=float(chance.uniform(24.0, 30.0)),
        bulge=float(chance.uniform(-0.03, 0.03)),
        room=float(chance.uniform(1.02, 1.08) if messenger else chance.uniform(1.03, 1.3)),
        curl=Curl(
            tuple(chance.uniform(0.0, 2.0, 4).tolist()),
            float(chance.uniform(0, 0.3)),
            float(chance.uniform(0, 0.3)),
        ),
        turned=int(chance.integers(0, 4)),
        tag=str(chance.choice(["true", "none", "false"], p=[0.6, 0.25, 0.15])),
        mirrored=bool(chance.random() < 0.05),
        focal_told=bool(chance.random() < 0.6) and not messenger,
        quality=60 if messenger else int(chance.integers(65, 96)),
    )


def _light(chance: np.random.Generator) -> Light:
    floors = PLAIN + PATTERNED
    return Light(
        floor=str(chance.choice(floors)),
        gradient=float(chance.uniform(0.0, 0.4)),
        toward_deg=float(chance.uniform(0.0, 360.0)),
        shadow=float(chance.uniform(0.2, 0.45)) if chance.random() < 0.3 else 0.0,
        scribbles=int(chance.choice(4, p=[0.4, 0.3, 0.2, 0.1])),
        tape=bool(chance.random() < 0.5),
        sock=bool(chance.random() < 0.2),
        noise=float(chance.uniform(1.0, 5.0)),
        blur_mm=float(chance.uniform(0.0, 0.12)),
    )
