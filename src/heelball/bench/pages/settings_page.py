"""What is set for the bench, and for one browser at it: units and the fitter's initials."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.code import code_svg
from heelball.bench.forms import Form, posted
from heelball.bench.frame import own_path
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see
from heelball.bench.session import session_of
from heelball.work import bench_settings

router: Final = APIRouter()

_UNITS: Final = ("mm", "in")
_LONGEST_INITIALS: Final = 8


@router.get("/settings")
def show_settings(request: Request) -> Response:
    """Show where the bench is reached, where its records are, and what is set."""
    return _settings(request)


@router.post("/settings")
def set_defaults(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Set what a new browser starts with."""
    units = form.text("default_units")
    if units not in _UNITS:
        form.wrong("default_units", f"{units or 'nothing'} was chosen", "mm or inches")
        return _settings(request, form)
    bench_settings.set_units(request.app.state.records, units)
    request.app.state.sessions.units = units
    return see("/settings")


@router.get("/settings/address.svg")
def draw_address(request: Request) -> Response:
    """Draw the address as a code for a camera."""
    return Response(code_svg(request.app.state.settings.address), media_type="image/svg+xml")


@router.post("/settings/units")
def switch_units(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Show lengths in mm or inches, in this browser."""
    units = form.text("units")
    if units not in _UNITS:
        raise Refused(422, "Lengths can be shown in mm or in inches.", "Choose one of them.")
    request.app.state.sessions.change(session_of(request), units=units)
    return see(own_path(form.text("back")))


@router.post("/settings/fitter")
def sign_as(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Sign what is written from this browser with a fitter's initials."""
    fitter = form.text("fitter")
    if len(fitter) > _LONGEST_INITIALS or not form.good:
        raise Refused(
            422, f"Initials are at most {_LONGEST_INITIALS} plain letters.", "Go back and shorten them."
        )
    request.app.state.sessions.change(session_of(request), fitter=fitter)
    return see(own_path(form.text("back")))


def _settings(request: Request, form: Form | None = None) -> Response:
    state = request.app.state
    return page(
        request,
        "settings.html",
        status=200 if form is None else 422,
        form=form,
        settings=state.settings,
        place=state.records.place,
        warning=state.records.warning,
        default_units=state.sessions.units,
    )
