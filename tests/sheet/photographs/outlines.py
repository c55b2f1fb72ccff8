"""Feet of known truth: the shared mesh seen from above, warped to feet like the survey's.

A foot's own frame here: x from the heel to the second toe's tip, y toward the inner side [mm],
so that left and right feet look alike.
"""

from __future__ import annotations

import csv
from functools import cache
from typing import Final

import cv2
import numpy as np
from attrs import frozen
from scipy.interpolate import PchipInterpolator

from heelball.sheet.values import Array
from tests.requirements import shared

#: Of the shared mesh [mm]: its own README's table.
MESH_LENGTH: Final = 264.0
MESH_INNER: Final = (194.3, 47.8)
MESH_OUTER: Final = (171.21, -53.81)
MESH_HEEL_BREADTH: Final = 74.39
MESH_BREADTH: Final = 101.6

_FINE: Final = 10  # pixels to a millimetre where the silhouette is taken
_COLUMNS: Final = ("foot_length", "ball_length", "foot_breadth", "heel_breadth")


@frozen(eq=False)
class Foot:
    """A foot's outline seen from above, shape (n, 2), closed, and its two ball points [mm]."""

    outline: Array
    inner: Array
    outer: Array


@cache
def mesh_foot() -> Foot:
    """Return the shared mesh's own silhouette, about one point every half millimetre."""
    import trimesh

    mesh = trimesh.load_mesh(shared("data", "mesh", "foot_right.stl"))
    corner = np.array([10.0, 70.0])
    flat = np.round((mesh.vertices[:, :2] + corner) * _FINE * 16).astype(np.int32)
    picture = np.zeros((140 * _FINE, 300 * _FINE), np.uint8)
    for face in mesh.faces:
        cv2.fillConvexPoly(picture, flat[face], 255, shift=4)
    edges, _ = cv2.findContours(picture, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max(edges, key=cv2.contourArea)[:, 0, :] / _FINE - corner
    return Foot(even(_smooth(outline, 6), 0.5), np.array(MESH_INNER), np.array(MESH_OUTER))


def even(outline: Array, step: float) -> Array:
    """Return a closed outline again with points every `step` along it."""
    closed = np.vstack([outline, outline[:1]])
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.linspace(0.0, way[-1], int(way[-1] / step), endpoint=False)
    return np.stack([np.interp(at, way, closed[:, k]) for k in (0, 1)], axis=1)


def _smooth(outline: Array, sd: float) -> Array:
    from scipy.ndimage import gaussian_filter1d

    return np.asarray(gaussian_filter1d(outline.astype(float), sd, axis=0, mode="wrap"))


@cache
def surveyed(sex: str) -> Array:
    """Return length, ball length, breadth and heel breadth of the survey's feet [mm]; sex is M or F."""
    with shared("data", "ansur2_feet_build.csv").open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["sex"] == sex]
    return np.array([[float(row[column]) for column in _COLUMNS] for row in rows])


def random_foot(chance: np.random.Generator, length: float | None = None) -> Foot:
    """Return a foot with the measures of one drawn from the survey's moments, and a shape of its own.

    Parameters
    ----------
    chance
        What is drawn from.
    length
        The foot's length where it is chosen [mm]; the other measures follow from it.
    """
    rows = surveyed("M" if chance.random() < 0.55 else "F")
    mean, cov = rows.mean(axis=0), np.cov(rows.T)
    if length is None:
        drawn = chance.multivariate_normal(mean, cov)
    else:
        slope = cov[1:, 0] / cov[0, 0]
        rest = cov[1:, 1:] - np.outer(slope, cov[0, 1:])
        drawn = np.concatenate(
            [[length], chance.multivariate_normal(mean[1:] + slope * (length - mean[0]), rest)]
        )
    length_, ball, breadth, heel = drawn.tolist()
    ball = float(np.clip(ball, 0.68 * length_, 0.79 * length_))
    outer = float(np.clip(ball * 0.881 + chance.normal(scale=3.0), 0.55 * length_, ball - 8.0))
    adduction = chance.normal(scale=2.5)
    toes = chance.normal(scale=0.012, size=2)
    return _warped(mesh_foot(), (length_, ball, outer, breadth, heel), adduction, toes)


def _warped(foot: Foot, measures: tuple[float, float, float, float, float], bend: float, toes: Array) -> Foot:
    """Return the mesh's foot carried smoothly onto other measures: a map along, one across, and a bend."""
    length, ball, outer, breadth, heel = measures
    whole = length / MESH_LENGTH
    heel_at = 0.16 * MESH_LENGTH

    def carried(at: float, to: float) -> PchipInterpolator:
        stops = [-20.0, 0.0, heel_at, at, MESH_LENGTH, MESH_LENGTH + 20.0]
        return PchipInterpolator(
            stops, [-20.0 * whole, 0.0, 0.16 * length, to, length, length + 20.0 * whole]
        )

    inner_map, outer_map = carried(MESH_INNER[0], ball), carried(MESH_OUTER[0], outer)

    def warp(points: Array) -> Array:
        x, y = points[..., 0], points[..., 1]
        inner_share = 1.0 / (1.0 + np.exp(-y / 12.0))
        along = inner_share * inner_map(x) + (1.0 - inner_share) * outer_map(x)
        reach = np.clip((x / MESH_LENGTH - 0.18) / 0.42, 0.0, 1.0)
        share = reach * reach * (3.0 - 2.0 * reach)
        scale = (1.0 - share) * heel / MESH_HEEL_BREADTH + share * breadth / MESH_BREADTH
        # Toes that lie fuller or slimmer on either side, and a foot bent inward or outward.
        front = np.clip(x / MESH_LENGTH - 0.78, 0.0, None) / 0.22
        full = 1.0 + front * (inner_share * toes[0] + (1.0 - inner_share) * toes[1]) * 5.0
        across = y * scale * full + bend * (x / MESH_LENGTH) ** 2
        return np.stack([along, across], axis=-1)

    return Foot(even(warp(foot.outline), 0.5), warp(foot.inner), warp(foot.outer))
