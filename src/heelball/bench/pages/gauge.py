"""The fitter's own gauge: a ruler laid on its marks, what that says, withdrawn marks, files."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.last import units_of
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author, session_of
from heelball.bench.typed import beside_fields, blank_beside, day_of, number_in, typed
from heelball.errors import InputError
from heelball.records.refused import Conflict
from heelball.scales.catalogue import size_scale, size_scales
from heelball.show.gauge_words import difference_text, gauge_texts
from heelball.show.lengths import figure_text
from heelball.work import gauge
from heelball.work.gauge import MarkLine

router: Final = APIRouter()

LABELS: Final = {
    "scale": "Scale of the gauge",
    "what": "Slide",
    "mark": "Mark",
    "line": "Size line of a width letter",
    "measured_mm": "By the ruler",
    "on": "Day",
    "fitter": "Fitter's initials",
}


@router.get("/gauge")
def show_gauge(request: Request) -> Response:
    """Show what is known of the gauge, and a form for one more mark."""
    return _gauge(request)


@router.post("/gauge")
def lay_ruler(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Write down what the ruler said of one mark."""
    if form.good:
        try:
            gauge.lay_ruler(
                request.app.state.records, typed(form), units=units_of(request), by=author(request)
            )
            return see("/gauge")
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "mark")
    return _gauge(request, form)


@router.post("/gauge/undo")
def undo(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Take back the last thing done to a mark."""
    gauge.undo_at_gauge(request.app.state.records, number_in(form, "change"), author(request))
    return see("/gauge")


@router.get("/gauge/marks.csv")
def export_csv(request: Request) -> Response:
    """Hand over the marks that count as CSV."""
    text = gauge.marks_csv(line.kept for line in gauge.gauge_page(request.app.state.records).standing)
    return _file(text, "text/csv; charset=utf-8", "gauge-marks.csv")


@router.get("/gauge/marks.toml")
def export_toml(request: Request) -> Response:
    """Hand over the marks that count as tables for a wearer file."""
    text = gauge.marks_toml(line.kept for line in gauge.gauge_page(request.app.state.records).standing)
    return _file(text, "application/toml", "gauge-marks.toml")


@router.get("/gauge/{mark_id}")
def show_mark(request: Request, mark_id: str) -> Response:
    """Show the form for a mark that is kept."""
    kept = gauge.find_mark(request.app.state.records, mark_id)
    values = gauge.written_mark(kept, units_of(request))
    return _mark(request, mark_id, values, None, kept.version)


@router.post("/gauge/{mark_id}")
def change_mark(request: Request, mark_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Mend what was written down wrong of a mark."""
    records, seen, units = request.app.state.records, number_in(form, "seen"), units_of(request)
    if form.good:
        try:
            gauge.change_mark(records, mark_id, seen, typed(form), units=units, by=author(request))
            return see("/gauge")
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "mark")
        except Conflict as conflict:
            theirs = gauge.written_mark(conflict.theirs, units)
            return conflict_page(request, conflict, form, LABELS, "/gauge", theirs=theirs)
    return _mark(request, mark_id, {}, form, gauge.find_mark(records, mark_id).version)


@router.post("/gauge/{mark_id}/withdrawn")
def withdraw_mark(request: Request, mark_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Let a mark count no longer."""
    gauge.withdraw_mark(request.app.state.records, mark_id, number_in(form, "seen"), author(request))
    return see("/gauge")


def _gauge(request: Request, form: Form | None = None) -> Response:
    known, units = gauge.gauge_page(request.app.state.records), units_of(request)
    today = request.app.state.settings.clock().date().isoformat()
    return page(
        request,
        "gauge.html",
        status=200 if form is None else 422,
        form=form,
        labels=LABELS,
        scales=_scales(),
        values=blank_beside({"scale": "gauge-men", "on": today, "fitter": session_of(request).fitter}),
        said=gauge_texts(known.denotes, known.unmeasured, units),
        marks=[_row(request, line) for line in known.standing],
        withdrawn=[_row(request, line) for line in known.withdrawn],
        history=known.history,
        day=day_of,
    )


def _mark(request: Request, mark_id: str, values: dict[str, str], form: Form | None, seen: int) -> Response:
    return page(
        request,
        "gauge_mark.html",
        status=200 if form is None else 422,
        form=form,
        labels=LABELS,
        scales=_scales(),
        values=blank_beside(values),
        action=f"/gauge/{mark_id}",
        seen=seen,
    )


def _row(request: Request, line: MarkLine) -> dict[str, object]:
    kept, units = line.kept, units_of(request)
    at = f" at line {kept.line}" if kept.line else ""
    return {
        "kept": kept,
        "mark": f"{size_scale(kept.scale).title}: {kept.what} {kept.mark}{at}",
        "measured": figure_text(kept.measured_mm, units),
        "formula": figure_text(line.formula, units),
        "more": difference_text(line.more, units),
    }


def _scales() -> list[tuple[str, str]]:
    return [(name, scale.title) for name, scale in size_scales().items() if scale.is_gauge]


def _file(text: str, kind: str, name: str) -> Response:
    return Response(text, media_type=kind, headers=to_save(name))
