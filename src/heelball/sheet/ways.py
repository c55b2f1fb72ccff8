"""Ways over the paper: points at even distances, smoothed, and which way is out."""

from __future__ import annotations

import cv2
import numpy as np

from heelball.sheet.values import Array


def evenly(points: Array, step: float) -> Array:
    """Return points every `step` mm along a way, shape (n, 2)."""
    far = np.r_[0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    at = np.arange(0, far[-1], step)
    return np.stack([np.interp(at, far, points[:, i]) for i in range(2)], axis=1)


def steady(way: Array, smooth: float) -> Array:
    """Return a way smoothed over `smooth` points (one standard deviation), ends held."""
    size = (1, int(6 * smooth) | 1)
    return np.asarray(cv2.GaussianBlur(way, size, 0, sigmaY=smooth, borderType=cv2.BORDER_REPLICATE))


def normals_of(way: Array, smooth: float) -> Array:
    """Return unit normals of a way, pointing out of the foot, shape (n, 2).

    The way goes up the inner side, round the toes and down: out of the foot is to its left.
    """
    tangent = np.gradient(steady(way, smooth), axis=0)
    tangent /= np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-9)
    return np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
