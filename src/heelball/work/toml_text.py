"""TOML as a person would write it: lists of tables under their own headings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomli_w


def toml_text(table: Mapping[str, Any]) -> str:
    """Return a table as TOML, each table of a list under its own ``[[name]]``.

    Parameters
    ----------
    table
        Values as TOML has them; lists of tables stand at the top only, and their tables hold no others
        but plain ones.

    Examples
    --------
    >>> print(toml_text({"code": "N7", "advice": [{"order": "-1/2"}]}), end="")
    code = "N7"
    <BLANKLINE>
    [[advice]]
    order = "-1/2"
    """
    lists = {name: value for name, value in table.items() if _is_list_of_tables(value)}
    tables = {name: value for name, value in table.items() if isinstance(value, Mapping)}
    plain = {name: value for name, value in table.items() if name not in lists and name not in tables}
    parts = [tomli_w.dumps(plain)] if plain else []
    parts += [tomli_w.dumps({name: value}) for name, value in tables.items()]
    parts += [_one_of_list(name, one) for name, value in lists.items() for one in value]
    return "\n".join(parts)


def _one_of_list(name: str, table: Mapping[str, Any]) -> str:
    inner = {key: value for key, value in table.items() if isinstance(value, Mapping)}
    plain = {key: value for key, value in table.items() if key not in inner}
    # By its whole name: under a name of its own it would be a table of the file.
    parts = [f"[[{name}]]\n{tomli_w.dumps(plain)}"]
    parts += [f"[{name}.{key}]\n{tomli_w.dumps(value)}" for key, value in inner.items()]
    return "\n".join(parts)


def _is_list_of_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)
