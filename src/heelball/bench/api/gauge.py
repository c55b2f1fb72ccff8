"""Rulers laid on the fitter's own gauge, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import Change, NewMark
from heelball.bench.api.routes import routes
from heelball.bench.api.told import answer_of, model_of, told
from heelball.records.values import KeptMark
from heelball.work import gauge

router = routes("gauge")


Marks = answer_of("Marks", "The rulers that stand.", marks=list[KeptMark])


@router.get("/gauge", response_model=Marks)
def marks(records: Kept) -> dict[str, Any]:
    """Return the rulers that stand."""
    return {"marks": [told(one) for one in gauge.standing_marks(records)]}


@router.post("/gauge", status_code=201, response_model=model_of(KeptMark))
def add(records: Kept, request: Request, asked: NewMark) -> dict[str, Any]:
    """Add a ruler."""
    typed = {name: str(value) for name, value in asked.model_dump(exclude_none=True).items()}
    return told(gauge.lay_ruler(records, typed, units="mm", by=author(request, asked.fitter)))


@router.post("/gauge/{mark_id}/withdraw", response_model=model_of(KeptMark))
def withdraw(records: Kept, request: Request, mark_id: str, asked: Change) -> dict[str, Any]:
    """Take a ruler back."""
    return told(gauge.withdraw_mark(records, mark_id, asked.seen, author(request, asked.fitter)))
