"""Entering a foot, in the gauge's order: each target is a button of a small form, each tap is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.foot_view import asked_scale, asked_words, entering_context, slot_words
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see, wants_fragment
from heelball.bench.session import author, session_of
from heelball.errors import InputError, UnreadableText
from heelball.foot.vector import FEET
from heelball.records.refused import Conflict
from heelball.scales.catalogue import GAUGE_OF
from heelball.show.lengths import Units, in_units
from heelball.work.draft_fields import (
    GAUGE_ORDER,
    SLOTS,
    Asked,
    Slot,
    changed,
    cleared,
    quarter_marks,
    skipped,
    undone,
    with_mark,
    with_quarter,
)
from heelball.work.entering import look, step, with_kind
from heelball.work.entry_checks import read_line, read_typed
from heelball.work.writing_down import write_down

router: Final = APIRouter(prefix="/wearers/{id}/foot")

Sent = Annotated[Form, Depends(posted)]
_Change = Callable[[Mapping[str, str]], Mapping[str, str] | None]


@router.get("")
def show(request: Request, id: str, at: str = "") -> Response:
    """Show what is asked next, and all readings of the draft."""
    return shown(request, id, at=at)


@router.post("/tap")
def tap(request: Request, id: str, form: Sent) -> Response:
    """Keep a whole size, a letter, or the line of a letter."""
    what = _asked(form)
    seen = look(request.app.state.records, id, author(request))
    # The foot's own ball size is a line as it stands: no quarter of it is asked for.
    field = "own" if "own" in form else "mark"
    mark = form.text(field)
    if seen.gauge is None or not mark:
        return _again(request, id)
    scale = asked_scale(seen, what)
    try:
        mark = read_line(mark, scale) if what.part == "line" else read_typed(what.slot, mark, scale).value
    except UnreadableText as refused:
        form.wrong("mark", refused.found, refused.wanted)
        return shown(request, id, form=form, at=form.text("slot"))
    whole = field == "mark"

    def change(fields: Mapping[str, str]) -> dict[str, str]:
        return with_mark(fields, what, mark, scale, whole=whole)

    said = f"{asked_words(what)} {mark}"
    return kept(request, id, form, change, said, field=field, focus="quarter" if whole else "ask")


@router.post("/quarter")
def quarter(request: Request, id: str, form: Sent) -> Response:
    """Keep the quarter of the mark tapped last."""
    what, quarter_more = _asked(form), form.text("quarter")

    def change(fields: Mapping[str, str]) -> dict[str, str] | None:
        offered = quarter_marks(fields)
        # Another hand may have tapped elsewhere: a quarter is never put on a mark it was not meant for.
        if offered is None or offered[0] != what:
            return None
        return with_quarter(fields, quarter_more)

    offered = quarter_marks(look(request.app.state.records, id, author(request)).fields)
    mark = offered[1].get(quarter_more, quarter_more) if offered is not None else quarter_more
    return kept(request, id, form, change, f"{asked_words(what)} {mark}", field="quarter")


@router.post("/skip")
def skip(request: Request, id: str, form: Sent) -> Response:
    """Leave one reading out, or all that a foot still lacks."""
    foot = form.text("foot")
    slots = tuple(slot for slot in GAUGE_ORDER if slot.foot == foot) if foot in FEET else (_asked(form).slot,)
    said = f"the {foot} foot is left out" if foot in FEET else f"{slot_words(slots[0])} left out"
    return kept(request, id, form, lambda fields: skipped(fields, slots), said)


@router.post("/clear")
def clear(request: Request, id: str, form: Sent) -> Response:
    """Take one reading out of the draft, to be asked again."""
    slot = _asked(form).slot
    return kept(request, id, form, lambda fields: cleared(fields, slot), f"{slot_words(slot)} taken out")


@router.post("/kind")
def kind(request: Request, id: str, form: Sent) -> Response:
    """Keep whether a reading is new, a repeat or a correction, and of which."""
    slot, said = _asked(form).slot, form.text("said")
    words = f"{slot_words(slot)}: {said.partition(':')[0]}"
    return kept(request, id, form, lambda fields: with_kind(fields, slot, said), words)


@router.post("/kinds")
def kinds(request: Request, id: str, form: Sent) -> Response:
    """Keep for all readings at once that each is new, or repeats the newest of its kind."""
    seen = look(request.app.state.records, id, author(request))
    repeats = form.text("said") == "repeat"

    def change(fields: Mapping[str, str]) -> Mapping[str, str]:
        said: dict[str, str | None] = {}
        for line in seen.lines:
            if line.lacks_kind:
                said[f"{line.slot.name}.kind"] = "repeat" if repeats else "new"
                said[f"{line.slot.name}.of"] = line.before[0].id if repeats else None
        return changed(fields, said)

    return kept(request, id, form, change, "all are repeats" if repeats else "all are new")


@router.post("/scale")
def scale(request: Request, id: str, form: Sent) -> Response:
    """Choose the gauge's scale for what is tapped from now on."""
    name = form.text("scale")
    if name not in GAUGE_OF.values():
        form.wrong("scale", f"{name or 'nothing'} was chosen", "one of the gauge's scales")
        return shown(request, id, form=form)
    return kept(request, id, form, lambda fields: changed(fields, {"scale": name}), f"scale {name}")


@router.post("/undo")
def undo(request: Request, id: str, form: Sent) -> Response:
    """Take the last tap back."""
    return kept(request, id, form, undone, "the last tap is taken back")


@router.post("/write")
def write(request: Request, id: str, form: Sent) -> Response:
    """Write the draft down as one sitting."""
    try:
        write_down(
            request.app.state.records,
            id,
            seen=seen_in(form),
            number=seen_in(form, "number"),
            by=author(request),
        )
    except InputError as refused:
        for problem in refused.problems:
            form.wrong(problem.place, problem.found, problem.wanted)
        return shown(request, id, form=form)
    except Conflict:
        now = look(request.app.state.records, id, author(request))
        if not now.holds and now.number > seen_in(form, "number"):
            # A second press, or another hand's: the draft was written down whole, and none of it waits.
            return see(f"/wearers/{id}")
        said = "Someone else wrote here meanwhile. Nothing of yours was written yet: look at both, then say"
        form.wrong("draft", f"{said} what yours are", "")
        return shown(request, id, form=form, status=409)
    return see(f"/wearers/{id}")


def kept(
    request: Request,
    id: str,
    form: Form,
    change: _Change,
    said: str,
    *,
    field: str = "",
    focus: str = "ask",
) -> Response:
    """Keep one tap and show what is asked next; where another hand tapped meanwhile, show both.

    Parameters
    ----------
    form, change
        What was sent, and what it makes of the draft.
    said
        What was done, for those who listen.
    field
        The field of the form that holds what the second fitter wanted, if a choice can be offered.
    focus
        Where the focus goes: to the quarters of what was tapped, or to what is asked next.
    """
    try:
        step(request.app.state.records, id, seen_in(form), change, by=author(request))
    except Conflict as conflict:
        return _both(request, id, form, conflict, said, field)
    if wants_fragment(request):
        return shown(request, id, said=f"{said[:1].upper()}{said[1:]}.", focus=focus)
    return _again(request, id)


def _both(
    request: Request,
    id: str,
    form: Form,
    conflict: Conflict,
    said: str,
    field: str,
) -> Response:
    """Show the draft as it is kept now beside what was tapped here."""
    if not field:
        form.wrong(
            "draft", "Someone else tapped here meanwhile, and your last tap was not kept", "a look first"
        )
        return shown(request, id, form=form, status=409)
    now = [
        f"{slot_words(slot)} {conflict.theirs.fields[name]}"
        for name, slot in SLOTS.items()
        if name in conflict.theirs.fields
    ]
    return conflict_page(
        request,
        conflict,
        form,
        {field: said[:1].upper() + said[1:]},
        _here(id),
        theirs={field: ""},
        said={field: ", ".join(now) or "nothing is entered"},
    )


def shown(
    request: Request,
    id: str,
    *,
    form: Form | None = None,
    at: str = "",
    said: str = "",
    focus: str = "",
    status: int | None = None,
) -> Response:
    """Return the page of entering, or for htmx the part of it that changes.

    Parameters
    ----------
    form
        The form that was refused, with its problems.
    at
        The reading that the fitter went back to.
    said, focus
        What was done, and where the focus goes.
    status
        By default 422 where a form was refused.
    """
    seen = look(request.app.state.records, id, author(request))
    fragment = wants_fragment(request)
    units: Units = "in" if session_of(request).units == "in" else "mm"
    # What was read stands in a question as it was read, whatever lengths are shown in.
    marks = {line.mark: line.mark for line in seen.lines}
    return page(
        request,
        "_foot_entry.html" if fragment else "foot.html",
        status=status or (200 if form is None or form.good else 422),
        form=form,
        url=_here(id),
        said=said,
        focus=focus or ("ask" if fragment else ""),
        fragment=fragment,
        in_words=lambda text: in_units(text, units, marks),
        **entering_context(seen, at=at),
    )


def seen_in(form: Form, name: str = "seen") -> int:
    """Return the version or number that a form has seen; one that no row has where it says none."""
    text = form.text(name)
    return int(text) if text.isdecimal() and len(text) < 10 else -1


def _asked(form: Form) -> Asked:
    name, _, line = form.text("slot").partition(".")
    slot: Slot | None = SLOTS.get(name)
    if slot is None:
        raise Refused(422, "This tap names no reading of a foot.", "Load the page again and tap once more.")
    return Asked(slot, "line" if line else "value")


def _here(id: str) -> str:
    return f"/wearers/{id}/foot"


def _again(request: Request, id: str) -> Response:
    return shown(request, id) if wants_fragment(request) else see(f"{_here(id)}#ask")
