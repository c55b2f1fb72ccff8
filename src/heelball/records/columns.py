"""What a row may hold: the bounds that PostgreSQL keeps of itself, kept on SQLite as well."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import JSON, Float, Integer, String, Table

from heelball.errors import InputError, Problem

#: The greatest whole number of a column.
_GREATEST: Final = 2**31 - 1

_NO_TEXT: Final = ("a sign that is no text", "letters, figures and the like")


def check_row(table: Table, row: Mapping[str, Any]) -> None:
    """Refuse values that one of the two databases would not keep as they are.

    Parameters
    ----------
    row
        Values by column.

    Raises
    ------
    InputError
        With every column that is too long, not printable, or no finite number.
    """
    problems = [
        Problem(name.replace("_", " "), *wrong)
        for name, value in row.items()
        if (wrong := _wrong_with(table.c[name].type, value))
    ]
    if problems:
        raise InputError(problems)


def check_text(texts: Mapping[str, str | None]) -> None:
    """Refuse texts that hold signs which are no text.

    Raises
    ------
    InputError
        With the name of every such text.
    """
    problems = [
        Problem(name, *_NO_TEXT) for name, text in texts.items() if text is not None and not may_be_kept(text)
    ]
    if problems:
        raise InputError(problems)


def may_be_kept(value: str | int) -> bool:
    """Whether both databases can hold a value, and so look for it.

    PostgreSQL takes neither the sign 0 nor half a pair of UTF-16, and whole numbers of 32 bits.
    """
    if isinstance(value, int):
        return abs(value) <= _GREATEST
    return "\0" not in value and not any("\ud800" <= sign <= "\udfff" for sign in value)


def _wrong_with(kind: Any, value: Any) -> tuple[str, str] | None:
    """Return what was found and what was wanted; None where the value is good."""
    if value is None:
        return None
    if isinstance(kind, String):
        if kind.length is not None and len(value) > kind.length:
            return f"{len(value)} characters", f"{kind.length} at most"
        if not may_be_kept(value):
            return _NO_TEXT
    elif isinstance(kind, Float):
        if not math.isfinite(value):
            return str(value), "a number"
    elif isinstance(kind, Integer):
        if not may_be_kept(value):
            return str(value), f"a whole number up to {_GREATEST}"
    elif isinstance(kind, JSON):
        try:
            json.dumps(value, allow_nan=False)
        except (TypeError, ValueError):
            return "a value that cannot be written down", "texts, numbers, lists and tables"
    return None
