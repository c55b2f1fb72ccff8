"""The foot vector: which measures it holds, in which order, and the words for its parts."""

from __future__ import annotations

from typing import Literal

Foot = Literal["left", "right"]
Measure = Literal["length", "ball", "breadth", "girth", "heel"]
Population = Literal["men", "women", "unstated"]

FEET: tuple[Foot, Foot] = ("left", "right")

#: Order of the measures in every foot vector (MODEL 1): length L, heel-to-ball B, breadth W,
#: girth G, heel breadth H, all in mm.
MEASURES: tuple[Measure, ...] = ("length", "ball", "breadth", "girth", "heel")
