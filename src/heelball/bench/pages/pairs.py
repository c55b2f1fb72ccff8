"""Pairs by what is due, one wearer's pairs, and a pair that a wearer brought."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from heelball.bench.forms import Form, posted
from heelball.bench.pages.pair_forms import beside, today
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author
from heelball.errors import InputError
from heelball.work.due import due, pairs_of
from heelball.work.pair_history import taken_out, undo_step
from heelball.work.pair_view import lasts_and_wearer, pairs_record
from heelball.work.pairs import own_pair

router: Final = APIRouter()

Sent = Annotated[Form, Depends(posted)]


@router.get("/pairs")
def show(request: Request) -> Response:
    """Show all pairs by what is due."""
    return _pairs(request)


@router.get("/pairs/export.json")
def export(request: Request) -> Response:
    """Hand out all pairs, by the codes of their wearers."""
    return JSONResponse(pairs_record(request.app.state.records), headers=to_save("pairs.json"))


@router.post("/pairs/undo")
def bring_back(request: Request, form: Sent) -> Response:
    """Bring a pair back that was taken out."""
    change = form.text("change")
    if not change.isdecimal() or len(change) > 9:
        raise Refused(422, "It is not said what to undo.", "Go back and use the page's own buttons.")
    pair_id = form.text("pair")
    try:
        undo_step(request.app.state.records, pair_id, int(change), author(request))
    except InputError as refused:
        beside(form, refused)
        return _pairs(request, form)
    return see(f"/pairs/{pair_id}")


@router.get("/wearers/{wearer_id}/pairs")
def show_of_wearer(request: Request, wearer_id: str) -> Response:
    """Show one wearer's pairs, and a form for one that was brought along."""
    return _of_wearer(request, wearer_id)


@router.post("/wearers/{wearer_id}/pairs")
def own(request: Request, wearer_id: str, form: Sent) -> Response:
    """Write down a pair that a wearer brought."""
    if not form.text("last"):
        form.wrong("last", "no last was chosen", "the last it is made on")
    if form.good:
        try:
            pair = own_pair(
                request.app.state.records,
                wearer_id,
                form.text("last"),
                form.text("size"),
                form.text("width") or None,
                author(request),
                note=form.text("note"),
            )
        except InputError as refused:
            beside(form, refused)
            if "label" in form.problems:
                form.problems["size"] = form.problems.pop("label")
        else:
            return see(f"/pairs/{pair.id}")
    return _of_wearer(request, wearer_id, form)


def _pairs(request: Request, form: Form | None = None) -> Response:
    records = request.app.state.records
    return page(
        request,
        "pairs.html",
        status=200 if form is None else 422,
        form=form,
        due=due(records, today(request)),
        out=taken_out(records),
    )


def _of_wearer(request: Request, wearer_id: str, form: Form | None = None) -> Response:
    records = request.app.state.records
    wearer, lasts = lasts_and_wearer(records, wearer_id)
    return page(
        request,
        "wearer_pairs.html",
        status=200 if form is None else 422,
        form=form,
        wearer=wearer,
        lasts=lasts,
        listed=pairs_of(records, wearer_id, today(request)),
    )
