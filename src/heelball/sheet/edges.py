"""The paper's cut edges in the photograph: what their distance says of the print's scale."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from heelball.sheet.layout import Page
from heelball.sheet.plane import Plane
from heelball.sheet.values import Array, Grey

# A print of 90 to 105 % puts the paper's edges up to this far from where the layout has them [mm].
_REACH: Final = 18.0
_STEP: Final = 0.25
_EVERY: Final = 3.0
_CORNER: Final = 14.0  # corners curl, and one is folded: no profile is taken there [mm]
# An edge is believed where this share of its profiles puts their strongest step on one straight
# line, to this much [mm], and that step is this strong, as a share of the paper's light.
_ON_LINE: Final = 0.7
_WITHIN: Final = 0.5
_STRONG: Final = 0.12
#: Opposite edges must be so parallel [mm over their length], and the two directions so alike.
_PARALLEL: Final = 0.8
_ALIKE: Final = 0.01


def find_edges(grey: Grey, plane: Plane, pages: tuple[Page, ...]) -> tuple[float | None, float | None] | None:
    """Return the paper's true width and height over what they measure in the print's mm.

    Each is None where its two opposite edges are not both seen for sure. A pattern on the floor may
    run along the paper: only where both directions are seen, and say about the same, are they
    believed. Nothing is said of two pages side by side.
    """
    if len(pages) != 1:
        return None
    width, height = pages[0].size
    left = _edge(grey, plane, np.array([0.0, 0.0]), np.array([0.0, height]), np.array([-1.0, 0.0]))
    right = _edge(grey, plane, np.array([width, 0.0]), np.array([width, height]), np.array([1.0, 0.0]))
    top = _edge(grey, plane, np.array([0.0, 0.0]), np.array([width, 0.0]), np.array([0.0, -1.0]))
    bottom = _edge(grey, plane, np.array([0.0, height]), np.array([width, height]), np.array([0.0, 1.0]))
    across, up = _ratio(width, left, right), _ratio(height, top, bottom)
    if across is None or up is None or abs(across - up) > _ALIKE:
        return None
    return across, up


def _ratio(size: float, first: Array | None, second: Array | None) -> float | None:
    """Return true over seen, from how far each of two edges lies out at its two ends [mm]."""
    if first is None or second is None or abs(np.ptp(first + second)) > _PARALLEL:
        return None
    return float(size / (size + (first + second).mean()))


def _edge(grey: Grey, plane: Plane, start: Array, end: Array, out: Array) -> Array | None:
    """Return how far the paper's edge lies out from its place in the layout at both ends [mm]."""
    length = float(np.linalg.norm(end - start))
    at = np.arange(_CORNER, length - _CORNER, _EVERY)
    reach = np.arange(-_REACH, _REACH, _STEP)
    feet = start + at[:, None] * (end - start) / length
    points = feet[:, None] + reach[None, :, None] * out
    px = plane.to_picture(points.reshape(-1, 2)).reshape(*points.shape).astype(np.float32)
    rows, columns = grey.shape
    inside = np.all((px >= 0) & (px <= [columns - 1, rows - 1]), axis=2)
    seen = inside.all(axis=1)
    if seen.mean() < _ON_LINE:
        return None
    profiles = cv2.remap(grey, px[..., 0], px[..., 1], cv2.INTER_LINEAR).astype(np.float32)[seen]
    smooth = np.asarray(cv2.GaussianBlur(profiles, (9, 1), 2.0), np.float32)
    return _straight(at[seen], reach, smooth, length)


def _straight(at: Array, reach: Array, profiles: npt.NDArray[np.float32], length: float) -> Array | None:
    """Return the ends of the straight line that most profiles put their outermost strong step on."""
    steps = np.abs(np.diff(profiles, axis=1))
    paper = np.median(profiles[:, : len(reach) // 6], axis=1, keepdims=True)
    strength = steps.max(axis=1) * 4 / np.maximum(paper[:, 0], 1)
    places = reach[:-1][steps.argmax(axis=1)] + _STEP / 2
    good = strength > _STRONG
    if good.mean() < _ON_LINE:
        return None
    line = _agreed(at[good], places[good])
    if line is None:
        return None
    on = np.abs(places - np.polyval(line, at)) < _WITHIN
    if (on & good).mean() < _ON_LINE:
        return None
    fitted = np.polyfit(at[on & good], places[on & good], 1)
    return np.asarray(np.polyval(fitted, [0.0, length]))


def _agreed(at: Array, places: Array) -> Array | None:
    """Return the line through two of the places that most of the others lie on."""
    best, most = None, 0
    for first in range(0, len(at), 3):
        for second in range(first + len(at) // 4, len(at), 3):
            slope = (places[second] - places[first]) / (at[second] - at[first])
            line = np.array([slope, places[first] - slope * at[first]])
            count = int((np.abs(places - np.polyval(line, at)) < _WITHIN).sum())
            if count > most:
                best, most = line, count
    return best
