"""Pairs from order to kept, and how they fit, as JSON."""

from __future__ import annotations

from typing import Any, Final

from attrs import evolve
from fastapi import Request

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import LabelOrdered, NewTryOn, PairStep
from heelball.bench.api.routes import routes
from heelball.bench.api.told import answer_of, model_of, told
from heelball.bench.refusals import Refused
from heelball.errors import InputError
from heelball.records.store import Records
from heelball.records.values import Author, KeptPair, TryOn
from heelball.work import pairs, try_ons
from heelball.work.check_json import check_record
from heelball.work.due import DuePair, due
from heelball.work.pair_check import kept_check

router = routes("pairs")

#: What a step's field is called where it is kept, and as it was sent.
_SENT_AS: Final = {"arrived_on": "on", "closed_on": "on", "state": "step"}

_WHAT: Final = "A pair of which something is due: what, and whether it is late."
_Lines: Any = list[answer_of("DueLine", _WHAT, pair=KeptPair, what=str, late=bool)]  # type: ignore[misc]
DueList = answer_of("DueList", "Pairs by what is due.", to_arrive=_Lines, to_try_on=_Lines, to_settle=_Lines)
Owned = answer_of("Owned", "The pairs of one wearer.", pairs=list[KeptPair])
Stepped = answer_of(
    "Stepped",
    "The pair after its step, and the one ordered in exchange for it.",
    pair=KeptPair,
    ordered=KeptPair | None,
)
TryOns = answer_of("TryOns", "What was told of a pair, the earliest first.", try_ons=list[TryOn])
PairCheck = answer_of(
    "PairCheck",
    "What is said of a pair, as `heelball check --json` has it; null before anything was told or measured.",
    check=dict[str, Any] | None,
)


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
    return {"pairs": [told(one) for one in pairs.pairs_of_wearer(records, wearer_id)]}


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
    return told(pairs.pair_kept(records, pair_id))


@router.post("/pairs/{pair_id}/steps", response_model=Stepped)
def step(records: Kept, request: Request, pair_id: str, asked: PairStep) -> dict[str, Any]:
    """Write down the next step of a pair's life."""
    try:
        return _step(records, pair_id, asked, author(request, asked.fitter))
    except InputError as refused:
        raise InputError(
            [evolve(one, place=_SENT_AS.get(one.place, one.place)) for one in refused.problems]
        ) from None


def _step(records: Records, pair_id: str, asked: PairStep, by: Author) -> dict[str, Any]:
    if asked.step == "exchanged":
        if asked.size is None:
            raise Refused(422, "An exchange needs the size of the label ordered instead.", "Send size too.")
        back, new = pairs.exchange(
            records, pair_id, asked.seen, asked.on, asked.size, asked.width, by, due_on=asked.due_on
        )
        return {"pair": told(back), "ordered": told(new)}
    if asked.step == "arrived":
        pair = pairs.arrive(records, pair_id, asked.seen, asked.on, by)
    else:
        pair = pairs.close(records, pair_id, asked.seen, asked.step, asked.on, by)
    return {"pair": told(pair), "ordered": None}


@router.get("/pairs/{pair_id}/try-ons", response_model=TryOns)
def tried(records: Kept, pair_id: str) -> dict[str, Any]:
    """Return what was told of a pair."""
    return {"try_ons": [told(one) for one in try_ons.told_of_pair(records, pair_id)]}


@router.post("/pairs/{pair_id}/try-ons", status_code=201, response_model=model_of(TryOn))
def try_on(records: Kept, request: Request, pair_id: str, asked: NewTryOn) -> dict[str, Any]:
    """Write down how a pair fits."""
    said = asked.model_dump(exclude={"fitter", "verdicts"}, exclude_none=True)
    written = {name: str(value) for name, value in said.items()}
    for foot, places in asked.verdicts.items():
        written |= {f"{foot}_{place}": verdict for place, verdict in places.items()}
    return told(try_ons.keep_try_on(records, pair_id, written, author(request, asked.fitter)))


@router.get("/pairs/{pair_id}/check", response_model=PairCheck)
def check(records: Kept, request: Request, pair_id: str) -> dict[str, Any]:
    """Return whether to keep a pair, adjust or exchange it, and what it teaches of its last."""
    found = kept_check(records, pair_id, request.app.state.settings.clock().date())
    return {"check": None if found is None else check_record(found)}
