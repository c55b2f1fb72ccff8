"""One letter to a maker: its text, the days it was sent and answered, as PDF and as plain text."""

from __future__ import annotations

from datetime import date as Date
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author
from heelball.bench.typed import beside_fields, day_of, number_in, typed
from heelball.errors import InputError
from heelball.records.refused import Conflict
from heelball.work import letters
from heelball.work.letter_text import LONGEST_TEXT
from heelball.work.letters import Step

router: Final = APIRouter()

LABELS: Final = {"text": "The letter", "note": "Note for yourself"}
_STEPS: Final[dict[str, Step]] = {"sent": "sent", "answered": "answered", "dropped": "dropped"}


@router.get("/letters/{letter_id}")
def show_letter(request: Request, letter_id: str) -> Response:
    """Show one letter."""
    return _letter(request, letter_id)


@router.post("/letters/{letter_id}")
def change_letter(request: Request, letter_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Keep the text of a draft as edited, or the note of any letter."""
    records, seen = request.app.state.records, number_in(form, "seen")
    if form.good:
        try:
            letters.edit_letter(records, letter_id, seen, typed(form), author(request))
            return see(f"/letters/{letter_id}")
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "text")
        except Conflict as conflict:
            return conflict_page(request, conflict, form, LABELS, f"/letters/{letter_id}")
    return _letter(request, letter_id, form)


@router.post("/letters/{letter_id}/undo")
def undo(request: Request, letter_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Take back the last thing done to this letter."""
    change = number_in(form, "change")
    there = letters.undo_at_letter(request.app.state.records, letter_id, change, author(request))
    return see(f"/letters/{letter_id}" if there else "/letters")


@router.get("/letters/{letter_id}/letter.txt")
def export_text(request: Request, letter_id: str) -> Response:
    """Hand over the letter as plain text."""
    kept = letters.letter_to_hand_over(request.app.state.records, letter_id)
    return Response(f"{kept.text}\n", media_type="text/plain; charset=utf-8", headers=to_save("letter.txt"))


@router.get("/letters/{letter_id}/letter.pdf")
def export_pdf(request: Request, letter_id: str, paper: str = "a4") -> Response:
    """Hand over the letter as a page, dated by the day it was sent or by today."""
    from heelball.show.paper import maker_letter

    kept = letters.letter_to_hand_over(request.app.state.records, letter_id)
    today: Date = request.app.state.settings.clock().date()
    day = Date.fromisoformat(kept.sent_on) if kept.sent_on else today
    content = maker_letter(kept.text, day=day, paper="letter" if paper == "letter" else "a4")
    return Response(content, media_type="application/pdf", headers=to_save("letter.pdf", inline=True))


@router.post("/letters/{letter_id}/{step}")
def move_letter(
    request: Request, letter_id: str, step: str, form: Annotated[Form, Depends(posted)]
) -> Response:
    """Mark a letter as sent or answered, or drop it."""
    if step not in _STEPS:
        raise Refused(404)
    records, seen = request.app.state.records, number_in(form, "seen")
    if form.good:
        try:
            letters.move_letter(records, letter_id, seen, _STEPS[step], typed(form), author(request))
            return see(f"/letters/{letter_id}")
        except InputError as wrong:
            beside_fields(form, wrong, ("on", *LABELS), "on")
        except Conflict as conflict:
            return conflict_page(request, conflict, form, LABELS, f"/letters/{letter_id}")
    return _letter(request, letter_id, form)


def _letter(request: Request, letter_id: str, form: Form | None = None) -> Response:
    known = letters.letter_page(request.app.state.records, letter_id)
    context: dict[str, Any] = {
        "letter": known.letter,
        "maker": known.maker,
        "about": known.lasts,
        "history": known.history,
        "worth": known.worth,
        "today": request.app.state.settings.clock().date().isoformat(),
        "labels": LABELS,
        "day": day_of,
        "most": LONGEST_TEXT,
    }
    return page(request, "letter.html", status=200 if form is None else 422, form=form, **context)
