"""Readings typed instead of tapped, and what is said once of the sitting."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.pages.foot_entry import Sent, kept, shown
from heelball.bench.pages.foot_view import GAUGES, LOAD_WORDS, METHOD_WORDS, SOCK_WORDS
from heelball.bench.session import author
from heelball.errors import InputError
from heelball.units import MILLIMETRES
from heelball.work.draft_fields import SLOTS, changed
from heelball.work.entering import SITTING, look
from heelball.work.typed_entry import typed_changes
from heelball.work.writing_down import read_taken

router: Final = APIRouter(prefix="/wearers/{id}/foot")

_LONGEST_INITIALS: Final = 8
_CHOICES: Final = {"load": LOAD_WORDS, "sock": SOCK_WORDS, "method": METHOD_WORDS}


@router.post("/typed")
def typed(request: Request, id: str, form: Sent) -> Response:
    """Keep typed marks and lines in the draft, and say how each was read."""
    scale, tape = form.text("on"), form.text("tape")
    if scale not in {*MILLIMETRES, *(name for name, _ in GAUGES)}:
        form.wrong("on", f"{scale or 'nothing'} was chosen", "a gauge's scale, or mm, cm or in")
    if tape not in MILLIMETRES:
        form.wrong("tape", f"{tape or 'nothing'} was chosen", "mm, cm or in")
    names = [*SLOTS, *(f"{name}.line" for name in SLOTS)]
    sent = {name: form.text(name) for name in names if name in form}
    if not form.good:
        return shown(request, id, form=form)
    fields = look(request.app.state.records, id, author(request)).fields
    found = typed_changes(fields, sent, scale, tape)
    if found.problems:
        for name, (what, wanted) in found.problems.items():
            form.wrong(name, what, wanted)
        return shown(request, id, form=form)

    def change(now: Mapping[str, str]) -> dict[str, str]:
        return changed(now, typed_changes(now, sent, scale, tape).changes)

    return kept(request, id, form, change, "; ".join(found.said) or "typed readings kept")


@router.post("/sitting")
def sitting(request: Request, id: str, form: Sent) -> Response:
    """Keep how the feet are loaded, the sock, who measures, how and when."""
    said = {name: form.text(name) for name in SITTING}
    for name, words in _CHOICES.items():
        if said[name] not in {key for key, _ in words}:
            form.wrong(name, f"{said[name] or 'nothing'} was chosen", "one of those listed")
    if len(said["fitter"]) > _LONGEST_INITIALS:
        form.wrong("fitter", f"{len(said['fitter'])} signs", f"initials of at most {_LONGEST_INITIALS}")
    try:
        read_taken(said["taken"], author(request))
    except InputError as refused:
        for problem in refused.problems:
            form.wrong(problem.place, problem.found, problem.wanted)
    if not form.good:
        return shown(request, id, form=form)
    changes = {name: text if text != SITTING[name] else None for name, text in said.items()}
    return kept(
        request, id, form, lambda fields: changed(fields, changes), "the sitting's particulars are kept"
    )
