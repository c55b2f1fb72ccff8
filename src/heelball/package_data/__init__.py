"""The one place that reads the data shipped with Heelball: survey moments, tables, defaults.

Everything read here is fixed at build time, so reading it is still "values in, values out".
"""

from __future__ import annotations

import csv
import io
import json
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


def _text(name: str) -> str:
    return (files(__package__) / name).read_text(encoding="utf-8")


@cache
def foot_moments() -> dict[str, Any]:
    """Return the survey's mean foot and covariance for men and women, as shipped (mm, mm²)."""
    moments: dict[str, Any] = json.loads(_text("foot_moments.json"))
    return moments


@cache
def mean_foot(population: str) -> dict[str, float]:
    """Return the survey's mean foot of ``men`` or ``women``, by measure [mm]."""
    moments = foot_moments()
    return dict(zip(moments["measures"], moments["populations"][population]["mean"], strict=True))


@cache
def child_sizes() -> tuple[dict[str, str], ...]:
    """Return the children's marking table, a row for each foot length, as printed."""
    return tuple(csv.DictReader(io.StringIO(_text("child_sizes.csv"))))


@cache
def defaults() -> dict[str, Any]:
    """Return every default number of the model, by section, as shipped."""
    return tomllib.loads(_text("defaults.toml"))


@cache
def sheet_markers() -> tuple[int, ...]:
    """Return the 25 cells of each marker of the sheet, by number: row by row from the top left, 1 white."""
    lines = _text("sheet_markers.txt").splitlines()
    return tuple(int(word, 16) for line in lines if not line.startswith("#") for word in line.split())
