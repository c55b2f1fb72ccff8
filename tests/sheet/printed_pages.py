"""Pages of the real PDF in grey, and where a line in them is really drawn."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import numpy.typing as npt
import pymupdf

from heelball.foot.vector import FEET
from heelball.sheet.marking import Paper
from heelball.sheet.printing import sheet_pdf
from heelball.sheet.values import Array

DPI = 300
PX_PER_MM = DPI / 25.4

Grey8 = npt.NDArray[np.uint8]


@cache
def pdf(paper: Paper, two: bool, code: str = "") -> bytes:
    """Return the sheet for both feet."""
    return sheet_pdf(paper, FEET, two=two, code=code)


@cache
def rendered(paper: Paper, two: bool) -> tuple[Grey8, ...]:
    """Return every page of it, `PX_PER_MM` pixels to a millimetre."""
    pages = []
    for page in pymupdf.open(stream=pdf(paper, two)):
        drawn = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
        pages.append(
            np.frombuffer(drawn.samples, np.uint8).reshape(drawn.height, drawn.stride)[:, : drawn.width]
        )
    return tuple(pages)


def off_line(picture: Grey8, ends: Array, *, half: float = 0.35, within: float = 0.5) -> float:
    """Return how far the ink lies off a line [mm]: its middle over the part `within` of the line.

    Parameters
    ----------
    picture
        A page.
    ends
        Where the line is said to be [mm], shape (2, 2).
    half
        How far to either side ink is looked for [mm].
    within
        Share of the line, about its middle, that is looked at.

    Raises
    ------
    AssertionError
        Where there is no ink.
    """
    first, second = ends
    along = second - first
    across = np.array([[0.0, -1.0], [1.0, 0.0]]) @ along / np.linalg.norm(along)
    steps = np.arange(-half, half + 1e-9, 0.02)
    shares = 0.5 + within * np.linspace(-0.5, 0.5, max(3, round(within * float(np.linalg.norm(along)) / 0.3)))
    places = first + shares[:, None, None] * along + steps[:, None] * across
    px = (places * PX_PER_MM - 0.5).astype(np.float32)
    dark = 255.0 - cv2.remap(picture, px[..., 0], px[..., 1], cv2.INTER_LINEAR)
    assert dark.max() > 60
    profile = dark.sum(axis=0)
    return float((profile * steps).sum() / profile.sum())
