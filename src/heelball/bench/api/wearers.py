"""Wearers, their readings and what is known of their feet, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import (
    Change,
    HealthTold,
    NewSitting,
    NewWearer,
    Sought,
    WearerChange,
    at_or,
    day_table,
    given,
)
from heelball.bench.api.routes import routes
from heelball.bench.api.told import answer_of, model_of, told
from heelball.fit.choice import describe_feet
from heelball.records.refused import NotFound
from heelball.records.values import HealthAnswers, KeptReading, KeptWearer, Sitting
from heelball.work import wearer_changes, whole_sitting
from heelball.work.foot_json import foot_record
from heelball.work.worn import kept_feet

router = routes("wearers")


Found = answer_of("Found", "Wearers found.", wearers=list[KeptWearer])
Occasion = answer_of(
    "Occasion", "A sitting and the readings written down at it.", sitting=Sitting, readings=list[KeptReading]
)
Taken = answer_of(
    "Taken",
    "All sittings and readings of a wearer, those that no longer stand among them.",
    sittings=list[Sitting],
    readings=list[KeptReading],
)


@router.post("/wearers/search", response_model=Found)
def search(records: Kept, asked: Sought) -> dict[str, Any]:
    """Find wearers by any part of name or code; it is posted so that no name stands in an address."""
    return {"wearers": [told(one) for one in wearer_changes.search(records, asked.words)]}


@router.post("/wearers", status_code=201, response_model=model_of(KeptWearer))
def add(records: Kept, request: Request, asked: NewWearer) -> dict[str, Any]:
    """Add a wearer."""
    fields = {**asked.model_dump(exclude={"fitter", "day"}), "day": day_table(asked.day)}
    return told(wearer_changes.add(records, **fields, by=author(request, asked.fitter)))


@router.get("/wearers/{wearer_id}", response_model=model_of(KeptWearer))
def find(records: Kept, wearer_id: str) -> dict[str, Any]:
    """Return one wearer."""
    return told(wearer_changes.find(records, wearer_id))


@router.patch("/wearers/{wearer_id}", response_model=model_of(KeptWearer))
def change(records: Kept, request: Request, wearer_id: str, asked: WearerChange) -> dict[str, Any]:
    """Change a wearer, if nobody else has since."""
    fields = given(asked)
    if asked.day is not None:
        fields["day"] = day_table(asked.day)
    by = author(request, asked.fitter)
    return told(wearer_changes.change(records, wearer_id, asked.seen, fields, by=by))


@router.get("/wearers/{wearer_id}/readings", response_model=Taken)
def taken(records: Kept, wearer_id: str) -> dict[str, Any]:
    """Return all readings of a wearer in the order they were taken in."""
    sittings, readings = whole_sitting.taken_of(records, wearer_id)
    return {"sittings": [told(one) for one in sittings], "readings": [told(one) for one in readings]}


@router.post("/wearers/{wearer_id}/sittings", status_code=201, response_model=Occasion)
def take(records: Kept, request: Request, wearer_id: str, asked: NewSitting) -> dict[str, Any]:
    """Write the readings of one occasion down, all or none."""
    by = author(request, asked.fitter)
    sitting, written = whole_sitting.write_sitting(
        records,
        wearer_id,
        [one.model_dump() for one in asked.readings],
        at=at_or(asked.at, by.at),
        load=asked.load,
        sock=asked.sock,
        note=asked.note,
        seen_number=asked.seen_number,
        by=by,
    )
    return {"sitting": told(sitting), "readings": [told(one) for one in written]}


@router.post("/readings/{reading_id}/withdraw", response_model=model_of(KeptReading))
def withdraw(records: Kept, request: Request, reading_id: str, asked: Change) -> dict[str, Any]:
    """Take a reading back: it stays in the history and counts no longer."""
    by = author(request, asked.fitter)
    return told(whole_sitting.take_reading_back(records, reading_id, asked.seen, by))


@router.get("/wearers/{wearer_id}/health", response_model=model_of(HealthAnswers))
def health(records: Kept, wearer_id: str) -> dict[str, Any]:
    """Return what a wearer told of health, with the version that a change is made from."""
    kept = wearer_changes.find_health(records, wearer_id)
    if kept is None:
        raise NotFound("What this wearer tells of health")
    return told(kept)


@router.post("/wearers/{wearer_id}/health", response_model=model_of(HealthAnswers))
def keep_health(records: Kept, request: Request, wearer_id: str, asked: HealthTold) -> dict[str, Any]:
    """Keep what a wearer told of health; only with consent, for referral alone."""
    signs = asked.model_dump(exclude={"seen", "fitter", "consents"})
    by = author(request, asked.fitter)
    return told(
        wearer_changes.keep_health(records, wearer_id, signs, consents=asked.consents, seen=asked.seen, by=by)
    )


@router.delete("/wearers/{wearer_id}/health", status_code=204)
def forget_health(records: Kept, wearer_id: str) -> None:
    """Delete what a wearer told of health: consent was taken back."""
    wearer_changes.find(records, wearer_id)
    wearer_changes.withdraw_consent(records, wearer_id)


@router.get("/wearers/{wearer_id}/foot")
def foot(records: Kept, request: Request, wearer_id: str) -> dict[str, Any]:
    """Return what is known of both feet: `heelball/foot/1`."""
    today = request.app.state.settings.clock().date()
    wearer, feet = kept_feet(records, wearer_id)
    return foot_record(describe_feet(wearer, today=today, feet=feet), wearer)
