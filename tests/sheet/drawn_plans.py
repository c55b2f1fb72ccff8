"""Plans of drawn sheets whose truth is known, drawn straight from above: no camera, a moment each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import evolve, frozen

from heelball.sheet.drawing import measure
from heelball.sheet.ink import Ink, ink_of
from heelball.sheet.line import find_line
from heelball.sheet.ticks import find_ticks
from heelball.sheet.values import Array, Drawing, DrawnLine, Mask, Plan, Ticks, Tool
from tests.sheet.photographs.hand import Drawn, Manner, Stroke, drawn_round, set_down
from tests.sheet.photographs.outlines import random_foot

#: The longest foot that the sheet holds [mm].
HOLDS: Final = 297.0
PX_PER_MM: Final = 4
_FINER: Final = 2  # strokes are drawn so many times as finely
_FROM: Final = np.array([-15.0, -85.0])
_TO: Final = np.array([322.0, 85.0])
_TOOLS: Final[tuple[Tool, ...]] = ("pencil", "pencil", "pen", "felt-pen")

_Float = npt.NDArray[np.float32]
#: What lies or is drawn on the paper beside line and ticks: the picture in, the picture out.
Thing = Callable[[_Float], _Float]


@frozen(eq=False)
class DrawnPlan:
    """A plan and what was drawn on it."""

    plan: Plan
    drawn: Drawn

    @property
    def ink(self) -> Ink:
        """What can be told of the drawing."""
        return ink_of(self.plan)

    @property
    def on_line(self) -> Array:
        """The five measures of the mean drawn line [mm]."""
        line = DrawnLine(self.drawn.line, np.ones(len(self.drawn.line), bool), self.drawn.closed, 0.0)
        return measure(line, Ticks(self.drawn.inner, self.drawn.outer, 0.0, 0.0)).values

    def line(self) -> DrawnLine:
        """Return the line as it is found."""
        return find_line(self.ink, HOLDS)

    def read(self) -> Drawing:
        """Return what is measured on the line and ticks as they are found."""
        ink = self.ink
        line = find_line(ink, HOLDS)
        return measure(line, find_ticks(ink, line))


def drawing(seed: int, **changes: Any) -> Drawn:
    """Return a drawing of a seed: a sound one where nothing of its `Manner` is changed.

    Parameters
    ----------
    seed
        Of the foot and of all the hand does.
    changes
        Of the hand's manner; `length` is the foot's own [mm].
    """
    chance = np.random.default_rng(seed)
    length = changes.pop("length", None)
    manner = Manner(
        tool=_TOOLS[int(chance.integers(len(_TOOLS)))],
        on_wall=bool(chance.random() < 0.75),
        gaps=int(chance.choice(3, p=[0.6, 0.25, 0.15])),
        doubled=float(chance.uniform(0.8, 1.8)) if chance.random() < 0.2 else 0.0,
        faint=bool(chance.random() < 0.15),
    )
    manner = evolve(manner, **changes)
    foot = random_foot(chance, float(chance.uniform(225.0, 285.0)) if length is None else length)
    return drawn_round(set_down(foot, manner, chance), manner, chance)


def drawn_plan(seed: int, *things: Thing, paper_to: float | None = None, **changes: Any) -> DrawnPlan:
    """Return a drawing of a seed on its paper.

    Parameters
    ----------
    seed
        Of all that is left to chance.
    things
        What else is on the paper.
    paper_to
        Where the paper ends along the foot [mm]; None: not in view.
    changes
        Of the hand's manner, and the foot's `length`.
    """
    drawn = drawing(seed, **changes)
    return DrawnPlan(plan_of(drawn.strokes, seed, *things, paper_to=paper_to), drawn)


def plan_of(strokes: Sequence[Stroke], seed: int, *things: Thing, paper_to: float | None = None) -> Plan:
    """Return paper with strokes on it, in a light of its own, seen with some blur and noise."""
    chance = np.random.default_rng([seed, 1])
    height, width = _size(PX_PER_MM)
    ink = _inked(strokes, chance)
    across, along = np.mgrid[0 : 1 : height * 1j, 0 : 1 : width * 1j].astype(np.float32)
    toward = chance.uniform(0.0, 2.0 * np.pi)
    fall = (np.cos(toward) * along + np.sin(toward) * across) * chance.uniform(0.0, 0.35)
    picture = np.asarray(chance.uniform(140.0, 225.0) * (1.0 - fall / 2.0) * (1.0 - ink), np.float32)
    for thing in things:
        picture = thing(picture)
    on_paper = np.ones((height, width), bool)
    if paper_to is not None:
        on_paper[:, _column(paper_to) :] = False
        floor = 90.0 + 25.0 * np.sin(along * 150.0)
        picture = np.asarray(np.where(on_paper, picture, floor), np.float32)
    free = cv2.erode(on_paper.astype(np.uint8), np.ones((9, 9), np.uint8)) > 0
    _print(picture, free)
    blur = float(chance.uniform(0.15, 0.35)) * PX_PER_MM
    seen = cv2.GaussianBlur(picture, (0, 0), blur)
    grain = cv2.GaussianBlur(np.asarray(chance.normal(size=seen.shape)), (0, 0), 0.7)
    grey = np.clip(seen + chance.uniform(1.0, 6.0) * grain, 0, 255).astype(np.uint8)
    return Plan(grey, free, on_paper, float(PX_PER_MM), float(_FROM[0]), float(_FROM[1]), 4.0)


def _size(px_per_mm: int) -> tuple[int, int]:
    columns, rows = ((_TO - _FROM) * px_per_mm).astype(int).tolist()
    return rows, columns


def _column(along: float) -> int:
    return round((along - float(_FROM[0])) * PX_PER_MM)


def _row(across: float) -> int:
    return round((across - float(_FROM[1])) * PX_PER_MM)


def _inked(strokes: Sequence[Stroke], chance: np.random.Generator) -> _Float:
    """Return the share of light that strokes take, drawn finely: a pencil's on the paper's tooth only."""
    fine = PX_PER_MM * _FINER
    layers = {grainy: np.zeros(_size(fine), np.uint8) for grainy in (True, False)}
    for stroke in strokes:
        points = np.round((stroke.points - _FROM) * fine * 16).astype(np.int32)
        thick = max(1, round(stroke.width * fine))
        shade = round(255 * stroke.dark)
        cv2.polylines(layers[stroke.grainy], [points], False, shade, thick, cv2.LINE_AA, 4)
    rows, columns = _size(PX_PER_MM)
    size = (columns, rows)
    pencil, pen = (cv2.resize(layers[grainy], size, interpolation=cv2.INTER_AREA) for grainy in layers)
    tooth = np.clip(chance.normal(1.0, 0.25, (rows, columns)), 0.2, 1.4)
    return np.asarray(np.clip(np.maximum(pencil * tooth, pen) / 255.0, 0.0, 0.95), np.float32)


def _print(picture: _Float, free: Mask) -> None:
    """Print the heel edge and the axis' dashes, where nothing drawn can be told from them."""
    axis, edge = _row(0.0), _column(0.0)
    picture[axis - 1 : axis + 1, edge::12] = 60.0
    picture[axis - 120 : axis + 120, edge - 1 : edge + 2] = 60.0
    free[axis - 3 : axis + 3, edge:] = False
    free[axis - 120 : axis + 120, edge - 3 : edge + 4] = False


def again(drawn: Drawn, moved: npt.ArrayLike, *, mirrored: bool = False) -> tuple[Stroke, ...]:
    """Return a drawing's line, without its ticks, drawn once more [mm from the first]."""
    turn = np.array([1.0, -1.0 if mirrored else 1.0])
    return tuple(
        evolve(stroke, points=stroke.points * turn + np.asarray(moved)) for stroke in drawn.strokes[:-2]
    )


def writing(at: npt.ArrayLike, chance: np.random.Generator, long: float = 30.0) -> Stroke:
    """Return a word of handwriting that begins at a point [mm]."""
    way = np.arange(0.0, long, 0.15)
    tall = np.interp(way, np.arange(0.0, long + 3.0, 3.0), chance.uniform(1.0, 2.5, int(long / 3) + 1))
    letters = np.stack([way + 0.8 * np.sin(2.9 * way), tall * np.sin(2.1 * way)], axis=1)
    angle = chance.uniform(0.0, 2.0 * np.pi)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return Stroke(letters @ turn + np.asarray(at), 0.5, float(chance.uniform(0.4, 0.8)), False)


def tape(at: Sequence[float], angle_deg: float) -> Thing:
    """Return a piece of sticky tape, 18 mm by 60: a little darker, with darker edges."""

    def laid(picture: _Float) -> _Float:
        centre = (float(_column(at[0])), float(_row(at[1])))
        box = cv2.boxPoints((centre, (60.0 * PX_PER_MM, 18.0 * PX_PER_MM), angle_deg)).astype(np.int32)
        whole, edge = (np.zeros(picture.shape, np.uint8) for _ in range(2))
        cv2.fillPoly(whole, [box], 255)
        cv2.polylines(edge, [box], True, 255, 2, cv2.LINE_AA)
        return np.asarray(picture * (1 - 0.08 * (whole / 255.0)) * (1 - 0.2 * (edge / 255.0)), np.float32)

    return laid


def sock(at: Sequence[float]) -> Thing:
    """Return a dark knitted sock that lies across the paper, 36 mm by 100."""

    def laid(picture: _Float) -> _Float:
        covered = np.zeros(picture.shape, np.uint8)
        size = (50 * PX_PER_MM, 18 * PX_PER_MM)
        cv2.ellipse(covered, (_column(at[0]), _row(at[1])), size, 20.0, 0.0, 360.0, 255, -1)
        knit = 85.0 + 30.0 * np.sin(np.arange(picture.shape[0]) / 3.0)[:, None]
        return np.asarray(np.where(covered > 0, knit, picture), np.float32)

    return laid


def gapped(drawn: Drawn, at: npt.ArrayLike, long: float) -> Drawn:
    """Return a drawing with a gap in its line, about the point of it nearest to another [mm]."""
    strokes = []
    for stroke in drawn.strokes[:-2]:
        way = np.r_[0.0, np.cumsum(np.hypot(*np.diff(stroke.points, axis=0).T))]
        apart = np.hypot(*(stroke.points - np.asarray(at)).T)
        if apart.min() > long:
            strokes.append(stroke)
            continue
        middle = way[apart.argmin()]
        strokes += [
            evolve(stroke, points=stroke.points[piece])
            for piece in (way <= middle - long / 2, way >= middle + long / 2)
            if piece.sum() > 1
        ]
    return evolve(drawn, strokes=(*strokes, *drawn.strokes[-2:]))


def side_point(drawn: Drawn, along: float, *, inner: bool) -> Array:
    """Return the point of a drawing's line at a distance from the heel edge, on one side [mm]."""
    tip = int(drawn.line[:, 0].argmax())
    side = drawn.line[: tip + 1] if inner else drawn.line[tip:]
    return np.asarray(side[int(np.abs(side[:, 0] - along).argmin())])
