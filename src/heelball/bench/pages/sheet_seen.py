"""A sheet that was read: looked at with what was found on it, its ticks moved, kept or dropped.

Nothing of it is written down before it is kept; the picture only where the wearer agreed to that.
"""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author, session_of
from heelball.bench.sheets_waiting import MOST_PHOTOGRAPHS, SheetsWaiting, WaitingSheet
from heelball.bench.typed import beside_fields, typed
from heelball.errors import HeelballError, InputError, MissingExtra, PhotographError
from heelball.show.lengths import Units, figure_text, in_units
from heelball.work import sheet_kept, wearer_changes
from heelball.work.sheet_form import read_ticks

router: Final = APIRouter(prefix="/wearers/{id}/sheet")

Sent = Annotated[Form, Depends(posted)]

#: What is said where nothing is read from a photograph, beside its field.
NOT_READ: Final = (PhotographError, MissingExtra)

_TICKS: Final = ("inner", "outer")
# More digits than any picture of ours is wide.
_MOST_DIGITS: Final = 5


def waiting_in(request: Request) -> SheetsWaiting:
    """Return the sheets that wait at this bench."""
    waiting: SheetsWaiting = request.app.state.sheets
    return waiting


def find_waiting(request: Request, id: str, waiting_id: str) -> WaitingSheet:
    """Return a sheet of a wearer that waits in this session.

    Raises
    ------
    Refused
        Where there is none: it was kept, dropped or forgotten.
    """
    one = waiting_in(request).find(id, session_of(request).hash, waiting_id)
    if one is None:
        raise Refused(
            404,
            "This photograph is no longer here.",
            "Send it again: none is held for longer than half an hour.",
        )
    return one


def beside_photograph(form: Form, field: str, refused: HeelballError) -> None:
    """Put a photograph's refusal and its remedy beside a field."""
    form.wrong(field, f"{refused.message} {refused.remedy}".strip(), "")


def add_photograph(request: Request, id: str, form: Form) -> Response:
    """Read a further photograph together with those of the sheet that is looked at."""
    one = find_waiting(request, id, form.text("beside"))
    photo = form.uploads.get("photo")
    if photo is None or not photo.content:
        form.wrong("photo", "no photograph", "a JPEG, PNG or HEIC file")
    else:
        try:
            waiting_in(request).with_photograph(one, photo.content)
        except NOT_READ as refused:
            beside_photograph(form, "photo", refused)
        else:
            return see(f"/wearers/{id}/sheet/{one.id}")
    return _seen(request, one, form, "The photograph was not added: see the sentence beside it")


@router.get("/{waiting_id}")
def look(request: Request, id: str, waiting_id: str) -> Response:
    """Show a sheet with what was found on it, and what it says of the foot."""
    return _seen(request, find_waiting(request, id, waiting_id))


@router.get("/{waiting_id}/plan.png")
def plan(request: Request, id: str, waiting_id: str) -> Response:
    """Send the paper as seen from straight above, with what was found drawn on it."""
    one = find_waiting(request, id, waiting_id)
    return Response(one.seen.plan.png, media_type="image/png", headers=to_save("plan.png", inline=True))


@router.get("/{waiting_id}/photograph.jpg")
def photograph(request: Request, id: str, waiting_id: str) -> Response:
    """Send the photograph with what was found drawn on it."""
    one = find_waiting(request, id, waiting_id)
    headers = to_save("photograph.jpg", inline=True)
    return Response(one.seen.photograph, media_type="image/jpeg", headers=headers)


@router.post("/{waiting_id}/ticks")
def move_ticks(request: Request, id: str, waiting_id: str, form: Sent) -> Response:
    """Move the ticks to where the fitter typed them, or one of them to where the picture was pressed."""
    one = find_waiting(request, id, waiting_id)
    pressed = _pressed(one, form)
    try:
        ticks = read_ticks(typed(form), _units(request)) if pressed is None else read_ticks(pressed, "mm")
        waiting_in(request).with_ticks(one, ticks)
    except InputError as wrong:
        beside_fields(form, wrong, _TICKS, "inner")
    except NOT_READ as refused:
        beside_photograph(form, "inner", refused)
    else:
        return see(f"/wearers/{id}/sheet/{one.id}")
    return _seen(request, one, form, "Nothing was moved: see the sentences beside the ticks")


@router.post("/{waiting_id}/keep")
def keep(request: Request, id: str, waiting_id: str, form: Sent) -> Response:
    """Keep the readings; the picture only where the wearer agreed."""
    one = find_waiting(request, id, waiting_id)
    agreed = form.text("agreed") == "yes"
    if not waiting_in(request).take(one):
        # Pressed twice: the other press keeps it.
        return see(f"/wearers/{id}#readings")
    try:
        sheet_kept.keep_sheet(
            request.app.state.records,
            id,
            one.seen.line,
            agreed=agreed,
            picture=one.seen.photograph if agreed else None,
            by=author(request),
        )
    except HeelballError:
        waiting_in(request).put_back(one)
        raise
    return see(f"/wearers/{id}#readings")


@router.post("/{waiting_id}/drop")
def drop(request: Request, id: str, waiting_id: str) -> Response:
    """Forget a sheet without keeping anything of it."""
    waiting_in(request).take(find_waiting(request, id, waiting_id))
    return see(f"/wearers/{id}/sheet")


def _pressed(one: WaitingSheet, form: Form) -> dict[str, str] | None:
    """Return both ticks [mm] as if typed, the one on the side that was pressed moved; None where none was."""
    pressed = [form.text(f"where.{way}") for way in ("x", "y")]
    if not all(text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS for text in pressed):
        return None
    x, y = (int(text) for text in pressed)
    if x == y == 0:
        # So browsers say that it was pressed by a key, at no place.
        return None
    picture = one.seen.plan
    inner_side = picture.across_left + x * picture.across_per_px > 0
    moved = f"{picture.along_top - y * picture.mm_per_px:.1f}"
    inner, outer = (f"{float(mm):.1f}" for mm in one.seen.line["ticks_mm"])
    return {"inner": moved, "outer": outer} if inner_side else {"inner": inner, "outer": moved}


def _units(request: Request) -> Units:
    return "in" if session_of(request).units == "in" else "mm"


def _seen(request: Request, one: WaitingSheet, form: Form | None = None, trouble: str = "") -> Response:
    units = _units(request)
    return page(
        request,
        "sheet_seen.html",
        status=200 if form is None else 422,
        form=form,
        trouble=trouble,
        kept=wearer_changes.find(request.app.state.records, one.wearer_id),
        one=one,
        line=one.seen.line,
        photographs=len(one.asked.photographs),
        more=len(one.asked.photographs) < MOST_PHOTOGRAPHS,
        ticks=[figure_text(float(mm), units) for mm in one.seen.line["ticks_mm"]],
        figure=lambda mm: figure_text(mm, units),
        said=lambda text: in_units(text, units),
        back=f"/wearers/{one.wearer_id}/sheet/{one.id}",
    )
