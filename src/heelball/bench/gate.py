"""The first question to each request: is it meant for this bench, and does it come from its own pages."""

from __future__ import annotations

from typing import Final

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from heelball.bench.hosts import Hosts
from heelball.bench.refusals import refusal
from heelball.bench.settings import Settings

#: Methods that only read.
READING: Final = frozenset({"GET", "HEAD", "OPTIONS"})


def from_own_pages(scope: Scope, headers: Headers, *, secure: bool) -> bool:
    """Whether a write comes from the bench's own pages, as far as the browser says.

    What says nothing passes here: a browser too old, or none. The form's token is asked for after.
    """
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    # Without a referrer, browsers write "null" for the origin of a plain form, also of our own.
    if origin is None or (origin == "null" and scope["method"] == "POST"):
        return True
    return origin == f"{'https' if secure else 'http'}://{headers.get('host', '')}"


class Gate:
    """Refuse other names (403) and writes from other pages (403)."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings
        self.hosts = Hosts(settings.host, settings.host_names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] == "http":
            if not self.hosts.answers_to(scope):
                found = "The bench does not answer to that name."
                remedy = "Start it with --host-name to add one."
                await refusal(scope, 403, found, remedy)(scope, receive, send)
                return
            if scope["method"] not in READING and not from_own_pages(
                scope, Headers(scope=scope), secure=self.settings.secure
            ):
                found = "This did not come from the bench's own pages, so nothing was changed."
                await refusal(scope, 403, found, "Open the bench and do it there.")(scope, receive, send)
                return
        await self.app(scope, receive, send)
