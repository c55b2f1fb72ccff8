"""Find the session of each request by its cookie, begin one where there is none, and keep strangers out."""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heelball.bench.frame import render
from heelball.bench.gate import READING
from heelball.bench.refusals import API, refusal
from heelball.bench.session import LONGEST, Session, Sessions
from heelball.bench.settings import Settings

LOGIN: Final = "/login"
_STATIC: Final = "/static/"


def cookie_name(settings: Settings) -> str:
    """Return the cookie's name: browsers tell neither ports nor, before the prefix, schemes apart."""
    # The prefix makes browsers refuse it from plain HTTP, from a sub-domain or for a part of the site.
    return f"__Host-heelball-{settings.port}" if settings.secure else f"heelball-{settings.port}"


def cookie(settings: Settings, secret: str) -> str:
    """Return the header that hands a browser its secret."""
    parts = [
        f"{cookie_name(settings)}={secret}",
        "Path=/",
        f"Max-Age={int(LONGEST.total_seconds())}",
        "HttpOnly",
        "SameSite=Strict",
    ]
    return "; ".join(parts + ["Secure"] * settings.secure)


class SessionDoor:
    """Let a request in with its session, or send it to the log-in."""

    def __init__(self, app: ASGIApp, settings: Settings, sessions: Sessions) -> None:
        self.app = app
        self.settings = settings
        self.sessions = sessions

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer within a session."""
        if scope["type"] != "http" or scope["path"].startswith((_STATIC, API)):
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        found = await self._session(headers)
        given: str | None = None
        if found is not None:
            session = found
        elif _from_elsewhere(scope, headers):
            await HTMLResponse(render(scope, "crossing.html"))(scope, receive, send)
            return
        else:
            given, session = await run_in_threadpool(self.sessions.begin)
        state = scope.setdefault("state", {})
        state["session"] = session

        async def send_with_cookie(message: Message) -> None:
            if message["type"] == "http.response.start":
                secret = state.get("new_secret") or given
                if secret:
                    MutableHeaders(scope=message).append("Set-Cookie", cookie(self.settings, secret))
            await send(message)

        if not session.inside and scope["path"] != LOGIN:
            await self._to_login(scope, headers, session)(scope, receive, send_with_cookie)
            return
        await self.app(scope, receive, send_with_cookie)

    async def _session(self, headers: Headers) -> Session | None:
        secret = _cookie_of(headers, cookie_name(self.settings))
        if secret is None:
            return None
        return self.sessions.held(secret) or await run_in_threadpool(self.sessions.find, secret)

    def _to_login(self, scope: Scope, headers: Headers, session: Session) -> Response:
        if "hx-request" in headers:
            answer = refusal(scope, 401, "The session has ended.", "Log in again.")
            answer.headers["HX-Redirect"] = LOGIN
            return answer
        if scope["method"] not in READING:
            # What was sent is gone with this answer: only the browser's own way back still has it.
            found = "The session had ended, so nothing of this was written."
            remedy = "Log in again in another tab, then go back here: what was typed stands there still."
            return refusal(scope, 401, found, remedy)
        self.sessions.change(session, next=scope["path"])
        return RedirectResponse(LOGIN, 303)


def _cookie_of(headers: Headers, name: str) -> str | None:
    for header in headers.getlist("cookie"):
        try:
            found = SimpleCookie(header).get(name)
        except CookieError:
            continue
        if found is not None and found.value:
            return found.value
    return None


def _from_elsewhere(scope: Scope, headers: Headers) -> bool:
    """Whether a link on another site led here.

    Browsers then keep a strict cookie back, although they may have one: a new one in the answer
    would end the session that is there.
    """
    return scope["method"] == "GET" and headers.get("sec-fetch-site") == "cross-site"
