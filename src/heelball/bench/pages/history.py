"""The history of one wearer: what was written, when and by whom, and taking it back."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.pages.wearers import handed
from heelball.bench.refusals import Refused
from heelball.bench.rendering import page, see
from heelball.bench.session import author
from heelball.errors import RecordsError
from heelball.work import wearer_changes
from heelball.work.history import history, history_csv, take_back

router: Final = APIRouter(prefix="/wearers/{id}/history")

Sent = Annotated[Form, Depends(posted)]


@router.get("")
def show(request: Request, id: str) -> Response:
    """Show all that was done, the last first."""
    return _shown(request, id)


@router.get("/history.csv")
def export(request: Request, id: str) -> Response:
    """Hand the history over as rows."""
    text = history_csv(request.app.state.records, id)
    return handed(text, "text/csv; charset=utf-8", "history.csv")


@router.post("/undo")
def undo(request: Request, id: str, form: Sent) -> Response:
    """Take one change back."""
    records = request.app.state.records
    wearer_changes.find(records, id)
    number = form.text("change")
    if not number.isdecimal() or len(number) > 9:
        raise Refused(422, "This names no change.", "Load the page again and choose one.")
    try:
        take_back(records, id, int(number), by=author(request))
    except RecordsError as refused:
        return _shown(request, id, f"{refused.message} {refused.remedy}")
    return see(f"/wearers/{id}/history")


def _shown(request: Request, id: str, trouble: str = "") -> Response:
    found = history(request.app.state.records, id)
    return page(request, "history.html", status=409 if trouble else 200, history=found, trouble=trouble)
