"""Feet of the survey: the build half of ANSUR II (NATICK/TR-15/007), right feet, mm."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import numpy as np

from heelball.foot.prior import Sex
from heelball.gaussian.normal import Array

#: Columns of the survey in the order of the foot vector: length, ball, breadth, girth, heel.
_COLUMNS = ("foot_length", "ball_length", "foot_breadth", "ball_circumference", "heel_breadth")
_CODE = {"men": "M", "women": "F"}


def survey_file() -> Path:
    """Return the survey's file; ``HEELBALL_SHARED``, else ``../shared``, has the folder ``data``."""
    beside = Path(__file__).resolve().parents[2] / "shared"
    return Path(os.environ.get("HEELBALL_SHARED") or beside) / "data" / "ansur2_feet_build.csv"


def surveyed_feet(file: Path, sex: Sex) -> Array:
    """Return the right feet of one sex [mm], shape (people, 5)."""
    with file.open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["sex"] == _CODE[sex]]
    return np.array([[float(row[column]) for column in _COLUMNS] for row in rows])
