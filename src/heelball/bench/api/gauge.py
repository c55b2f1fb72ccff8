"""Rulers laid on the fitter's own gauge, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from pydantic import BaseModel

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import Change, NewMark
from heelball.bench.api.routes import routes
from heelball.bench.api.told import model_of, told
from heelball.records import gauge_marks
from heelball.records.values import KeptMark
from heelball.work import direct

router = routes("gauge")


class Marks(BaseModel):
    """The rulers that stand."""

    marks: list[model_of(KeptMark)]  # type: ignore[valid-type]


@router.get("/gauge", response_model=Marks)
def marks(records: Kept) -> dict[str, Any]:
    """Return the rulers that stand."""
    with records.reading() as conn:
        return {"marks": [told(one) for one in gauge_marks.list_marks(conn)]}


@router.post("/gauge", status_code=201, response_model=model_of(KeptMark))
def add(records: Kept, request: Request, asked: NewMark) -> dict[str, Any]:
    """Add a ruler."""
    fields = asked.model_dump(mode="json", exclude={"fitter"})
    return told(direct.new_mark(records, fields, author(request, asked.fitter)))


@router.post("/gauge/{mark_id}/withdraw", response_model=model_of(KeptMark))
def withdraw(records: Kept, request: Request, mark_id: str, asked: Change) -> dict[str, Any]:
    """Take a ruler back."""
    with records.writing() as conn:
        by = author(request, asked.fitter)
        return told(gauge_marks.withdraw_mark(conn, mark_id, asked.seen, by=by))
