"""Lasts: found as one types, how each runs in words, the makers, and a new last."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.rendering import page, see, to_save, wants_fragment
from heelball.bench.session import author, session_of
from heelball.bench.typed import beside_fields, blank_beside, typed
from heelball.errors import InputError
from heelball.scales.catalogue import size_scale
from heelball.scales.last_width import WIDTH_SCALES
from heelball.show.how_it_runs import in_one_line
from heelball.show.labels import offer_text
from heelball.work import lasts_kept, lasts_written
from heelball.work.lasts_kept import FoundLasts, ListedLast
from heelball.work.offer_fields import label_scales

router: Final = APIRouter()

#: What each field of a last is called, in the order of the form.
LABELS: Final = {
    "code": "Code",
    "maker": "Maker",
    "label_scale": "Scale of the labels",
    "sizes": "Sizes",
    "widths": "Widths",
    "width_scale": "Scale of the widths",
    "reference_width": "Width of a label without one",
    "stiffness": "Sole",
    "toe": "Toe",
    "closing": "Closing",
    "heel_mm": "Heel",
    "publishes_advice": "Does the maker publish advice?",
    "exchange_days": "Days to exchange an unworn pair",
    "note": "Note",
}
_FRESH: Final = {"label_scale": "us-men", "width_scale": "us", "stiffness": "stiff", "toe": "round"} | {
    "closing": "lace"
}
_WIDTH_WORDS: Final = {"us": "US", "uk": "UK", "jis": "Japan", "gost": "GOST", "mm": "girth in mm"}


@router.get("/lasts")
def show_lasts(request: Request) -> Response:
    """Show the lasts, the makers, and the lasts that are no longer had."""
    return _lasts(request, "")


@router.get("/lasts/lasts.zip")
def export_lasts(request: Request) -> Response:
    """Hand over every last that can be had, a file each."""
    return zipped(lasts_kept.lasts_zip(request.app.state.records))


@router.post("/lasts")
def look_for_lasts(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Look for lasts by code or maker; what is looked for never stands in an address."""
    sought = form.text("sought")
    if wants_fragment(request):
        found = lasts_kept.find_lasts(request.app.state.records, sought)
        return page(
            request,
            "_lasts_found.html",
            sought=sought,
            count=found.count,
            listed=listed(request, found.shown),
        )
    return _lasts(request, sought)


@router.get("/lasts/new")
def show_new_last(request: Request) -> Response:
    """Show an empty form for a last."""
    return last_form(request, _FRESH, title="A new last", action="/lasts/new", back="/lasts")


@router.post("/lasts/new")
def add_last(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Keep a new last."""
    if form.good:
        try:
            kept = lasts_written.new_last(
                request.app.state.records, typed(form), units=session_of(request).units, by=author(request)
            )
            return see(f"/lasts/{kept.id}")
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "code")
    return last_form(request, {}, form=form, title="A new last", action="/lasts/new", back="/lasts")


def last_form(
    request: Request,
    values: dict[str, str],
    *,
    title: str,
    action: str,
    back: str,
    form: Form | None = None,
    seen: int | None = None,
) -> Response:
    """Return the form for a last's own fields; with mistakes where `form` is one that came back."""
    return page(
        request,
        "last_form.html",
        status=200 if form is None else 422,
        form=form,
        values=blank_beside(values),
        labels=LABELS,
        title=title,
        action=action,
        back_to=back,
        seen=seen,
        scales=[(name, size_scale(name).title) for name in label_scales()],
        width_scales=[(name, _WIDTH_WORDS[name]) for name in WIDTH_SCALES],
        makers=[maker.name for maker in lasts_kept.list_makers(request.app.state.records)],
    )


def zipped(content: bytes) -> Response:
    """Return last files in one ZIP file."""
    return Response(content, media_type="application/zip", headers=to_save("lasts.zip"))


def listed(request: Request, shown: tuple[ListedLast, ...]) -> list[dict[str, Any]]:
    """Return lasts as a list shows them."""
    units = session_of(request).units
    return [
        {
            "kept": one.kept,
            "scale": size_scale(one.last.label_scale).title,
            "offer": offer_text(one.last),
            "runs": "Not judged: a children's last."
            if one.runs is None
            else in_one_line(one.runs, "in" if units == "in" else "mm"),
        }
        for one in shown
    ]


def _lasts(request: Request, sought: str) -> Response:
    records = request.app.state.records
    found: FoundLasts = lasts_kept.find_lasts(records, sought)
    retired = lasts_kept.find_lasts(records, retired=True)
    return page(
        request,
        "lasts.html",
        sought=sought,
        count=found.count,
        listed=listed(request, found.shown),
        retired=listed(request, retired.shown),
        makers=lasts_kept.list_makers(records),
    )
