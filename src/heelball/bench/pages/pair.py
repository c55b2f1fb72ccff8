"""One pair from order to kept: its life as a ledger, with the next step as a form."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.pair_forms import beside, day, label, seen, today
from heelball.bench.rendering import page, see
from heelball.bench.session import author, session_of
from heelball.errors import InputError
from heelball.records.pair_life import STATE_WORDS, Ending
from heelball.records.refused import Conflict
from heelball.show.lengths import Units, in_units
from heelball.work import pairs as steps
from heelball.work.arrival_check import check_arrival, written_arrival
from heelball.work.pair_history import undo_step
from heelball.work.pair_view import pair_record, pair_view

router: Final = APIRouter(prefix="/pairs/{pair_id}")

Sent = Annotated[Form, Depends(posted)]

_DAYS: Final = {
    "ordered_on": "Ordered",
    "due_on": "Expected",
    "arrived_on": "Came",
    "send_back_by": "Send back by",
    "closed_on": "Settled",
}
_CHECKED: Final = {
    "box": "Label on the box",
    "inside_length_mm": "Inside length",
    "flex_line_mm": "Flex line",
    "ball_girth_mm": "Round the ball",
    "heel_slips": "The heel slips",
    "boots_differ": "The two boots differ",
    "note": "Note",
}


@router.get("")
def show(request: Request, pair_id: str) -> Response:
    """Show a pair's life, and the form of its next step."""
    return _pair(request, pair_id)


@router.get("/export.json")
def export(request: Request, pair_id: str) -> Response:
    """Hand out the pair's record."""
    record = pair_record(pair_view(request.app.state.records, pair_id, today(request)))
    headers = {"Cache-Control": "no-store", "Content-Disposition": 'attachment; filename="pair.json"'}
    return JSONResponse(record, headers=headers)


@router.post("/arrive")
def arrive(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that it came."""
    on = day(form, "arrived_on", today(request))
    if on is not None and form.good:
        try:
            steps.arrive(request.app.state.records, pair_id, seen(form), on, author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            return conflict_page(request, conflict, form, {"arrived_on": "Came"}, f"/pairs/{pair_id}")
        else:
            return see(f"/pairs/{pair_id}")
    return _pair(request, pair_id, "arrive", form)


@router.post("/keep")
def keep(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that the wearer keeps it."""
    return _close(request, pair_id, form, "kept", "keep")


@router.post("/return")
def give_back(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that it went back."""
    return _close(request, pair_id, form, "returned", "return")


@router.post("/exchange")
def exchange(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that it went back and another was ordered for it; go on to that one."""
    on = day(form, "closed_on", today(request))
    due_on = day(form, "due_on", None)
    size, width = label(form, "label")
    if on is not None and form.good:
        try:
            _, new = steps.exchange(
                request.app.state.records,
                pair_id,
                seen(form),
                on,
                size,
                width,
                author(request),
                due_on=due_on,
            )
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            return conflict_page(request, conflict, form, {"closed_on": "Exchanged"}, f"/pairs/{pair_id}")
        else:
            return see(f"/pairs/{new.id}")
    return _pair(request, pair_id, "exchange", form)


@router.post("/mend")
def mend(request: Request, pair_id: str, form: Sent) -> Response:
    """Change days or note that were written down wrong."""
    changes: dict[str, str | None] = {}
    for name in _DAYS:
        if name in form:
            found = day(form, name, None)
            changes[name] = None if found is None else found.isoformat()
    if "note" in form:
        changes["note"] = form.text("note")
    if form.good:
        try:
            steps.mend(request.app.state.records, pair_id, seen(form), changes, author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            shown = {name: words for name, words in _DAYS.items() if name in form} | {"note": "Note"}
            return conflict_page(request, conflict, form, shown, f"/pairs/{pair_id}")
        else:
            return see(f"/pairs/{pair_id}")
    return _pair(request, pair_id, "mend", form)


@router.post("/take-back")
def take_back(request: Request, pair_id: str, form: Sent) -> Response:
    """Take an order back; the list of pairs offers to undo it."""
    try:
        steps.take_back(request.app.state.records, pair_id, seen(form), author(request))
    except InputError as refused:
        beside(form, refused)
        return _pair(request, pair_id, "take-back", form)
    except Conflict as conflict:
        return conflict_page(request, conflict, form, {}, f"/pairs/{pair_id}")
    return see("/pairs")


@router.post("/arrival")
def check(request: Request, pair_id: str, form: Sent) -> Response:
    """Keep the check of the boot that came, and say what it says."""
    records, units = request.app.state.records, session_of(request).units
    if form.good:
        typed = {name: form.text(name) for name in _CHECKED}
        try:
            check_arrival(records, pair_id, seen(form), typed, units=units, by=author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            theirs = written_arrival(conflict.theirs, units)
            return conflict_page(request, conflict, form, _CHECKED, f"/pairs/{pair_id}", theirs=theirs)
        else:
            return see(f"/pairs/{pair_id}#arrival")
    return _pair(request, pair_id, "arrival", form)


@router.post("/undo")
def undo(request: Request, pair_id: str, form: Sent) -> Response:
    """Take one step back."""
    change = form.text("change")
    if not change.isdecimal() or len(change) > 9:
        form.wrong("undo", "it is not said what to undo", "one of the steps below")
    else:
        try:
            undo_step(request.app.state.records, pair_id, int(change), author(request))
        except InputError as refused:
            beside(form, refused)
        else:
            return see(f"/pairs/{pair_id}")
    return _pair(request, pair_id, "undo", form)


def _close(request: Request, pair_id: str, form: Form, ending: Ending, step: str) -> Response:
    on = day(form, "closed_on", today(request))
    if on is not None and form.good:
        try:
            steps.close(request.app.state.records, pair_id, seen(form), ending, on, author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            return conflict_page(request, conflict, form, {"closed_on": "Settled"}, f"/pairs/{pair_id}")
        else:
            return see(f"/pairs/{pair_id}")
    return _pair(request, pair_id, step, form)


def _pair(request: Request, pair_id: str, step: str = "", form: Form | None = None) -> Response:
    """Return the page of a pair; with mistakes at the form of one step where that came back."""
    day_ = today(request)
    view = pair_view(request.app.state.records, pair_id, day_)
    units: Units = "in" if session_of(request).units == "in" else "mm"
    sent: dict[str, Any] = {} if form is None else {step: form}
    return page(
        request,
        "pair.html",
        status=200 if form is None else 422,
        forms=sent,
        view=view,
        today=day_.isoformat(),
        days=[
            (name, STATE_WORDS[view.pair.state].capitalize() if name == "closed_on" else words, on)
            for name, words in _DAYS.items()
            if (on := getattr(view.pair, name)) is not None or _may_have(view.pair.state, name)
        ],
        checked=written_arrival(view.pair, units),
        arrival_said=[in_units(text, units) for text in view.arrival.get("said", ())],
        said=[(about, in_units(text, units)) for about, text in view.said],
    )


def _may_have(state: str, name: str) -> bool:
    """Whether a day may still be added to a pair that has none."""
    return name == "due_on" if state == "ordered" else name == "send_back_by" and state == "arrived"
