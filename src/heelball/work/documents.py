"""From a path to the text or table in it, within limits and with every refusal a sentence."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any, Final

from heelball.errors import Problem

#: Largest files read [bytes]; larger ones are refused with the limit.
TOML_LIMIT: Final = 1_000_000
CSV_LIMIT: Final = 50_000_000


def read_text(path: Path, limit: int, problems: list[Problem]) -> str | None:
    """Return the text of a UTF-8 file; None, with a problem added, where it cannot be had."""
    place = path.name or str(path)
    try:
        if path.is_dir():
            problems.append(Problem(place, "a directory", "a file"))
            return None
        size = path.stat().st_size
        if size > limit:
            problems.append(Problem(place, f"{size / 1e6:.1f} MB", f"at most {limit / 1e6:g} MB"))
            return None
        raw = path.read_bytes()
    except FileNotFoundError:
        problems.append(Problem(str(path), "no such file", "a file that exists"))
        return None
    except OSError as refused:
        problems.append(Problem(str(path), refused.strerror or "cannot be read", "a file that can be read"))
        return None
    if not raw.strip():
        problems.append(Problem(place, "an empty file", "a file with something in it"))
        return None
    if b"\0" in raw:
        line = raw[: raw.index(b"\0")].count(b"\n") + 1
        problems.append(Problem(f"{place}, line {line}", "a null byte", "plain text"))
        return None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as refused:
        line = raw[: refused.start].count(b"\n") + 1
        problems.append(Problem(f"{place}, line {line}", "bytes that are not UTF-8", "a file saved as UTF-8"))
        return None


def read_toml(path: Path, schema: str, problems: list[Problem]) -> dict[str, Any] | None:
    """Return the table of a TOML file with its schema checked; None where it is not one."""
    text = read_text(path, TOML_LIMIT, problems)
    if text is None:
        return None
    try:
        table = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as refused:
        problems.append(Problem(path.name, f"not TOML: {str(refused) or 'nested too deep'}", "a TOML file"))
        return None
    found = table.pop("schema", None)
    if found != schema:
        said = "no schema" if found is None else f"schema {found!r}"
        problems.append(Problem(f"{path.name}, schema", said, f'schema = "{schema}"'))
        return None
    return table
