"""The foot vector: which measures it holds, in which order, and the words for its parts."""

from __future__ import annotations

from typing import Final, Literal

Foot = Literal["left", "right"]
Measure = Literal["length", "ball", "breadth", "girth", "heel"]
Population = Literal["men", "women", "unstated"]

FEET: tuple[Foot, Foot] = ("left", "right")

#: Order of the measures in every foot vector (MODEL 1): length L, heel-to-ball B, breadth W,
#: girth G, heel breadth H, all in mm.
MEASURES: tuple[Measure, ...] = ("length", "ball", "breadth", "girth", "heel")

#: Where heel breadth is measured, as a share of length (MODEL 1; ISO/TS 19408 words).
HEEL_SHARE: Final = 0.16
