"""How much a request may send, and how long over it: counted as it comes, whatever it said of itself."""

from __future__ import annotations

import asyncio
import re
from contextlib import suppress
from typing import Final

from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heelball.bench.refusals import refusal

#: A form as typed [bytes].
FORM_BYTES: Final = 64 * 1024
#: A form with a file in it [bytes].
UPLOAD_BYTES: Final = 2 * 1024 * 1024
#: A form with a sheet's photograph in it, which only the page of sheets takes [bytes].
PHOTOGRAPH_BYTES: Final = 40 * 1024 * 1024
#: A document for the JSON API [bytes].
JSON_BYTES: Final = 512 * 1024
#: How long the whole of it may take to come [s].
PATIENCE_S: Final = 60.0

_SHEETS: Final = re.compile(r"/wearers/[^/]+/sheet")
#: More digits than any length that is taken has.
_MOST_DIGITS: Final = 9


class BodyRefused(Exception):
    """More came than the bench takes, or too slowly; the answer to it stands in `BoundedBody`."""


def most_bytes(scope: Scope) -> int:
    """Return how much a request of this kind may send [bytes]."""
    kind = next((value for name, value in scope["headers"] if name == b"content-type"), b"").lower()
    if kind.startswith(b"multipart/form-data"):
        photograph = scope["method"] == "POST" and _SHEETS.fullmatch(scope["path"])
        return PHOTOGRAPH_BYTES if photograph else UPLOAD_BYTES
    return JSON_BYTES if kind.startswith(b"application/json") else FORM_BYTES


class BoundedBody:
    """Refuse a body that is too large, at once where its length is told, else where it grows too long."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse with 413, or 408 where the body does not come to its end."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        most = most_bytes(scope)
        if _told_too_large(scope, most):
            await _refusal(scope, 413, most)(scope, receive, send)
            return
        until = asyncio.get_running_loop().time() + PATIENCE_S
        came, ended = 0, False
        refused: int | None = None

        async def receive_counting() -> Message:
            nonlocal came, ended, refused
            if ended:
                # What is still waited for is that the caller goes away, however long that takes.
                return await receive()
            try:
                async with asyncio.timeout_at(until):
                    message = await receive()
            except TimeoutError:
                refused = 408
                raise BodyRefused from None
            came += len(message.get("body", b""))
            ended = not message.get("more_body", False)
            if came > most:
                refused = 413
                raise BodyRefused
            return message

        started = False

        async def send_unless_refused(message: Message) -> None:
            nonlocal started
            # What reads the body may turn our refusal into an answer of its own: ours stands.
            if refused is None or started:
                started = started or message["type"] == "http.response.start"
                await send(message)

        with suppress(BodyRefused):
            await self.app(scope, receive_counting, send_unless_refused)
        if refused is not None and not started:
            await _refusal(scope, refused, most)(scope, receive, send)


def _told_too_large(scope: Scope, most: int) -> bool:
    told = next((value for name, value in scope["headers"] if name == b"content-length"), b"0")
    return not told.isdigit() or len(told) > _MOST_DIGITS or int(told) > most


def _refusal(scope: Scope, status: int, most: int) -> Response:
    if status == 408:
        return refusal(scope, status, "It did not come to its end.", "Look to the network and send it again.")
    size = f"{most // 1024} kB" if most < UPLOAD_BYTES else f"{most // 1024**2} MB"
    found = f"That is more than the bench takes at once: {size}."
    return refusal(scope, status, found, "Send less, or a smaller file.")
