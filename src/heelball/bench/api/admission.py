"""Who may use the API: anyone on this machine, whoever has a token on a network; never a cookie."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request

from heelball.bench.refusals import Refused
from heelball.bench.settings import Settings
from heelball.records.store import Records
from heelball.records.values import Author
from heelball.work import bench_tokens

_BODIES = ("POST", "PATCH", "PUT", "DELETE")


async def admitted(request: Request) -> None:
    """Let a request in, or refuse it.

    A browser sends its cookies along whatever page asks it to, and forms as what forms are: the
    API takes neither, so that no other page can write here in a fitter's name.

    Raises
    ------
    Refused
        400 with a cookie, 415 with a body that is not JSON, 401 without a good token on a network.
    """
    settings: Settings = request.app.state.settings
    if "cookie" in request.headers:
        raise Refused(400, "The API takes no cookies.", "Send a bearer token instead.")
    if request.method in _BODIES and not _is_json(request):
        raise Refused(415, "The API reads JSON alone.", "Send it with Content-Type: application/json.")
    if not settings.on_network:
        return
    scheme, _, secret = request.headers.get("authorization", "").partition(" ")
    records: Records = request.app.state.records
    if scheme.lower() == "bearer" and secret:
        held = await run_in_threadpool(bench_tokens.admits, records, secret.strip(), settings.clock())
        if held is not None:
            return
    raise Refused(
        401,
        "The API asks for a bearer token here.",
        "Make one with: heelball bench token add NAME; send it as Authorization: Bearer.",
    )


def _is_json(request: Request) -> bool:
    kind, _, charset = request.headers.get("content-type", "").partition(";")
    return kind.strip().lower() == "application/json" and charset.strip().lower() in ("", "charset=utf-8")


def records_of(request: Request) -> Records:
    """Return the records that the bench works on."""
    records: Records = request.app.state.records
    return records


def author(request: Request, fitter: str = "") -> Author:
    """Return who writes, by the initials given with the request, and when."""
    settings: Settings = request.app.state.settings
    return Author(fitter, settings.clock())


Kept = Annotated[Records, Depends(records_of)]
