"""Sheets by post: one printed for a wearer, a photograph of it read, and those that are kept."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.pages.sheet_seen import NOT_READ, add_photograph, beside_photograph, waiting_in
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author, session_of
from heelball.bench.typed import beside_fields, day_of, number_in, typed
from heelball.errors import InputError, MissingExtra
from heelball.show.lengths import Units, length_text
from heelball.work import sheet_kept, wearer_changes
from heelball.work.sheet_apart import AskedSheet
from heelball.work.sheet_extra import need_reader
from heelball.work.sheet_form import read_beside, read_wanted
from heelball.work.sheet_to_send import sheet_to_send, sheets_for

router: Final = APIRouter(prefix="/wearers/{id}/sheet")

Sent = Annotated[Form, Depends(posted)]

_READ: Final = ("photo", "tool", "load", "alone", "bar_along", "bar_across", "card", "girth", "instep")
_PRINTED: Final = ("paper", "foot", "foot_length")


@router.get("")
def ask(request: Request, id: str) -> Response:
    """Show what prints a sheet, what reads a photograph of one, and the sheets that are kept."""
    return _asked(request, id)


@router.post("")
def read(request: Request, id: str, form: Sent) -> Response:
    """Read a photograph and go on to look at it, or add it to the sheet that is looked at."""
    wearer_changes.find(request.app.state.records, id)
    if form.text("beside"):
        return add_photograph(request, id, form)
    photo = form.uploads.get("photo")
    if photo is None or not photo.content:
        form.wrong("photo", "no photograph", "a JPEG, PNG or HEIC file")
    try:
        beside = read_beside(typed(form), _units(request))
        if form.good and photo is not None:
            asked = AskedSheet((photo.content,), beside.told, beside.girth, beside.instep)
            one = waiting_in(request).put(id, session_of(request).hash, asked)
            return see(f"/wearers/{id}/sheet/{one.id}")
    except InputError as wrong:
        beside_fields(form, wrong, _READ, "photo")
    except NOT_READ as refused:
        beside_photograph(form, "photo", refused)
    return _asked(request, id, form=form)


@router.post("/print.pdf")
def print_sheet(request: Request, id: str, form: Sent) -> Response:
    """Set the sheet for a wearer: the feet as they are known choose one page a foot or two."""
    # Posted, so that no length of a foot stands in an address.
    records = request.app.state.records
    kept = wearer_changes.find(records, id)
    try:
        content = sheet_to_send(records, id, kept.code, read_wanted(typed(form), _units(request)))
    except InputError as wrong:
        beside_fields(form, wrong, _PRINTED, "foot_length")
        return _asked(request, id, printing=form)
    return Response(content, media_type="application/pdf", headers=to_save("sheet.pdf"))


@router.get("/kept/{sheet_id}.jpg")
def kept_picture(request: Request, id: str, sheet_id: str) -> Response:
    """Hand over a picture that the wearer agreed to be kept."""
    content = sheet_kept.picture_of(request.app.state.records, id, sheet_id)
    return Response(content, media_type="image/jpeg", headers=to_save("sheet.jpg", inline=True))


@router.post("/kept/{sheet_id}/forget")
def forget_picture(request: Request, id: str, sheet_id: str, form: Sent) -> Response:
    """Take a picture out for good: the wearer no longer agrees. Say which backups hold it still."""
    records = request.app.state.records
    sheet_kept.forget_picture(records, id, sheet_id, by=author(request), seen=number_in(form, "seen"))
    left = sheet_kept.left_over(records, sheet_id)
    return _asked(request, id, left=left) if left else see(f"/wearers/{id}/sheet#kept")


def _units(request: Request) -> Units:
    return "in" if session_of(request).units == "in" else "mm"


def _asked(
    request: Request,
    id: str,
    *,
    form: Form | None = None,
    printing: Form | None = None,
    left: Sequence[str] = (),
) -> Response:
    records, units = request.app.state.records, _units(request)
    known = sheets_for(records, id)
    return page(
        request,
        "sheet.html",
        status=200 if form is None and printing is None else 422,
        form=form,
        printing=printing,
        kept=wearer_changes.find(records, id),
        sheets=sheet_kept.list_sheets(records, id),
        left=left,
        missing=_missing(),
        longest=None if known.longest is None else length_text(ceil(known.longest), units),
        two=known.two,
        day=day_of,
        back=f"/wearers/{id}/sheet",
    )


def _missing() -> str:
    """Return what is to be installed before a photograph can be read; empty where all is there."""
    try:
        need_reader()
    except MissingExtra as missing:
        return f"{missing.message} {missing.remedy}"
    return ""
