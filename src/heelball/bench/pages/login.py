"""The log-in: a passphrase, tried a few times in five minutes."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.frame import own_path
from heelball.bench.passphrase import is_right
from heelball.bench.rendering import page, see
from heelball.bench.session import session_of

router: Final = APIRouter()


@router.get("/login")
def show_login(request: Request) -> Response:
    """Ask for the passphrase, where there is one to ask for."""
    return see("/") if session_of(request).inside else page(request, "login.html")


@router.post("/login")
def log_in(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Begin a session where the passphrase is right."""
    state = request.app.state
    session = session_of(request)
    if session.inside:
        return see("/")
    now = state.settings.clock()
    caller = request.client.host if request.client else ""
    until = state.login_tries.take(caller, now)
    if until is not None:
        form.wrong("passphrase", f"That was tried too often. Try again after {until:%H:%M:%S}", "")
        answer = page(request, "login.html", status=429, form=form)
        answer.headers["Retry-After"] = str(int((until - now).total_seconds()) + 1)
        return answer
    if not is_right(form.raw("passphrase"), state.settings.passphrase_hash):
        form.wrong("passphrase", "That is not the passphrase", "")
        return page(request, "login.html", status=422, form=form)
    state.login_tries.forgive(caller)
    # Another secret than before the log-in: whoever knew that one has gained nothing.
    state.sessions.end(session)
    request.state.new_secret, _ = state.sessions.begin(logged_in=True)
    return see(own_path(session.data.get("next", "/")))


@router.post("/logout")
def log_out(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:  # noqa: ARG001
    """End the session, and forget the photographs that came in it."""
    session = session_of(request)
    request.app.state.sessions.end(session)
    request.app.state.sheets.drop_all_of(session=session.hash)
    return see("/login")
