"""What is known of how a last runs, written down: a maker's advice, and pairs that were measured."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.last import units_of
from heelball.bench.rendering import page, see
from heelball.bench.session import author
from heelball.bench.typed import beside_fields, blank_beside, number_in, typed
from heelball.errors import InputError
from heelball.records.refused import Conflict
from heelball.records.values import KeptLast
from heelball.scales.catalogue import size_scale
from heelball.show.labels import offer_text
from heelball.work import lasts_kept, lasts_written
from heelball.work.evidence_form import written_advice, written_measured
from heelball.work.keeping import core_last
from heelball.work.offer_fields import label_scales

router: Final = APIRouter()

ADVICE: Final = {
    "basis": "It goes by",
    "order": "Order, in sizes",
    "table": "Or a table",
    "scale": "Scale of the other label",
    "origin": "Where it comes from",
    "on": "Its day",
}
MEASURED: Final = {
    "size": "Size on the label",
    "width": "Width on the label",
    "flex_line_mm": "Flex line",
    "inside_length_mm": "Inside length",
    "ball_girth_mm": "Girth inside at the ball",
    "sd_mm": "Sure to",
    "from_drawing": "From a drawing",
    "origin": "Which pair, or which drawing",
    "on": "Day",
}
#: Where advice may come from, offered while typing.
_ORIGINS: Final = ("a letter", "the catalogue", "the telephone", "the box", "a visit")


@router.get("/lasts/{last_id}/advice")
def show_new_advice(request: Request, last_id: str, letter: str = "") -> Response:
    """Show an empty form for a maker's advice; `letter` is the day a letter was answered."""
    kept = lasts_kept.kept_last(request.app.state.records, last_id)
    day = letter if len(letter) == len("2026-05-03") else ""
    origin = {"origin": "a letter", "on": day} if letter else {}
    return _advice(request, kept, f"/lasts/{last_id}/advice", origin)


@router.post("/lasts/{last_id}/advice")
def add_advice(request: Request, last_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Write down what the maker advises."""
    records = request.app.state.records
    if form.good:
        try:
            lasts_written.write_advice(records, last_id, typed(form), by=author(request))
            return see(f"/lasts/{last_id}")
        except InputError as wrong:
            beside_fields(form, wrong, ADVICE, "order")
    kept = lasts_kept.kept_last(records, last_id)
    return _advice(request, kept, f"/lasts/{last_id}/advice", {}, form)


@router.get("/lasts/{last_id}/advice/{advice_id}")
def show_advice(request: Request, last_id: str, advice_id: str) -> Response:
    """Show the form for an advice that is kept."""
    last, kept = lasts_kept.find_advice(request.app.state.records, last_id, advice_id)
    return _advice(request, last, request.url.path, written_advice(kept), seen=kept.version)


@router.post("/lasts/{last_id}/advice/{advice_id}")
def change_advice(
    request: Request, last_id: str, advice_id: str, form: Annotated[Form, Depends(posted)]
) -> Response:
    """Mend an advice that was written down wrong."""
    records, seen = request.app.state.records, number_in(form, "seen")
    if form.good:
        try:
            lasts_written.write_advice(
                records, last_id, typed(form), advice_id=advice_id, seen=seen, by=author(request)
            )
            return see(f"/lasts/{last_id}")
        except InputError as wrong:
            beside_fields(form, wrong, ADVICE, "order")
        except Conflict as conflict:
            theirs = written_advice(conflict.theirs)
            return conflict_page(request, conflict, form, ADVICE, f"/lasts/{last_id}", theirs=theirs)
    last, kept = lasts_kept.find_advice(records, last_id, advice_id)
    return _advice(request, last, request.url.path, {}, form, seen=kept.version)


@router.post("/lasts/{last_id}/advice/{advice_id}/withdrawn")
def withdraw_advice(
    request: Request, last_id: str, advice_id: str, form: Annotated[Form, Depends(posted)]
) -> Response:
    """Let an advice count no longer."""
    records, seen = request.app.state.records, number_in(form, "seen")
    lasts_kept.find_advice(records, last_id, advice_id)
    lasts_written.withdraw_advice(records, advice_id, seen, author(request))
    return see(f"/lasts/{last_id}")


@router.get("/lasts/{last_id}/measured")
def show_new_measured(request: Request, last_id: str) -> Response:
    """Show an empty form for what was measured on a pair."""
    kept = lasts_kept.kept_last(request.app.state.records, last_id)
    return _measured(request, kept, request.url.path, {})


@router.post("/lasts/{last_id}/measured")
def add_measured(request: Request, last_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Write down what was measured on a pair."""
    records = request.app.state.records
    if form.good:
        try:
            lasts_written.write_measured(
                records, last_id, typed(form), units=units_of(request), by=author(request)
            )
            return see(f"/lasts/{last_id}")
        except InputError as wrong:
            beside_fields(form, wrong, MEASURED, "size")
    kept = lasts_kept.kept_last(records, last_id)
    return _measured(request, kept, request.url.path, {}, form)


@router.get("/lasts/{last_id}/measured/{pair_id}")
def show_measured(request: Request, last_id: str, pair_id: str) -> Response:
    """Show the form for a measured pair that is kept."""
    last, kept = lasts_kept.find_measured(request.app.state.records, last_id, pair_id)
    values = written_measured(kept, units_of(request))
    return _measured(request, last, request.url.path, values, seen=kept.version)


@router.post("/lasts/{last_id}/measured/{pair_id}")
def change_measured(
    request: Request, last_id: str, pair_id: str, form: Annotated[Form, Depends(posted)]
) -> Response:
    """Mend what was written down wrong of a measured pair."""
    records, seen, units = request.app.state.records, number_in(form, "seen"), units_of(request)
    if form.good:
        try:
            lasts_written.write_measured(
                records, last_id, typed(form), units=units, pair_id=pair_id, seen=seen, by=author(request)
            )
            return see(f"/lasts/{last_id}")
        except InputError as wrong:
            beside_fields(form, wrong, MEASURED, "size")
        except Conflict as conflict:
            theirs = written_measured(conflict.theirs, units)
            return conflict_page(request, conflict, form, MEASURED, f"/lasts/{last_id}", theirs=theirs)
    last, kept = lasts_kept.find_measured(records, last_id, pair_id)
    return _measured(request, last, request.url.path, {}, form, seen=kept.version)


@router.post("/lasts/{last_id}/measured/{pair_id}/withdrawn")
def withdraw_measured(
    request: Request, last_id: str, pair_id: str, form: Annotated[Form, Depends(posted)]
) -> Response:
    """Let a measured pair count no longer."""
    records, seen = request.app.state.records, number_in(form, "seen")
    lasts_kept.find_measured(records, last_id, pair_id)
    lasts_written.withdraw_measured(records, pair_id, seen, author(request))
    return see(f"/lasts/{last_id}")


def _advice(
    request: Request,
    kept: KeptLast,
    action: str,
    values: dict[str, str],
    form: Form | None = None,
    seen: int | None = None,
) -> Response:
    return page(
        request,
        "last_advice.html",
        status=200 if form is None else 422,
        form=form,
        kept=kept,
        values=blank_beside(values),
        labels=ADVICE,
        action=action,
        seen=seen,
        origins=_ORIGINS,
        own_scale=size_scale(kept.label_scale).title,
        scales=[("", "none"), *((name, size_scale(name).title) for name in label_scales())],
    )


def _measured(
    request: Request,
    kept: KeptLast,
    action: str,
    values: dict[str, str],
    form: Form | None = None,
    seen: int | None = None,
) -> Response:
    last = core_last(kept)
    return page(
        request,
        "last_measured.html",
        status=200 if form is None else 422,
        form=form,
        kept=kept,
        values=blank_beside(values),
        labels=MEASURED,
        action=action,
        seen=seen,
        offer=offer_text(last),
        has_widths=any(label.width for label in last.labels),
        scale=size_scale(kept.label_scale).title,
    )
