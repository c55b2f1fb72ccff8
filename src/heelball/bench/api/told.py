"""What the API gives back: the records' own values as JSON, described from their own fields."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, reduce
from operator import or_
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import attrs
from pydantic import BaseModel, create_model


@cache
def model_of(kind: type) -> type[BaseModel]:
    """Return the description of a value for OpenAPI, field by field, so that it has one home.

    Parameters
    ----------
    kind
        A class of the records' values.
    """
    hints = get_type_hints(kind)
    fields: dict[str, Any] = {one.name: (_plain(hints[one.name]), ...) for one in attrs.fields(kind)}
    return create_model(kind.__name__, __doc__=_summary(kind), **fields)


def answer_of(name: str, says: str, **hints: Any) -> type[BaseModel]:
    """Return the description of an answer that puts values together.

    Parameters
    ----------
    name, says
        What it is called in OpenAPI, and a sentence of what it is.
    hints
        By field: the records' values, lists of them, or other descriptions.
    """
    fields: dict[str, Any] = {field: (_plain(hint), ...) for field, hint in hints.items()}
    return create_model(name, __doc__=says, **fields)


def told(value: Any) -> dict[str, Any]:
    """Return one value as JSON has it."""
    return attrs.asdict(value)


def _plain(hint: Any) -> Any:
    """Return a hint as JSON knows it: values described, tuples as the lists that they become."""
    if attrs.has(hint):
        return model_of(hint)
    origin, inner = get_origin(hint), tuple(_plain(one) for one in get_args(hint) if one is not Ellipsis)
    if origin in (tuple, list):
        return list[_any_of(inner)]  # type: ignore[misc]
    if origin in (Union, UnionType):
        return _any_of(inner)
    return hint


def _any_of(hints: Sequence[Any]) -> Any:
    return reduce(or_, hints)


def _summary(kind: type) -> str:
    return (kind.__doc__ or "").strip().split("\n")[0]
