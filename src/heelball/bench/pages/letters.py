"""Letters to makers: drafts, those sent and waiting, those answered, and whom to ask."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author
from heelball.bench.typed import day_of
from heelball.errors import InputError
from heelball.work import letters

router: Final = APIRouter()


@router.get("/letters")
def show_letters(request: Request) -> Response:
    """Show the letters by how far they have come."""
    return _letters(request)


@router.get("/letters/letters.csv")
def export_letters(request: Request) -> Response:
    """Hand over the list of letters as CSV."""
    text = letters.letters_csv(request.app.state.records)
    return Response(text, media_type="text/csv; charset=utf-8", headers=to_save("letters.csv"))


@router.post("/letters")
def draft_letter(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Draft the question to one maker about the lasts that were ticked."""
    maker_id = form.text("maker")
    if form.good:
        try:
            kept = letters.draft_question(
                request.app.state.records, maker_id, form.texts("last"), author(request)
            )
            return see(f"/letters/{kept.id}")
        except InputError as wrong:
            for problem in wrong.problems:
                form.wrong("last", problem.found, problem.wanted)
    return _letters(request, form)


def _letters(request: Request, form: Form | None = None) -> Response:
    today = request.app.state.settings.clock().date()
    return page(
        request,
        "letters.html",
        status=200 if form is None else 422,
        form=form,
        day=day_of,
        most=letters.MOST_ASKED,
        all=letters.letters_page(request.app.state.records, today),
    )
