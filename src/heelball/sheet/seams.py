"""Seams of a damaged JPEG: where bits were lost, all that follows is lighter or darker by one step.

What is damaged may decode without a complaint and moves everything below by a block or more. It
hardly ever does so without a step in shade, which runs along the blocks' edges for the rest of the row
and along the next one's edge for its beginning: half the picture's width at least.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from heelball.sheet.values import Array, Grey

_BLOCK: Final = 8
#: Parts of the width that are looked at one by one, and how many of them a seam goes through.
_PARTS: Final = 16
_SEAMED: Final = 7
#: A step in shade [of 255], and how much steeper it is than what lies beside it: no lens draws a line
#: of the scene as steep, along the rows of pixels, for half the width.
_STEP: Final = 5.0
_STEEPER: Final = 4.0


def has_seam(grey: Grey) -> bool:
    """Tell whether a step in shade runs along the edges of a JPEG's blocks.

    Parameters
    ----------
    grey
        As stored: no orientation is undone.
    """
    rows = np.arange(_BLOCK, len(grey) - 1, _BLOCK)
    columns = grey.shape[1] // (_PARTS * _BLOCK) * _PARTS * _BLOCK
    above, last, first, below = (_part_means(grey[rows + way, :columns:_BLOCK]) for way in (-2, -1, 0, 1))
    step = first - last
    beside = np.maximum(np.abs(last - above), np.abs(below - first))
    steep = (np.abs(step) > _STEP) & (np.abs(step) > _STEEPER * beside)
    seamed = np.maximum((steep & (step > 0)).sum(axis=1), (steep & (step < 0)).sum(axis=1))
    return bool((seamed >= _SEAMED).any())


def _part_means(lines: Grey) -> Array:
    return np.asarray(lines.reshape(len(lines), _PARTS, -1).mean(axis=2))
