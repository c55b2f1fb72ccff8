"""Lasts from TOML files: the offer, advice, terms and what was measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from heelball.errors import InputError, Problem
from heelball.last.values import Closing, Last, Stiffness, Terms, Toe
from heelball.scales.catalogue import size_scale
from heelball.scales.last_width import WIDTH_SCALES
from heelball.work.advice_fields import read_advice, read_measured
from heelball.work.documents import read_toml
from heelball.work.fields import Fields, nearest, shown
from heelball.work.offer_fields import label_scales, read_offer, read_reference_width

SCHEMA: Final = "heelball/last/1"
_STIFFNESSES: Final[tuple[Stiffness, ...]] = ("soft", "medium", "stiff")
_TOES: Final[tuple[Toe, ...]] = ("round", "almond", "pointed", "hard-cap")
_CLOSINGS: Final[tuple[Closing, ...]] = ("lace", "pull-on")


def read_lasts(folder: Path) -> list[Last]:
    """Return the lasts of every .toml file in a folder, by file name.

    Raises
    ------
    InputError
        With every problem found; also where there is no last, or two have one code.
    """
    problems: list[Problem] = []
    lasts = list(_every_last(folder, problems))
    if problems:
        raise InputError(problems)
    return lasts


def _every_last(folder: Path, problems: list[Problem]) -> Iterator[Last]:
    """Yield the lasts of a folder file by file; nothing of a file is kept but its last."""
    try:
        if folder.exists() and not folder.is_dir():
            problems.append(Problem(str(folder), "a file", "a folder of last files (.toml)"))
            return
        paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".toml")
    except FileNotFoundError:
        problems.append(Problem(str(folder), "no such folder", "a folder of last files (.toml)"))
        return
    except OSError as refused:
        problems.append(
            Problem(str(folder), refused.strerror or "cannot be read", "a folder that can be read")
        )
        return
    if not paths:
        problems.append(Problem(str(folder), "no lasts", "at least one last file (.toml)"))
    origin: dict[str, str] = {}
    for path in paths:
        last = _read_last(path, problems)
        if last is None:
            continue
        if last.code in origin:
            found = f"{shown(last.code)}, also in {origin[last.code]}"
            problems.append(Problem(f"{path.name}, code", found, "a code of its own"))
        origin.setdefault(last.code, path.name)
        yield last


def read_last(path: Path) -> Last:
    """Return the last of one file.

    Raises
    ------
    InputError
        With every problem found in it.
    """
    problems: list[Problem] = []
    last = _read_last(path, problems)
    if last is None:
        raise InputError(problems)
    return last


def _read_last(path: Path, problems: list[Problem]) -> Last | None:
    name = path.name or str(path)
    table = read_toml(path, name, SCHEMA, problems)
    return None if table is None else last_of(table, name, problems, code=path.stem)


def last_of(
    table: Mapping[str, Any], name: str, problems: list[Problem], *, code: str | None = None
) -> Last | None:
    """Return the last of a table with the fields of a last file, wherever it was written down.

    Parameters
    ----------
    table
        The fields, without ``schema``.
    name, problems
        What the table is called in sentences, and the list that problems are added to.
    code
        The last's code where the table holds none.

    Returns
    -------
    Last or None
        None, with problems added, where something is wrong.
    """
    before = len(problems)
    fields = Fields(table, name, problems)
    code = fields.code("code", wanted="the last's code", default=code)
    maker = fields.text("maker", wanted="the maker's name", required=True)
    scale_name = fields.text("label_scale", wanted="a size scale's name", required=True)
    if scale_name is not None and scale_name not in label_scales():
        fields.wrong("label_scale", shown(scale_name), nearest(scale_name, label_scales()))
        scale_name = None
    scale = size_scale(scale_name) if scale_name is not None else None
    width_scale = fields.word("width_scale", WIDTH_SCALES, default="us")
    labels = read_offer(fields, scale, width_scale)
    reference = read_reference_width(fields, scale, width_scale, labels)
    stiffness = fields.word("stiffness", _STIFFNESSES, default="stiff")
    toe = fields.word("toe", _TOES, default="round")
    closing = fields.word("closing", _CLOSINGS, default="lace")
    heel = fields.number("heel_mm", low=0, high=200, unit="mm")
    advice = [read_advice(one, scale, labels) for one in fields.tables("advice", one_allowed=True)]
    terms = _read_terms(fields.table("terms"))
    measured = [read_measured(one, scale, labels) for one in fields.tables("measured")]
    fields.done()
    if (
        not (code and maker and scale and width_scale and stiffness and toe and closing)
        or len(problems) > before
    ):
        return None
    return Last(
        code=code,
        maker=maker,
        label_scale=scale.name,
        labels=labels,
        width_scale=width_scale,
        reference_width=reference,
        stiffness=stiffness,
        toe=toe,
        closing=closing,
        heel_height=heel,
        advice=tuple(one for one in advice if one is not None),
        measured=tuple(one for one in measured if one is not None),
        terms=terms,
    )


def _read_terms(fields: Fields | None) -> Terms:
    if fields is None:
        return Terms()
    publishes = fields.flag("publishes_advice") if fields.has("publishes_advice") else None
    days = fields.number("exchange_days", low=0, high=3650, unit="days")
    fields.done()
    return Terms(publishes, None if days is None else int(days))
