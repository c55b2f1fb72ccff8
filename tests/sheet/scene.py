"""A plain photograph of a sheet's markers whose geometry is known to the last digit.

Only markers, heel edge and axis on white paper before a grey floor: the photographs with feet,
hands, light and spoiling are in `tests.sheet.photographs`. The lens bends here by another formula
than the one that is fitted.
"""

from __future__ import annotations

import cv2
import numpy as np
from attrs import field, frozen

from heelball.sheet.layout import Page
from heelball.sheet.values import Array, Grey

PAPER_PX_PER_MM = 14.0


@frozen(eq=False)
class Shot:
    """Where the camera stands and what it does, and the pages' places [mm], [degrees].

    `cut` is the paper's size over the layout's: 1 / 0.95 for a print of 95 %.
    """

    size: tuple[int, int] = (1600, 1200)
    tilt_deg: float = 0.0
    toward_deg: float = 0.0
    turn_deg: float = 0.0
    height: float = 450.0
    focal_px: float = 1500.0
    bend: float = 0.0
    noise: float = 2.0
    middle: tuple[float, float] = (105.0, 148.5)
    join: tuple[float, float, float] = (0.0, 0.0, 0.0)
    seed: int = 1
    floor: int = 120
    paper: int = 235
    cut: float = 1.0
    hidden: frozenset[int] = field(default=frozenset())

    def matrix(self) -> Array:
        """From the sheet [mm] to a straight lens's picture [pixels]."""
        tilt, toward, turn = np.radians([self.tilt_deg, self.toward_deg, self.turn_deg])
        spin = cv2.Rodrigues(np.array([0, 0, turn]))[0]
        lean = cv2.Rodrigues(tilt * np.array([np.cos(toward), np.sin(toward), 0]))[0]
        turned = lean @ spin
        where = np.array([0, 0, self.height]) - turned @ np.array([*self.middle, 0])
        rows, columns = self.size
        inner = np.array(
            [[self.focal_px, 0, (columns - 1) / 2], [0, self.focal_px, (rows - 1) / 2], [0, 0, 1]]
        )
        return np.asarray(inner @ np.stack([turned[:, 0], turned[:, 1], where], axis=1))

    def camera(self) -> Array:
        """Where the lens is over the sheet [mm]."""
        rows, columns = self.size
        inner = np.array(
            [[self.focal_px, 0, (columns - 1) / 2], [0, self.focal_px, (rows - 1) / 2], [0, 0, 1]]
        )
        pose = np.linalg.inv(inner) @ self.matrix()
        turned = np.stack([pose[:, 0], pose[:, 1], np.cross(pose[:, 0], pose[:, 1])], axis=1)
        place = -turned.T @ pose[:, 2]
        return np.array([place[0], place[1], abs(place[2])])

    def straightened(self, px: Array) -> Array:
        """Where a lens without bend would draw what this one draws at `px`."""
        rows, columns = self.size
        middle, half = np.array([(columns - 1) / 2, (rows - 1) / 2]), np.hypot(rows, columns) / 2
        from_middle = (px - middle) / half
        square = (from_middle**2).sum(axis=-1, keepdims=True)
        return np.asarray(middle + from_middle * half * (1 + self.bend * square))

    def picture_of(self, mm: Array) -> Array:
        """Where points of the sheet stand in the photograph."""
        target = through(self.matrix(), mm)
        px = target.copy()
        for _ in range(60):
            px = px + (target - self.straightened(px))
        return px


def through(matrix: Array, points: Array) -> Array:
    whole = points @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(whole[..., :2] / whole[..., 2:])


def placed(page: Page, shot: Shot, points: Array) -> Array:
    """Where points of a page lie in the first page's frame, the second one badly joined."""
    if page.part != "toes":
        return points
    dx, dy, turn_deg = shot.join
    turn = np.radians(turn_deg)
    cos, sin = np.cos(turn), np.sin(turn)
    return np.asarray(page.offset + [dx, dy] + points @ np.array([[cos, sin], [-sin, cos]]))


def printed(page: Page, hidden: frozenset[int] = frozenset(), paper: int = 235) -> Grey:
    """One page as it is printed, at `PAPER_PX_PER_MM`."""
    step = PAPER_PX_PER_MM
    columns, rows = (round(side * step) for side in page.size)
    drawn = np.full((rows, columns), paper, np.uint8)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    for marker in page.markers:
        if marker.id in hidden:
            continue
        side = round(16 * step)
        left, top = np.round(marker.corners[0] * step).astype(int)
        image = cv2.aruco.generateImageMarker(dictionary, marker.id, side)
        drawn[top : top + side, left : left + side] = np.where(image > 0, paper, 25)
    for line in (page.axis, page.heel_edge):
        if line is not None:
            first, second = (tuple(np.round(end * step).astype(int).tolist()) for end in line)
            cv2.line(drawn, first, second, 60, 4)
    return drawn


def photographed(pages: tuple[Page, ...], shot: Shot) -> Grey:
    """Photograph these pages."""
    rows, columns = shot.size
    seen: Array = np.full(shot.size, float(shot.floor))
    x, y = np.meshgrid(np.arange(columns, dtype=float), np.arange(rows, dtype=float))
    straight = shot.straightened(np.stack([x, y], axis=-1))
    mm = through(np.asarray(np.linalg.inv(shot.matrix())), straight)
    for page in pages:
        on_page = mm
        if page.part == "toes":
            dx, dy, turn_deg = shot.join
            turn = np.radians(turn_deg)
            cos, sin = np.cos(turn), np.sin(turn)
            on_page = (mm - page.offset - [dx, dy]) @ np.array([[cos, -sin], [sin, cos]])
        ways = (on_page * PAPER_PX_PER_MM - 0.5).astype(np.float32)
        paper = cv2.GaussianBlur(printed(page, shot.hidden, shot.paper), (0, 0), 1.5)
        drawn = cv2.remap(paper, ways[..., 0], ways[..., 1], cv2.INTER_LINEAR, borderValue=shot.paper)
        half = np.array(page.size) / 2
        inside = (np.abs(on_page - half) <= half * shot.cut).all(axis=-1)
        seen = np.where(inside, drawn, seen)
    seen = np.asarray(cv2.GaussianBlur(seen, (0, 0), 0.7), float)
    seen += np.random.default_rng(shot.seed).normal(0, shot.noise, seen.shape)
    return np.clip(np.round(seen), 0, 255).astype(np.uint8)
