"""Read a PDF back: its words, fonts, and lines in mm on the page."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pymupdf
from attrs import frozen

MM = 25.4 / 72
Spot = tuple[float, float]

ACCENT = (0x1F, 0x4F, 0x7D)
INK = (0x24, 0x21, 0x1C)


@frozen
class Stroke:
    """One drawn path: its points, with those between the ends of each curve."""

    spots: tuple[Spot, ...]
    colour: tuple[int, int, int] | None
    width: float
    dashed: bool

    @property
    def straight(self) -> bool:
        return len(self.spots) == 2

    @property
    def length(self) -> float:
        return math.dist(self.spots[0], self.spots[-1])

    @property
    def height(self) -> float:
        return max(y for _, y in self.spots) - min(y for _, y in self.spots)

    @property
    def breadth(self) -> float:
        return max(x for x, _ in self.spots) - min(x for x, _ in self.spots)


class Pages:
    """A PDF, opened to be read."""

    def __init__(self, pdf: bytes) -> None:
        with pymupdf.open(stream=pdf) as document:
            self.count = len(document)
            self.metadata = dict(document.metadata)
            self.size = tuple(round(side * MM, 1) for side in document[0].rect[2:])
            self.plain = "\n".join(page.get_text() for page in document)
            self.fonts = [
                (document.extract_font(font[0]), font[3]) for page in document for font in page.get_fonts()
            ]
            self.pictures = [picture for page in document for picture in page.get_images()]
            self.boxes = [
                (tuple(value * MM for value in word[:4]), word[4]) for word in document[0].get_text("words")
            ]
            self.strokes = [stroke for drawn in document[0].get_drawings() for stroke in _strokes(drawn)]
        self.words = " ".join(self.plain.replace("\u200b", "").split())

    def said(self, text: str) -> bool:
        """Tell whether a text stands on the pages, wherever its lines break."""
        return re.sub(r"\s", "", text) in re.sub(r"\s", "", self.plain.replace("\u200b", ""))


def _strokes(drawn: dict) -> list[Stroke]:
    if drawn["type"] == "f":
        return []
    spots: list[Spot] = []
    for item in drawn["items"]:
        if item[0] == "l":
            found = [item[1], item[2]]
        elif item[0] == "c":
            found = [_at(item[1:], step / 60) for step in range(61)]
        else:
            continue
        spots += [(x * MM, y * MM) for x, y in found]
    kept = [spot for spot, after in pairwise([*spots, (math.inf, 0.0)]) if math.dist(spot, after) > 1e-6]
    colour = tuple(_written(value) for value in drawn["color"]) if drawn["color"] else None
    dashed = drawn["dashes"] not in (None, "", "[] 0")
    return [Stroke(tuple(kept), colour, drawn["width"] * MM, dashed)] if len(kept) > 1 else []  # type: ignore[arg-type]


def _at(points, share: float) -> Spot:
    rest = 1 - share
    weights = (rest**3, 3 * rest**2 * share, 3 * rest * share**2, share**3)
    return tuple(sum(w * p[axis] for w, p in zip(weights, points, strict=True)) for axis in (0, 1))


def _written(linear: float) -> int:
    return round(255 * linear)
