"""One wearer: feet and readings, who it is, what to take away, and taking things back."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.foot_entry import seen_in
from heelball.bench.pages.wearers import POPULATION_WORDS, beside, handed, read_particulars
from heelball.bench.rendering import page, see
from heelball.bench.session import author, session_of
from heelball.errors import InputError, RecordsError
from heelball.records.refused import Conflict, NotFound
from heelball.show.lengths import Units, figure_text, in_units, length_text
from heelball.work import wearer_changes, wearer_out
from heelball.work.due import pairs_of
from heelball.work.history import take_last_back
from heelball.work.wearer_page import look_at

router: Final = APIRouter(prefix="/wearers/{id}")

Sent = Annotated[Form, Depends(posted)]

_LABELS: Final = {
    "code": "Code",
    "name": "Name",
    "population": "Read on",
    "note": "Note",
    "keeps_try_ons": "Try-ons may stay after an erase",
}


@router.get("")
def show(request: Request, id: str) -> Response:
    """Show one wearer."""
    return _shown(request, id)


def _shown(request: Request, id: str, trouble: str = "") -> Response:
    records = request.app.state.records
    today = author(request).at.date()
    units: Units = "in" if session_of(request).units == "in" else "mm"
    wearer = look_at(records, id, today)
    # What was read stands in a question as it was read, whatever lengths are shown in.
    marks = {row.mark: row.mark for sitting in wearer.sittings for row in sitting.rows}
    return page(
        request,
        "wearer.html",
        status=409 if trouble else 200,
        wearer=wearer,
        listed=pairs_of(records, id, today),
        trouble=trouble,
        length=lambda length: length_text(length, units),
        figure=lambda length: figure_text(length, units),
        said=lambda text: in_units(text, units, marks),
    )


@router.get("/edit")
def ask(request: Request, id: str) -> Response:
    """Show the form of who a wearer is."""
    return _edit(request, id)


@router.post("/edit")
def change(request: Request, id: str, form: Sent) -> Response:
    """Change who a wearer is."""
    wanted = read_particulars(form)
    wanted |= {"note": form.text("note"), "keeps_try_ons": form.text("keeps_try_ons") == "yes"}
    if form.good:
        try:
            wearer_changes.change(request.app.state.records, id, seen_in(form), wanted, by=author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            return conflict_page(request, conflict, form, _LABELS, f"/wearers/{id}")
        else:
            return see(f"/wearers/{id}")
    return _edit(request, id, form)


def _edit(request: Request, id: str, form: Form | None = None) -> Response:
    kept = wearer_changes.find(request.app.state.records, id)
    return page(
        request,
        "_wearer_form.html",
        status=200 if form is None else 422,
        form=form,
        kept=kept,
        code=kept.code,
        populations=POPULATION_WORDS,
    )


@router.post("/readings/{reading_id}")
def set_reading(request: Request, id: str, reading_id: str, form: Sent) -> Response:
    """Take a reading back, or let it count again."""
    try:
        wearer_changes.set_reading(
            request.app.state.records,
            id,
            reading_id,
            seen_in(form),
            counts=form.text("do") == "count",
            by=author(request),
        )
    except NotFound:
        raise
    except RecordsError as refused:
        return _shown(request, id, f"{refused.message} {refused.remedy}")
    return see(f"/wearers/{id}#readings")


@router.post("/undo")
def undo(request: Request, id: str, form: Sent) -> Response:
    """Take back what was done last to this wearer's records."""
    wearer_changes.find(request.app.state.records, id)
    try:
        take_last_back(request.app.state.records, id, seen_in(form), by=author(request))
    except RecordsError as refused:
        return _shown(request, id, f"{refused.message} {refused.remedy}")
    return see(f"/wearers/{id}")


@router.get("/file.toml")
def take_toml(request: Request, id: str) -> Response:
    """Hand over all that is kept of a wearer, as a wearer file."""
    return handed(wearer_out.wearer_toml(request.app.state.records, id), "application/toml", "wearer.toml")


@router.get("/file.json")
def take_json(request: Request, id: str) -> Response:
    """Hand over all that is kept of a wearer, as JSON."""
    return handed(wearer_out.wearer_json(request.app.state.records, id), "application/json", "wearer.json")


@router.get("/health.toml")
def take_health(request: Request, id: str) -> Response:
    """Hand over what a wearer told of health, apart from all else."""
    return handed(wearer_out.health_toml(request.app.state.records, id), "application/toml", "health.toml")
