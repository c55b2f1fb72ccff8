"""How much a request may send: counted as it comes, whatever it said of its length."""

from __future__ import annotations

from contextlib import suppress
from typing import Final

from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heelball.bench.refusals import refusal

#: A form as typed [bytes].
FORM_BYTES: Final = 64 * 1024
#: A form with a file in it [bytes].
UPLOAD_BYTES: Final = 2 * 1024 * 1024
#: A document for the JSON API [bytes].
JSON_BYTES: Final = 512 * 1024


class BodyTooLarge(Exception):
    """More came than the bench takes; the answer to it stands in `BoundedBody`."""


def most_bytes(scope: Scope) -> int:
    """Return how much a request of this kind may send [bytes]."""
    kind = next((value for name, value in scope["headers"] if name == b"content-type"), b"").lower()
    if kind.startswith(b"multipart/form-data"):
        return UPLOAD_BYTES
    return JSON_BYTES if kind.startswith(b"application/json") else FORM_BYTES


class BoundedBody:
    """Refuse a body that is too large, at once where its length is told, else where it grows too long."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse with 413."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        most = most_bytes(scope)
        told = next((value for name, value in scope["headers"] if name == b"content-length"), b"0")
        if not told.isdigit() or int(told) > most:
            await _too_much(scope, most)(scope, receive, send)
            return
        came = 0
        too_large = False

        async def receive_counting() -> Message:
            nonlocal came, too_large
            message = await receive()
            if message["type"] == "http.request":
                came += len(message.get("body", b""))
                if came > most:
                    too_large = True
                    raise BodyTooLarge
            return message

        started = False

        async def send_unless_refused(message: Message) -> None:
            nonlocal started
            # What reads the body may turn our refusal into an answer of its own: ours stands.
            if not too_large or started:
                started = started or message["type"] == "http.response.start"
                await send(message)

        with suppress(BodyTooLarge):
            await self.app(scope, receive_counting, send_unless_refused)
        if too_large and not started:
            await _too_much(scope, most)(scope, receive, send)


def _too_much(scope: Scope, most: int) -> Response:
    found = f"That is more than the bench takes at once: {most // 1024} kB."
    return refusal(scope, 413, found, "Send less, or a smaller file.")
