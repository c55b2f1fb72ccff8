"""The access log: when, which route, how it went and how long it took; never an address as called.

An address as called holds the random name of a wearer or a pair; the route's template does not.
"""

from __future__ import annotations

import logging
import time
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Final

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heelball.bench.settings import Settings
from heelball.errors import RecordsError

log: Final = logging.getLogger("heelball.bench.access")
log.propagate = False

_API: Final = "/api/v1"

#: What stands in the log where no route was met.
NO_ROUTE: Final = "(no page)"
_METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


def route_of(scope: Scope) -> str:
    """Return the template of the route a request met, without what stood in its places."""
    template = getattr(scope.get("route"), "path", None)
    if not isinstance(template, str):
        # The description of the API is no route of a router; its address has no places.
        described = getattr(scope.get("app"), "openapi_url", None)
        return described if described and scope["path"] == described else NO_ROUTE
    # A route of a router within the API's own tells its address from there on only.
    within = scope["path"].startswith(f"{_API}/") and not template.startswith(f"{_API}/")
    return f"{_API}{template}" if within else template


class _File(RotatingFileHandler):
    """A log file; where it cannot be written, as on a full disk, the bench goes on without a word."""

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - logging's own name
        """Do nothing: logging would print a traceback."""


def log_into(path: Path) -> None:
    """Write the log into a file that only its owner can read, three of a megabyte at most.

    Raises
    ------
    RecordsError
        Where the file cannot be made.
    """
    try:
        path.touch(mode=0o600)
        path.chmod(0o600)
        handler = _File(path, maxBytes=1_000_000, backupCount=2, encoding="utf-8")
    except OSError as error:
        raise RecordsError(
            f"The access log cannot be written at {path}: {(error.strerror or 'refused').lower()}.",
            "Make room there, or look at who may write.",
        ) from error
    handler.setFormatter(logging.Formatter("%(message)s"))
    log.addHandler(handler)
    log.setLevel(logging.INFO)


class AccessLog:
    """Write one line for each request, and for a fault the name of its class."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, then write the line."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        status = 0

        async def send_and_see(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        began = time.perf_counter()
        try:
            await self.app(scope, receive, send_and_see)
        finally:
            # A method is what the caller makes of it: only those we know are written down.
            method = scope["method"] if scope["method"] in _METHODS else "(other)"
            fault = scope.get("heelball.fault", "")
            log.info(
                "%s %s %s %s %.0f ms%s",
                self.settings.clock().isoformat(timespec="seconds"),
                method,
                route_of(scope),
                status or "-",
                (time.perf_counter() - began) * 1000,
                f" {fault}" if fault else "",
            )
