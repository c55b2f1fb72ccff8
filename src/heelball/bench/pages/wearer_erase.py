"""Erasing a wearer: asked once more with the code, since nothing brings anyone back."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.rendering import page
from heelball.bench.session import author
from heelball.work import wearer_changes

router: Final = APIRouter(prefix="/wearers/{id}/erase")


@router.get("")
def ask(request: Request, id: str) -> Response:
    """Ask for the code once more."""
    return _asked(request, id)


@router.post("")
def erase(request: Request, id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Erase the wearer, and say what is left elsewhere."""
    records = request.app.state.records
    kept = wearer_changes.find(records, id)
    if form.text("code") != kept.code:
        form.wrong("code", f"{form.text('code') or 'nothing'} was written", "the code of this wearer")
        return _asked(request, id, form)
    request.app.state.sheets.drop_all_of(wearer_id=id)
    finished = wearer_changes.erase(records, kept, now=author(request).at)
    return page(request, "_wearer_erased.html", lines=finished.lines, unfinished=finished.unfinished)


def _asked(request: Request, id: str, form: Form | None = None) -> Response:
    kept = wearer_changes.find(request.app.state.records, id)
    status = 200 if form is None else 422
    return page(request, "_wearer_erase.html", status=status, form=form, kept=kept)
