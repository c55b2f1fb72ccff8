"""What the API gives back: the records' own values as JSON, described from their own fields."""

from __future__ import annotations

from functools import cache
from typing import Any, get_type_hints

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


def told(value: Any) -> dict[str, Any]:
    """Return one value as JSON has it."""
    return attrs.asdict(value)


def _plain(hint: Any) -> Any:
    """Return a hint with the values inside it described too."""
    if attrs.has(hint):
        return model_of(hint)
    inner = getattr(hint, "__args__", ())
    parts = [one for one in inner if isinstance(one, type) and attrs.has(one)]
    if getattr(hint, "__origin__", None) is tuple and parts:
        return list[model_of(parts[0])]  # type: ignore[misc]
    return hint


def _summary(kind: type) -> str:
    return (kind.__doc__ or "").strip().split("\n")[0]
