"""One try-on of a pair: place by place, each foot, in the trade's words; blank is not known."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.pair_forms import beside, seen, today
from heelball.bench.rendering import page, see
from heelball.bench.session import author
from heelball.errors import InputError
from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.records.refused import Conflict
from heelball.records.schema import new_id
from heelball.records.values import TryOn
from heelball.show.labels import PLACE_WORDS
from heelball.show.try_on_words import PLACE_NAMES, verdict_text
from heelball.work.pair_view import pair_view
from heelball.work.told_fit import cautions
from heelball.work.try_ons import find_of_pair, keep_try_on, mend_try_on, take_out_try_on, written_try_on

router: Final = APIRouter(prefix="/pairs/{pair_id}")

Sent = Annotated[Form, Depends(posted)]

#: What is asked of each place, from too little to too much; nothing is pre-chosen.
_OPTIONS: Final = {
    place: (
        ("little", PLACE_WORDS[place][0]),
        # The trade has a word of its own for a boot that bends where the foot does.
        ("right", verdict_text(place, "right") if place == "ball" else "right"),
        ("much", PLACE_WORDS[place][1]),
        ("", "not said"),
    )
    for place in PLACES
}
#: What taking it out makes of a try-on, beside what another fitter made of it.
_OUT: Final = "taken out"
_WORN: Final = {"on": "Day", "hours": "Hours worn", "sock": "Sock", "swelling": "Feet", "note": "Note"}
_FIELDS: Final = tuple(f"{foot}_{place}" for foot in FEET for place in PLACES) + tuple(_WORN)
_LABELS: Final = _WORN | {
    f"{foot}_{place}": f"{PLACE_NAMES[place]}, {foot}" for place in PLACES for foot in FEET
}


@router.get("/try-on")
def ask(request: Request, pair_id: str) -> Response:
    """Show an empty form."""
    return _form(request, pair_id, {"on": today(request).isoformat()}, name=new_id())


@router.post("/try-on")
def keep(request: Request, pair_id: str, form: Sent) -> Response:
    """Write a try-on down, and say whom to see where something hurts."""
    name = form.text("name")
    if not (name.isascii() and name.isalnum() and len(name) == 16):
        name = new_id()
    care = _cautions(form)
    if form.good:
        typed = {field: form.text(field) for field in _FIELDS}
        try:
            keep_try_on(request.app.state.records, pair_id, typed, author(request), name=name)
        except InputError as refused:
            beside(form, refused)
        else:
            return _done(request, pair_id, care)
    return _form(request, pair_id, {}, form, name=name, care=care)


@router.get("/try-on/{try_on_id}")
def ask_again(request: Request, pair_id: str, try_on_id: str) -> Response:
    """Show the form of a try-on that is kept."""
    kept = find_of_pair(request.app.state.records, pair_id, try_on_id)
    return _form(request, pair_id, written_try_on(kept), kept=kept)


@router.post("/try-on/{try_on_id}")
def mend(request: Request, pair_id: str, try_on_id: str, form: Sent) -> Response:
    """Change what was written down wrong."""
    kept = find_of_pair(request.app.state.records, pair_id, try_on_id)
    care = _cautions(form)
    if form.good:
        typed = {field: form.text(field) for field in _FIELDS}
        try:
            mend_try_on(request.app.state.records, pair_id, try_on_id, seen(form), typed, author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            theirs = written_try_on(conflict.theirs)
            return conflict_page(request, conflict, form, _LABELS, f"/pairs/{pair_id}", theirs=theirs)
        else:
            return _done(request, pair_id, care)
    return _form(request, pair_id, {}, form, kept=kept, care=care)


@router.post("/try-on/{try_on_id}/remove")
def take_out(request: Request, pair_id: str, try_on_id: str, form: Sent) -> Response:
    """Take a try-on out; the pair's history offers to undo it."""
    if form.text("outcome") not in ("", _OUT):
        return see(f"/pairs/{pair_id}")
    try:
        take_out_try_on(request.app.state.records, pair_id, try_on_id, seen(form), author(request))
    except Conflict as conflict:
        again = f"/pairs/{pair_id}/try-on/{try_on_id}"
        labels, theirs = {"outcome": "What becomes of it"}, {"outcome": "mended by another, and kept"}
        return conflict_page(request, conflict, form, labels, again, theirs=theirs)
    return see(f"/pairs/{pair_id}")


def _cautions(form: Form) -> list[str]:
    typed = {name: form.text(name) for name in ("pain", "numbness", "pain_weeks")}
    try:
        return cautions(typed, form.text("note"))
    except InputError as refused:
        beside(form, refused)
        return []


def _done(request: Request, pair_id: str, care: list[str]) -> Response:
    """Return to the pair, or first say whom to see: what hurts is kept nowhere, so it is said now."""
    if not care:
        return see(f"/pairs/{pair_id}#try-ons")
    return page(request, "try_on_care.html", care=care, pair_id=pair_id)


def _form(
    request: Request,
    pair_id: str,
    values: dict[str, str],
    form: Form | None = None,
    *,
    name: str = "",
    kept: TryOn | None = None,
    care: list[str] | None = None,
) -> Response:
    return page(
        request,
        "try_on.html",
        status=200 if form is None else 422,
        form=form,
        values=values,
        view=pair_view(request.app.state.records, pair_id, today(request)),
        places=[(place, PLACE_NAMES[place], _OPTIONS[place]) for place in PLACES],
        feet=FEET,
        name=name,
        kept=kept,
        care=care or [],
        out=_OUT,
    )
