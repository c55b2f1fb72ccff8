"""Routes of the API: where two wrote at once, the second gets both versions and chooses."""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Sequence
from typing import Any, Final

import attrs
from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse
from fastapi.routing import APIRoute

from heelball.bench.api.told import told
from heelball.records.refused import Conflict

#: What every route may answer besides; OpenAPI tells of it.
_REFUSED: Final[dict[str, Any]] = {
    "description": "Refused, with a sentence, what to do, and every problem in a sentence.",
    "content": {
        "application/json": {
            "schema": {
                "type": "object",
                "required": ["error", "remedy", "problems"],
                "properties": {
                    "error": {"type": "string"},
                    "remedy": {"type": "string"},
                    "problems": {"type": "array", "items": {"type": "string"}},
                },
            }
        }
    },
}

_REFUSALS: Final[tuple[int | str, ...]] = (400, 401, 403, 404, 409, 413, 415, 422, 503, 507)


class _Route(APIRoute):
    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        answer = super().get_route_handler()

        async def with_both(request: Request) -> Response:
            try:
                return await answer(request)
            except Conflict as conflict:
                body = {
                    "error": conflict.message,
                    "remedy": conflict.remedy,
                    "problems": [],
                    "theirs": _plain(conflict.theirs),
                    "yours": _plain(conflict.changes),
                }
                return JSONResponse(body, 409)

        return with_both


def _plain(value: Any) -> Any:
    if attrs.has(type(value)):
        return told(value)
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_plain(one) for one in value]
    return value


def routes(tag: str) -> APIRouter:
    """Return a router for one part of the API.

    Parameters
    ----------
    tag
        What the part is about.
    """
    return APIRouter(tags=[tag], route_class=_Route, responses=dict.fromkeys(_REFUSALS, _REFUSED))
