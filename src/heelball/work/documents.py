"""From a path to the text or table in it, within limits and with every refusal a sentence."""

from __future__ import annotations

import os
import re
import tomllib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from heelball.errors import Problem
from heelball.work.fields import shown

#: Largest files read [bytes]; larger ones are refused with the limit.
TOML_LIMIT: Final = 1_000_000
CSV_LIMIT: Final = 50_000_000

#: Where tomllib says that a file stops being TOML.
_AT: Final = re.compile(
    r"(?P<said>.*) \((?:at line (?P<line>\d+), column (?P<column>\d+)|at end of document)\)"
)


def names_of(paths: Sequence[Path]) -> list[str]:
    """Return what each file is called in sentences: its name, or its path where two share one."""
    times = Counter(path.name for path in paths)
    return [path.name if path.name and times[path.name] == 1 else str(path) for path in paths]


def read_text(path: Path, name: str, limit: int, problems: list[Problem]) -> str | None:
    """Return the text of a UTF-8 file; None, with a problem added, where it cannot be had.

    Parameters
    ----------
    path, name
        The file, and what it is called in sentences.
    limit
        The most that is read [bytes].
    problems
        The list that a problem is added to.
    """
    try:
        if path.is_dir():
            problems.append(Problem(name, "a directory", "a file"))
            return None
        with path.open("rb") as file:
            size = os.fstat(file.fileno()).st_size
            # What is no plain file tells no size beforehand, and a plain one may still grow.
            raw = file.read(limit + 1) if size <= limit else b""
    except FileNotFoundError:
        problems.append(Problem(str(path), "no such file", "a file that exists"))
        return None
    except OSError as refused:
        problems.append(Problem(str(path), refused.strerror or "cannot be read", "a file that can be read"))
        return None
    size = max(size, len(raw))
    if size > limit:
        problems.append(Problem(name, f"{size} bytes", f"at most {limit} bytes ({limit / 1e6:g} MB)"))
        return None
    return _decoded(raw, name, problems)


def _decoded(raw: bytes, name: str, problems: list[Problem]) -> str | None:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as refused:
        # The decoder counts from behind a byte order mark.
        at = len(raw) - len(refused.object) + refused.start
        line = raw.count(b"\n", 0, at) + 1
        found = f"bytes that are not UTF-8, the first of them number {at + 1} of the file"
        problems.append(Problem(f"{name}, line {line}", found, "a file saved as UTF-8"))
        return None
    if not text or text.isspace():
        problems.append(Problem(name, "an empty file", "a file with something in it"))
        return None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        problems.append(Problem(f"{name}, line {line}", "a null byte", "plain text"))
        return None
    return text


def read_toml(path: Path, name: str, schema: str, problems: list[Problem]) -> dict[str, Any] | None:
    """Return the table of a TOML file with its schema checked; None where it is not one."""
    text = read_text(path, name, TOML_LIMIT, problems)
    if text is None:
        return None
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as refused:
        problems.append(_not_toml(str(refused), name))
        return None
    except RecursionError:
        problems.append(Problem(name, "not TOML: nested too deep", "a TOML file"))
        return None
    except ValueError:
        # The one thing that Python itself refuses in TOML.
        problems.append(Problem(name, "not TOML: a number of thousands of digits", "a TOML file"))
        return None
    found = table.pop("schema", None)
    if found != schema:
        said = "no schema" if found is None else f"schema {shown(found)}"
        problems.append(Problem(f"{name}, schema", said, f'schema = "{schema}"'))
        return None
    return table


def _not_toml(message: str, name: str) -> Problem:
    at = _AT.fullmatch(message)
    if at is None:
        return Problem(name, f"not TOML: {message}", "a TOML file")
    place = f"{name}, line {at['line']}, column {at['column']}" if at["line"] else f"{name}, at its end"
    return Problem(place, f"not TOML: {at['said'][:1].lower()}{at['said'][1:]}", "a TOML file")
