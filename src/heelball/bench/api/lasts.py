"""Lasts, makers and what is known of how lasts run, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import (
    AdviceTyped,
    Change,
    LastChange,
    LastTyped,
    MakerChange,
    MeasuredTyped,
    NewMaker,
    Retire,
    Sought,
    Write,
    given,
)
from heelball.bench.api.routes import routes
from heelball.bench.api.told import answer_of, model_of, told
from heelball.bench.refusals import Refused
from heelball.records.values import KeptAdvice, KeptLast, KeptMeasured, Maker
from heelball.work import lasts_kept, lasts_written
from heelball.work.last_json import last_record

router = routes("lasts")


FoundLasts = answer_of(
    "FoundLasts", "The first of the lasts found, and how many there are.", lasts=list[KeptLast], count=int
)
Makers = answer_of("Makers", "All makers by name.", makers=list[Maker])


def _typed(asked: Write) -> dict[str, str]:
    return asked.model_dump(exclude={"fitter", "seen"})


@router.post("/lasts/search", response_model=FoundLasts)
def search(records: Kept, asked: Sought) -> dict[str, Any]:
    """Find lasts by any part of their code or their maker's name."""
    found = lasts_kept.find_lasts(records, asked.words)
    return {"lasts": [told(one.kept) for one in found.shown], "count": found.count}


@router.post("/lasts", status_code=201, response_model=model_of(KeptLast))
def add(records: Kept, request: Request, asked: LastTyped) -> dict[str, Any]:
    """Add a last, and its maker where that is a new one."""
    by = author(request, asked.fitter)
    return told(lasts_written.new_last(records, _typed(asked), units="mm", by=by))


@router.get("/lasts/{last_id}", response_model=model_of(KeptLast))
def find(records: Kept, last_id: str) -> dict[str, Any]:
    """Return one last with the advice and the measured pairs that stand."""
    return told(lasts_kept.kept_last(records, last_id))


@router.get("/lasts/{last_id}/labels")
def labels(records: Kept, last_id: str) -> dict[str, Any]:
    """Return which foot each label is built for: `heelball/last/1`."""
    facts = lasts_kept.last_page(records, last_id).facts
    if facts is None:
        raise Refused(422, "A child's last is not judged.", "Ask for one on an adults' scale.")
    return last_record(facts)


@router.patch("/lasts/{last_id}", response_model=model_of(KeptLast))
def change(records: Kept, request: Request, last_id: str, asked: LastChange) -> dict[str, Any]:
    """Change a last's own fields, if nobody else has since."""
    by = author(request, asked.fitter)
    return told(lasts_written.edit_last(records, last_id, asked.seen, _typed(asked), units="mm", by=by))


@router.post("/lasts/{last_id}/retire", response_model=model_of(KeptLast))
def retire(records: Kept, request: Request, last_id: str, asked: Retire) -> dict[str, Any]:
    """Leave a last out of what is offered, or take it up again."""
    by = author(request, asked.fitter)
    return told(lasts_written.retire_last(records, last_id, asked.seen, retired=asked.retired, by=by))


@router.post("/lasts/{last_id}/advice", status_code=201, response_model=model_of(KeptAdvice))
def advise(records: Kept, request: Request, last_id: str, asked: AdviceTyped) -> dict[str, Any]:
    """Write down what a maker says of a last."""
    by = author(request, asked.fitter)
    return told(lasts_written.write_advice(records, last_id, _typed(asked), by=by))


@router.post("/advice/{advice_id}/withdraw", response_model=model_of(KeptAdvice))
def withdraw_advice(records: Kept, request: Request, advice_id: str, asked: Change) -> dict[str, Any]:
    """Let an advice count no longer."""
    return told(lasts_written.withdraw_advice(records, advice_id, asked.seen, author(request, asked.fitter)))


@router.post("/lasts/{last_id}/measured", status_code=201, response_model=model_of(KeptMeasured))
def measure(records: Kept, request: Request, last_id: str, asked: MeasuredTyped) -> dict[str, Any]:
    """Write down what was measured on one pair."""
    by = author(request, asked.fitter)
    return told(lasts_written.write_measured(records, last_id, _typed(asked), units="mm", by=by))


@router.post("/measured/{measured_id}/withdraw", response_model=model_of(KeptMeasured))
def withdraw_measured(records: Kept, request: Request, measured_id: str, asked: Change) -> dict[str, Any]:
    """Let a measured pair count no longer."""
    return told(
        lasts_written.withdraw_measured(records, measured_id, asked.seen, author(request, asked.fitter))
    )


@router.get("/makers", response_model=Makers)
def makers(records: Kept) -> dict[str, Any]:
    """Return all makers."""
    return {"makers": [told(one) for one in lasts_kept.list_makers(records)]}


@router.post("/makers", status_code=201, response_model=model_of(Maker))
def add_maker(records: Kept, request: Request, asked: NewMaker) -> dict[str, Any]:
    """Add a maker."""
    by = author(request, asked.fitter)
    return told(lasts_written.new_maker(records, asked.name, asked.address, asked.note, by))


@router.patch("/makers/{maker_id}", response_model=model_of(Maker))
def change_maker(records: Kept, request: Request, maker_id: str, asked: MakerChange) -> dict[str, Any]:
    """Change a maker, if nobody else has since."""
    by = author(request, asked.fitter)
    return told(lasts_written.edit_maker(records, maker_id, asked.seen, given(asked), by))
