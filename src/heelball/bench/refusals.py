"""What is said where a request cannot be answered: a sentence and what to do, never a traceback."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from starlette.datastructures import Headers
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heelball.bench.frame import render
from heelball.errors import (
    HeelballError,
    InputError,
    InternalFault,
    MissingExtra,
    RecordsError,
    UnreadableText,
    UsageError,
)
from heelball.records.refused import AlreadyUndone, Conflict, DiskFull, NotFound, StillNeeded

#: Where the JSON API stands: refusals there are JSON.
API: Final = "/api/"

#: What is said by status, where nothing better is known.
SENTENCES: Final = {
    400: ("This could not be read.", "Go back and send it again."),
    403: ("The bench does not take this from here.", "Open the bench at its own address and try again."),
    404: (
        "There is nothing at this address.",
        "It may have been removed; look for it from one of the lists above.",
    ),
    405: ("This address is not for that.", "Go back and use the page's own buttons."),
    413: ("That is more than the bench takes at once.", "Send less, or a smaller file."),
    415: ("The bench reads forms here, and this is none.", "Go back and use the page's own buttons."),
    422: ("Something in this could not be read.", "Go back and mend it."),
    500: ("That is a fault of ours, not of what you did.", "Nothing was half written; try once more."),
    503: ("The records cannot be used just now.", "Try again in a moment."),
}

#: The status that answers an error of ours: the first class that it is one of.
_STATUS: Final[tuple[tuple[type[HeelballError], int], ...]] = (
    (NotFound, 404),
    (Conflict, 409),
    (AlreadyUndone, 409),
    (StillNeeded, 409),
    (DiskFull, 507),
    (RecordsError, 503),
    (InternalFault, 500),
    (MissingExtra, 501),
    (InputError, 422),
    (UnreadableText, 422),
    (UsageError, 422),
)


class Refused(Exception):
    """A request that is not answered: its status, a sentence and what to do."""

    def __init__(self, status: int, found: str = "", remedy: str = "") -> None:
        super().__init__(found)
        self.status = status
        self.found, self.remedy = (found, remedy) if found else SENTENCES[status]


def status_of(error: HeelballError) -> int:
    """Return the status that answers an error of ours."""
    return next((status for class_, status in _STATUS if isinstance(error, class_)), 500)


def refusal(
    scope: Scope, status: int, found: str = "", remedy: str = "", *, more: Iterable[str] = ()
) -> Response:
    """Return the answer that refuses: a page, a fragment for htmx, or JSON under the API.

    Parameters
    ----------
    scope
        The request.
    status
        Its HTTP status.
    found, remedy
        What is the matter, and what to do; the usual words of the status where left out.
    more
        Every problem, a sentence each; a page says the one that `found` is only once.
    """
    if not found:
        found, remedy = SENTENCES.get(status, SENTENCES[500 if status >= 500 else 400])
    problems = list(more)
    if scope["path"].startswith(API):
        ask = {"WWW-Authenticate": "Bearer"} if status == 401 else None
        return JSONResponse({"error": found, "remedy": remedy, "problems": problems}, status, ask)
    lines = list(dict.fromkeys([found, *problems]))
    fragment = "hx-request" in Headers(scope=scope)
    template = "_refusal.html" if fragment else "refusal.html"
    return HTMLResponse(render(scope, template, lines=lines, remedy=remedy), status)


def refusal_of(scope: Scope, error: HeelballError) -> Response:
    """Return the answer to an error of ours: its own sentences."""
    status = status_of(error)
    if isinstance(error, InternalFault):
        return refusal(scope, status)
    if isinstance(error, InputError):
        problems = [_sentence(line) for line in error.lines()] or [SENTENCES[status][0]]
        return refusal(scope, status, problems[0], error.remedy, more=problems)
    if isinstance(error, UnreadableText):
        sentence = _sentence(f"{error.found}; wanted {error.wanted}")
        return refusal(scope, status, sentence, more=[sentence])
    return refusal(scope, status, error.message, error.remedy)


def _sentence(line: str) -> str:
    return f"{line[:1].upper()}{line[1:]}" + ("" if line.endswith(".") else ".")


class Faults:
    """Turn whatever goes wrong in a page into a sentence; only the fault's class is written down."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = False

        async def send_and_see(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, send_and_see)
        except Exception as fault:  # whatever it is: a person gets a sentence, the log its class
            scope["heelball.fault"] = type(fault).__name__
            if started:
                # Half an answer is out: the server breaks the connection off, which says so.
                return
            if isinstance(fault, Refused):
                answer = refusal(scope, fault.status, fault.found, fault.remedy)
            elif isinstance(fault, HeelballError):
                answer = refusal_of(scope, fault)
            else:
                answer = refusal(scope, 500)
            await answer(scope, receive, send)
