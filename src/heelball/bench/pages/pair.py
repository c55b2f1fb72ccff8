"""One pair from order to kept: its life as a ledger, with the next step as a form."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.pair_forms import beside, day, seen, today
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author, session_of
from heelball.errors import InputError
from heelball.records.pair_life import STATE_WORDS
from heelball.records.refused import Conflict
from heelball.records.values import KeptPair
from heelball.show.lengths import Units, in_units
from heelball.work import pairs as steps
from heelball.work.arrival_check import check_arrival, written_arrival
from heelball.work.pair_check import check_said, kept_check
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
#: What each step makes of a pair, so that two fitters' versions can be told apart.
OUTCOMES: Final = {
    "arrive": STATE_WORDS["arrived"],
    "keep": STATE_WORDS["kept"],
    "return": STATE_WORDS["returned"],
    "exchange": STATE_WORDS["exchanged"],
    "take-back": "taken out",
}
#: The steps whose forms stand on the page, by the state of the pair.
_STEPS: Final = {
    "ordered": ("arrive", "mend", "take-back"),
    "arrived": ("keep", "exchange", "return", "mend", "arrival"),
    "owned": ("mend", "take-back", "arrival"),
}
_CLOSED: Final = ("mend", "arrival")
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
    return pair_page(request, pair_id)


@router.get("/export.json")
def export(request: Request, pair_id: str) -> Response:
    """Hand out the pair's record."""
    record = pair_record(pair_view(request.app.state.records, pair_id, today(request)))
    return JSONResponse(record, headers=to_save("pair.json"))


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
    return pair_page(request, pair_id, "mend", form)


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
    return pair_page(request, pair_id, "arrival", form)


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
    return pair_page(request, pair_id, "undo", form)


def pair_page(request: Request, pair_id: str, step: str = "", form: Form | None = None) -> Response:
    """Return the page of a pair; with mistakes at the form of one step where that came back."""
    day_ = today(request)
    view = pair_view(request.app.state.records, pair_id, day_)
    units: Units = "in" if session_of(request).units == "in" else "mm"
    sent: dict[str, Any] = {} if form is None else {step: form}
    checked = kept_check(request.app.state.records, pair_id, day_)
    return page(
        request,
        "pair.html",
        status=200 if form is None else 422,
        forms=sent,
        outcomes=OUTCOMES,
        loose=_loose(view.pair, step, form),
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
        verdict=None if checked is None else check_said(checked, units),
    )


def _loose(pair: KeptPair, step: str, form: Form | None) -> list[str]:
    """Return the sentences that stand beside no field: about the pair's state, or of a form not shown."""
    if form is None or step == "undo":
        return []
    shown = step in _STEPS.get(pair.state, _CLOSED)
    return [told for name, told in form.problems.items() if name == "state" or not shown]


def _may_have(state: str, name: str) -> bool:
    """Whether a day may still be added to a pair that has none."""
    return name == "due_on" if state == "ordered" else name == "send_back_by" and state == "arrived"
