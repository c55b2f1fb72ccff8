"""Read a drawing back: its lines, outlines and words, in mm on the page."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from xml.etree import ElementTree

from attrs import frozen

SVG = "{http://www.w3.org/2000/svg}"
Spot = tuple[float, float]

#: Height of each kind of lettering, as the style sheet has it.
HEIGHTS = {"title": 8.0, "label": 5.5, "entry": 5.0}
#: Width of a letter as a share of its height: more than the mean of any face the style may fall to.
LETTER = 0.6


@frozen
class Curve:
    points: tuple[Spot, Spot, Spot, Spot]

    def at(self, t: float) -> Spot:
        weights = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3)
        x, y = (sum(w * p[axis] for w, p in zip(weights, self.points, strict=True)) for axis in (0, 1))
        return x, y


class Drawing:
    """A parsed drawing, or one foot's part of it."""

    def __init__(self, text: str, part: str = "") -> None:
        self.svg = ElementTree.fromstring(text)
        self.part = next(
            element for element in self.svg.iter() if not part or part in element.get("class", "").split()
        )

    def of(self, kind: str, tag: str) -> Iterator[ElementTree.Element]:
        for element in self.part.iter(SVG + tag):
            if kind in element.get("class", "").split():
                yield element

    def lines(self, kind: str) -> list[tuple[Spot, Spot]]:
        found = []
        for element in self.of(kind, "line"):
            x1, y1, x2, y2 = (float(element.get(name, "nan")) for name in ("x1", "y1", "x2", "y2"))
            found.append(((x1, y1), (x2, y2)))
        return found

    def curves(self, kind: str) -> list[Curve]:
        (element,) = self.of(kind, "path")
        written = element.get("d", "")
        assert re.fullmatch(r"M\S+( C\S+ \S+ \S+)+( Z)?", written)
        spots = [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+),(-?[\d.]+)", written)]
        return [Curve(tuple(spots[start : start + 4])) for start in range(0, len(spots) - 1, 3)]  # type: ignore[arg-type]

    def outline(self, kind: str, steps: int = 400) -> list[Spot]:
        return [curve.at(step / steps) for curve in self.curves(kind) for step in range(steps)]

    def arrow_tips(self) -> list[Spot]:
        tips = []
        for element in self.of("arrow", "path"):
            x, y = re.findall(r"-?[\d.]+", element.get("d", ""))[:2]
            tips.append((float(x), float(y)))
        return tips

    def texts(self, kind: str = "") -> list[str]:
        return [
            element.text or ""
            for element in self.part.iter(SVG + "text")
            if not kind or kind in element.get("class", "").split()
        ]

    def boxes(self) -> list[tuple[str, list[Spot]]]:
        """Return each text and the corners of the room it may need."""
        return [(element.text or "", _box(element)) for element in self.part.iter(SVG + "text")]


def _box(element: ElementTree.Element) -> list[Spot]:
    kinds = element.get("class", "").split()
    (height,) = (HEIGHTS[kind] for kind in kinds if kind in HEIGHTS)
    width = LETTER * height * len(element.text or "")
    left = {"mid": -width / 2, "end": -width}.get(next((k for k in kinds if k in ("mid", "end")), ""), 0.0)
    x, y = float(element.get("x", "nan")), float(element.get("y", "nan"))
    turn = re.match(r"rotate\((\S+) ", element.get("transform", ""))
    angle = math.radians(float(turn[1])) if turn else 0.0
    # From the foot of the letters to the head of a capital; descenders may hang into what is below.
    corners = ((left, 0.0), (left + width, 0.0), (left + width, -0.72 * height), (left, -0.72 * height))
    return [
        (x + a * math.cos(angle) - b * math.sin(angle), y + a * math.sin(angle) + b * math.cos(angle))
        for a, b in corners
    ]


def apart(one: Sequence[Spot], other: Sequence[Spot]) -> bool:
    """Tell whether two convex shapes (a line is one of two corners) have no point in common."""
    for shape in (one, other):
        for (x1, y1), (x2, y2) in pairwise([*shape, shape[0]]):
            across = (y2 - y1, x1 - x2)
            first, second = ([x * across[0] + y * across[1] for x, y in each] for each in (one, other))
            if max(first) < min(second) or max(second) < min(first):
                return True
    return False


def within(spot: Spot, outline: Sequence[Spot]) -> bool:
    """Tell whether a place lies within a closed outline."""
    x, y = spot
    crossings = 0
    for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]]):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            crossings += 1
    return crossings % 2 == 1


def width_at(outline: Sequence[Spot], level: float) -> float:
    """Return how wide a closed outline is at `level`, where it must be crossed just twice."""
    crossed = [
        x1 + (level - y1) / (y2 - y1) * (x2 - x1)
        for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]])
        if (y1 > level) != (y2 > level)
    ]
    assert len(crossed) == 2
    return abs(crossed[0] - crossed[1])
