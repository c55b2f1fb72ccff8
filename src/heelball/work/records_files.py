"""What each file brought to the records is, told by what stands in it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from attrs import define, field

from heelball.errors import Problem
from heelball.records.exchange import as_csv, as_parquet, as_toml
from heelball.records.exchange.cells import Bundle
from heelball.work import last_file, wearer_file
from heelball.work.documents import read_text
from heelball.work.fields import shown

#: The largest file of an export that is read [bytes]: a thousand pictures of sheets are in it.
EXPORT_LIMIT: Final = 2_000_000_000
#: More files than this in one folder are not looked through.
MOST_FILES: Final = 20_000

_SUFFIXES: Final = (".toml", ".csv", ".parquet")
_SCHEMA: Final = re.compile(r"""^\s*schema\s*=\s*["']([^"'\n]*)["']""", re.MULTILINE)
_DATABASE: Final = b"SQLite format 3\0"
_START: Final = len(_DATABASE)


@define
class Brought:
    """The files of an import by what they are."""

    bundle: Bundle = field(factory=Bundle)
    wearers: list[Path] = field(factory=list)
    lasts: list[Path] = field(factory=list)


def sort_out(paths: Sequence[Path], problems: list[Problem]) -> Brought:
    """Return what the files are; rows of exports are read, files of wearers and lasts are not yet.

    Parameters
    ----------
    paths
        Files, and folders of them.
    problems
        The list that problems are added to.
    """
    brought = Brought()
    for path in paths:
        for one in _files_of(path, problems):
            _sort_one(one, brought, problems)
    return brought


def _files_of(path: Path, problems: list[Problem]) -> Iterator[Path]:
    if not path.is_dir():
        yield path
        return
    try:
        found = sorted(
            one
            for one in path.iterdir()
            if one.suffix.lower() in _SUFFIXES and not one.name.startswith(".") and one.is_file()
        )
    except OSError as refused:
        problems.append(Problem(str(path), refused.strerror or "cannot be read", "a folder that can be read"))
        return
    if not found:
        problems.append(Problem(str(path), "nothing to bring in", f"files ending in {', '.join(_SUFFIXES)}"))
    elif len(found) > MOST_FILES:
        problems.append(Problem(str(path), f"{len(found)} files", f"at most {MOST_FILES}"))
    else:
        yield from found


def _sort_one(path: Path, brought: Brought, problems: list[Problem]) -> None:
    name = path.name
    try:
        with path.open("rb") as file:
            start = file.read(_START)
            size = file.seek(0, 2)
    except FileNotFoundError:
        problems.append(Problem(str(path), "no such file", "a file that exists"))
        return
    except OSError as refused:
        problems.append(Problem(str(path), refused.strerror or "cannot be read", "a file that can be read"))
        return
    if start == _DATABASE:
        problems.append(Problem(name, "a database", "an export; a backup is put back with records restore"))
    elif start.startswith(as_parquet.MAGIC):
        if size > EXPORT_LIMIT:
            problems.append(Problem(name, f"{size} bytes", f"at most {EXPORT_LIMIT} bytes"))
        else:
            as_parquet.from_parquet(path, name, brought.bundle, problems)
    else:
        _sort_text(path, name, brought, problems)


def _sort_text(path: Path, name: str, brought: Brought, problems: list[Problem]) -> None:
    text = read_text(path, name, EXPORT_LIMIT, problems)
    if text is None:
        return
    if path.suffix.lower() != ".csv" and (schema := _SCHEMA.search(text)) is not None:
        if schema[1] == as_toml.SCHEMA:
            as_toml.from_toml(text, name, brought.bundle, problems)
        elif schema[1] == wearer_file.SCHEMA:
            brought.wearers.append(path)
        elif schema[1] == last_file.SCHEMA:
            brought.lasts.append(path)
        else:
            known = f"{as_toml.SCHEMA}, {wearer_file.SCHEMA}, {last_file.SCHEMA}"
            problems.append(Problem(f"{name}, schema", shown(schema[1]), f"one of {known}"))
    elif path.suffix.lower() == ".toml":
        problems.append(Problem(f"{name}, schema", "no schema", f'such as schema = "{wearer_file.SCHEMA}"'))
    elif as_csv.table_of_header(text) is not None:
        as_csv.from_csv(text, name, brought.bundle, problems)
    else:
        brought.wearers.append(path)
