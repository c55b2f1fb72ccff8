"""A sheet that came by post: its photograph read, looked at with what was found on it, and kept.

The photograph is held in memory while it is looked at; what is kept is the reading, and the picture
only where the wearer agreed to that.
"""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.pages.last import units_of
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author
from heelball.bench.sheets_waiting import SheetsWaiting, WaitingSheet
from heelball.bench.typed import beside_fields, typed
from heelball.errors import InputError, PhotographError
from heelball.sheet.values import Refused as PhotographRefused
from heelball.show.lengths import figure_text, in_units, length_text
from heelball.work import sheet_kept, wearer_changes
from heelball.work.sheet_apart import AskedSheet
from heelball.work.sheet_form import read_circumstances, read_ticks

router: Final = APIRouter(prefix="/wearers/{id}/sheet")

Sent = Annotated[Form, Depends(posted)]

_FIELDS: Final = (
    "photo", "tool", "load", "alone", "bar_along", "bar_across", "card", "girth", "instep", "inner", "outer",
)  # fmt: skip
_TOOLS: Final = (("", "not told"), ("pencil", "pencil"), ("pen", "pen"), ("felt-pen", "felt pen"))
_LOADS: Final = (("standing", "on both feet"), ("one", "all on that foot"), ("seated", "seated"))


@router.get("")
def ask(request: Request, id: str) -> Response:
    """Show the form for a photograph, and the sheets that are kept."""
    return _asked(request, id)


@router.post("")
def read(request: Request, id: str, form: Sent) -> Response:
    """Read a photograph, and go on to look at it."""
    wearer_changes.find(request.app.state.records, id)
    photo = form.uploads.get("photo")
    if photo is None or not photo.content:
        form.wrong("photo", "no photograph", "a JPEG, PNG or HEIC file")
    try:
        told, girth, instep = read_circumstances(typed(form), units_of(request))
    except InputError as wrong:
        beside_fields(form, wrong, _FIELDS, "photo")
    else:
        if form.good and photo is not None:
            asked = AskedSheet(photo.content, "photograph", told, girth, instep)
            try:
                return see(f"/wearers/{id}/sheet/{_waiting(request).put(id, asked).id}")
            except (PhotographRefused, PhotographError) as refused:
                form.wrong("photo", f"{refused.message} {refused.remedy}".strip(), "")
    return _asked(request, id, form)


@router.get("/kept/{sheet_id}.jpg")
def kept_picture(request: Request, id: str, sheet_id: str) -> Response:
    """Hand over a picture that the wearer agreed to be kept."""
    content = sheet_kept.picture_of(request.app.state.records, id, sheet_id)
    return Response(content, media_type="image/jpeg", headers=to_save("sheet.jpg", inline=True))


@router.post("/kept/{sheet_id}/forget")
def forget_picture(request: Request, id: str, sheet_id: str) -> Response:
    """Forget a picture: the wearer no longer agrees."""
    sheet_kept.forget_picture(request.app.state.records, id, sheet_id, by=author(request))
    return see(f"/wearers/{id}/sheet")


@router.get("/{waiting_id}")
def look(request: Request, id: str, waiting_id: str) -> Response:
    """Show a photograph with what was found on it, and what it says of the foot."""
    return _seen(request, _found(request, id, waiting_id))


@router.get("/{waiting_id}/plan.png")
def plan(request: Request, id: str, waiting_id: str) -> Response:
    """Send the paper as seen from straight above, with what was found drawn on it."""
    one = _found(request, id, waiting_id)
    return Response(one.seen.plan.png, media_type="image/png", headers=to_save("plan.png", inline=True))


@router.get("/{waiting_id}/photograph.jpg")
def photograph(request: Request, id: str, waiting_id: str) -> Response:
    """Send the photograph with what was found drawn on it."""
    one = _found(request, id, waiting_id)
    headers = to_save("photograph.jpg", inline=True)
    return Response(one.seen.photograph, media_type="image/jpeg", headers=headers)


@router.post("/{waiting_id}/ticks")
def move_ticks(request: Request, id: str, waiting_id: str, form: Sent) -> Response:
    """Move the ticks to where the fitter typed them, or one of them to where the picture was pressed."""
    one = _found(request, id, waiting_id)
    try:
        ticks = _pressed(one, form) or read_ticks(typed(form), units_of(request))
        moved = _waiting(request).with_ticks(one, ticks)
    except InputError as wrong:
        beside_fields(form, wrong, _FIELDS, "inner")
        return _seen(request, one, form)
    except (PhotographRefused, PhotographError) as refused:
        form.wrong("inner", f"{refused.message} {refused.remedy}".strip(), "")
        return _seen(request, one, form)
    return see(f"/wearers/{id}/sheet/{moved.id}")


@router.post("/{waiting_id}/keep")
def keep(request: Request, id: str, waiting_id: str, form: Sent) -> Response:
    """Keep the readings; the picture only where the wearer agreed."""
    one = _found(request, id, waiting_id)
    agreed = form.text("agreed") == "yes"
    sheet_kept.keep_sheet(
        request.app.state.records,
        id,
        one.seen.line,
        agreed=agreed,
        picture=one.seen.photograph if agreed else None,
        by=author(request),
    )
    _waiting(request).drop(one.id)
    return see(f"/wearers/{id}")


@router.post("/{waiting_id}/drop")
def drop(request: Request, id: str, waiting_id: str) -> Response:
    """Forget a photograph without keeping anything of it."""
    _waiting(request).drop(waiting_id)
    return see(f"/wearers/{id}/sheet")


def _waiting(request: Request) -> SheetsWaiting:
    waiting: SheetsWaiting = request.app.state.sheets
    return waiting


def _found(request: Request, id: str, waiting_id: str) -> WaitingSheet:
    one = _waiting(request).find(id, waiting_id)
    if one is None:
        raise Refused(404, "This photograph is no longer here.", "Send it again: none is held for long.")
    return one


def _pressed(one: WaitingSheet, form: Form) -> tuple[float, float] | None:
    """Return both ticks with the one on the side that was pressed moved there; None where none was."""
    pressed = [form.text(f"where.{way}") for way in ("x", "y")]
    if not all(text.isascii() and text.isdigit() and len(text) < 6 for text in pressed):
        return None
    x, y = (int(text) for text in pressed)
    picture = one.seen.plan
    along = picture.along_top - y * picture.mm_per_px
    inner_side = picture.across_left + x * picture.across_per_px > 0
    inner, outer = _ticks_of(one)
    return (along, outer) if inner_side else (inner, along)


def _ticks_of(one: WaitingSheet) -> tuple[float, float]:
    inner, outer = (float(mm) for mm in one.seen.line["ticks_mm"])
    return inner, outer


def _asked(request: Request, id: str, form: Form | None = None) -> Response:
    records = request.app.state.records
    return page(
        request,
        "sheet.html",
        status=200 if form is None else 422,
        form=form,
        kept=wearer_changes.find(records, id),
        sheets=sheet_kept.list_sheets(records, id),
        tools=_TOOLS,
        loads=_LOADS,
        back=f"/wearers/{id}/sheet",
    )


def _seen(request: Request, one: WaitingSheet, form: Form | None = None) -> Response:
    units = units_of(request)
    return page(
        request,
        "sheet_seen.html",
        status=200 if form is None else 422,
        form=form,
        kept=wearer_changes.find(request.app.state.records, one.wearer_id),
        one=one,
        line=one.seen.line,
        ticks=[figure_text(mm, units) for mm in _ticks_of(one)],
        length=lambda mm: length_text(mm, units),
        figure=lambda mm: figure_text(mm, units),
        said=lambda text: in_units(text, units, {}),
        back=f"/wearers/{one.wearer_id}/sheet/{one.id}",
    )
