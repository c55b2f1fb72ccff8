"""Pairs from order to kept, and how they fit, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from pydantic import BaseModel

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import LabelOrdered, NewTryOn, PairStep
from heelball.bench.api.routes import routes
from heelball.bench.api.told import model_of, told
from heelball.bench.refusals import Refused
from heelball.records import pairs as kept_pairs
from heelball.records import try_ons, wearers
from heelball.records.values import KeptPair, TryOn
from heelball.work import pairs
from heelball.work.due import DuePair, due

router = routes("pairs")


class DueLine(BaseModel):
    """A pair of which something is due: what, and whether it is late."""

    pair: model_of(KeptPair)  # type: ignore[valid-type]
    what: str
    late: bool


class DueList(BaseModel):
    """Pairs by what is due."""

    to_arrive: list[DueLine]
    to_try_on: list[DueLine]
    to_settle: list[DueLine]


class Owned(BaseModel):
    """The pairs of one wearer."""

    pairs: list[model_of(KeptPair)]  # type: ignore[valid-type]


class Stepped(BaseModel):
    """The pair after its step, and the one ordered in exchange for it."""

    pair: model_of(KeptPair)  # type: ignore[valid-type]
    ordered: model_of(KeptPair) | None = None  # type: ignore[valid-type]


class TryOns(BaseModel):
    """What was told of a pair, the earliest first."""

    try_ons: list[model_of(TryOn)]  # type: ignore[valid-type]


@router.get("/pairs", response_model=DueList)
def what_is_due(records: Kept, request: Request) -> dict[str, Any]:
    """Return the pairs of which something is due."""
    found = due(records, request.app.state.settings.clock().date())
    kinds = {"to_arrive": found.to_arrive, "to_try_on": found.to_try_on, "to_settle": found.to_settle}
    return {kind: [_line(one) for one in lines] for kind, lines in kinds.items()}


def _line(one: DuePair) -> dict[str, Any]:
    return {"pair": told(one.listed.pair), "what": one.what, "late": one.late}


@router.get("/wearers/{wearer_id}/pairs", response_model=Owned)
def of_wearer(records: Kept, wearer_id: str) -> dict[str, Any]:
    """Return the pairs of one wearer."""
    with records.reading() as conn:
        wearers.find_wearer(conn, wearer_id)
        return {"pairs": [told(one) for one in kept_pairs.list_pairs(conn, wearer_id)]}


@router.post("/wearers/{wearer_id}/pairs", status_code=201, response_model=model_of(KeptPair))
def order(records: Kept, request: Request, wearer_id: str, asked: LabelOrdered) -> dict[str, Any]:
    """Write down a pair that was ordered today."""
    pair = pairs.order_pair(
        records,
        wearer_id,
        asked.last_id,
        asked.size,
        asked.width,
        None,
        author(request, asked.fitter),
        due_on=asked.due_on,
        note=asked.note,
    )
    return told(pair)


@router.get("/pairs/{pair_id}", response_model=model_of(KeptPair))
def find(records: Kept, pair_id: str) -> dict[str, Any]:
    """Return one pair."""
    with records.reading() as conn:
        return told(kept_pairs.find_pair(conn, pair_id))


@router.post("/pairs/{pair_id}/steps", response_model=Stepped)
def step(records: Kept, request: Request, pair_id: str, asked: PairStep) -> dict[str, Any]:
    """Write down the next step of a pair's life."""
    by = author(request, asked.fitter)
    if asked.step == "exchanged":
        if asked.size is None:
            raise Refused(422, "An exchange needs the size of the label ordered instead.", "Send size too.")
        back, new = pairs.exchange(
            records, pair_id, asked.seen, asked.on, asked.size, asked.width, by, due_on=asked.due_on
        )
        return {"pair": told(back), "ordered": told(new)}
    if asked.step == "arrived":
        return {"pair": told(pairs.arrive(records, pair_id, asked.seen, asked.on, by))}
    return {"pair": told(pairs.close(records, pair_id, asked.seen, asked.step, asked.on, by))}


@router.get("/pairs/{pair_id}/try-ons", response_model=TryOns)
def tried(records: Kept, pair_id: str) -> dict[str, Any]:
    """Return what was told of a pair."""
    with records.reading() as conn:
        kept_pairs.find_pair(conn, pair_id)
        return {"try_ons": [told(one) for one in try_ons.list_try_ons(conn, pair_id=pair_id)]}


@router.post("/pairs/{pair_id}/try-ons", status_code=201, response_model=model_of(TryOn))
def try_on(records: Kept, request: Request, pair_id: str, asked: NewTryOn) -> dict[str, Any]:
    """Write down how a pair fits."""
    with records.writing() as conn:
        kept = try_ons.add_try_on(
            conn,
            pair_id,
            on=asked.on.isoformat(),
            verdicts=asked.verdicts,
            hours=asked.hours,
            sock=asked.sock,
            swelling=asked.swelling,
            note=asked.note,
            by=author(request, asked.fitter),
        )
        return told(kept)
