"""The bench's pages and API as one application."""

from __future__ import annotations

from typing import Final

from fastapi import Depends, FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from heelball import __version__
from heelball.bench import api, static_files
from heelball.bench.access_log import AccessLog
from heelball.bench.bodies import BoundedBody
from heelball.bench.forms import posted
from heelball.bench.gate import Gate
from heelball.bench.headers import Headers
from heelball.bench.pages import ROUTERS
from heelball.bench.rate_limit import RateLimit
from heelball.bench.refusals import Faults, Refused, refusal, refusal_of
from heelball.bench.session import Sessions
from heelball.bench.session_door import SessionDoor
from heelball.bench.settings import Settings
from heelball.bench.sheets_waiting import SheetsWaiting
from heelball.errors import HeelballError
from heelball.records.store import Records
from heelball.work import bench_settings

_OPENAPI: Final = "/api/v1/openapi.json"


def make_app(settings: Settings, records: Records) -> FastAPI:
    """Return the application of one bench.

    Parameters
    ----------
    settings
        How it is set.
    records
        The records it works on; whoever opened them closes them.
    """
    app = FastAPI(
        title="Heelball",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=_OPENAPI,
        redirect_slashes=False,
    )
    sessions = Sessions(settings, records, units=bench_settings.units(records))
    app.state.settings = settings
    app.state.records = records
    app.state.sessions = sessions
    app.state.login_tries = RateLimit()
    app.state.sheets = SheetsWaiting(settings.clock)
    app.include_router(static_files.router, include_in_schema=False)
    for router in ROUTERS:
        # Also where a page forgets to ask for it: without its token no form is read.
        app.include_router(router, include_in_schema=False, dependencies=[Depends(posted)])
    app.include_router(api.router)
    _answer_errors(app)
    # From the innermost to the outermost.
    app.add_middleware(SessionDoor, settings=settings, sessions=sessions)
    app.add_middleware(BoundedBody)
    app.add_middleware(Gate, settings=settings)
    app.add_middleware(Faults)
    app.add_middleware(Headers)
    app.add_middleware(AccessLog, settings=settings)
    return app


def _answer_errors(app: FastAPI) -> None:
    @app.exception_handler(HTTPException)
    async def _http(request: Request, error: HTTPException) -> Response:
        answer = refusal(request.scope, error.status_code)
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(RequestValidationError)
    async def _invalid(request: Request, error: RequestValidationError) -> Response:
        more = [f"{'.'.join(str(step) for step in at['loc'])}: {at['msg']}." for at in error.errors()]
        return refusal(request.scope, 422, more=more)

    @app.exception_handler(Refused)
    async def _refused(request: Request, error: Refused) -> Response:
        return refusal(request.scope, error.status, error.found, error.remedy)

    @app.exception_handler(HeelballError)
    async def _ours(request: Request, error: HeelballError) -> Response:
        request.scope["heelball.fault"] = type(error).__name__
        return refusal_of(request.scope, error)
