"""Wearers, their readings and what is known of their feet, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from pydantic import BaseModel

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
from heelball.bench.api.told import model_of, told
from heelball.fit.choice import describe_feet
from heelball.records import health, readings, sittings, wearers
from heelball.records.values import HealthAnswers, KeptReading, KeptWearer, Sitting
from heelball.work import direct
from heelball.work.foot_json import foot_record
from heelball.work.kept_core import kept_core

router = routes("wearers")


class Found(BaseModel):
    """Wearers found."""

    wearers: list[model_of(KeptWearer)]  # type: ignore[valid-type]


class Occasion(BaseModel):
    """A sitting and the readings written down at it."""

    sitting: model_of(Sitting)  # type: ignore[valid-type]
    readings: list[model_of(KeptReading)]  # type: ignore[valid-type]


class Taken(BaseModel):
    """All readings of a wearer by sitting, those that no longer stand among them."""

    sittings: list[model_of(Sitting)]  # type: ignore[valid-type]
    readings: list[model_of(KeptReading)]  # type: ignore[valid-type]


@router.post("/wearers/search", response_model=Found)
def search(records: Kept, asked: Sought) -> dict[str, Any]:
    """Find wearers by any part of name or code; it is posted so that no name stands in an address."""
    with records.reading() as conn:
        return {"wearers": [told(one) for one in wearers.search_wearers(conn, asked.words)]}


@router.post("/wearers", status_code=201, response_model=model_of(KeptWearer))
def add(records: Kept, request: Request, asked: NewWearer) -> dict[str, Any]:
    """Add a wearer."""
    fields = {**asked.model_dump(exclude={"fitter", "day"}), "day": day_table(asked.day)}
    return told(direct.new_wearer(records, fields, author(request, asked.fitter)))


@router.get("/wearers/{wearer_id}", response_model=model_of(KeptWearer))
def find(records: Kept, wearer_id: str) -> dict[str, Any]:
    """Return one wearer."""
    with records.reading() as conn:
        return told(wearers.find_wearer(conn, wearer_id))


@router.patch("/wearers/{wearer_id}", response_model=model_of(KeptWearer))
def change(records: Kept, request: Request, wearer_id: str, asked: WearerChange) -> dict[str, Any]:
    """Change a wearer, if nobody else has since."""
    fields = given(asked)
    if asked.day is not None:
        fields["day"] = day_table(asked.day)
    by = author(request, asked.fitter)
    return told(direct.mended_wearer(records, wearer_id, asked.seen, fields, by))


@router.get("/wearers/{wearer_id}/readings", response_model=Taken)
def taken(records: Kept, wearer_id: str) -> dict[str, Any]:
    """Return all readings of a wearer in the order they were taken in."""
    with records.reading() as conn:
        wearers.find_wearer(conn, wearer_id)
        return {
            "sittings": [told(one) for one in sittings.list_sittings(conn, wearer_id)],
            "readings": [told(one) for one in readings.list_readings(conn, wearer_id)],
        }


@router.post("/wearers/{wearer_id}/sittings", status_code=201, response_model=Occasion)
def take(records: Kept, request: Request, wearer_id: str, asked: NewSitting) -> dict[str, Any]:
    """Write the readings of one occasion down, all or none."""
    by = author(request, asked.fitter)
    sitting, written = direct.taken_readings(
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
    with records.writing() as conn:
        by = author(request, asked.fitter)
        return told(readings.withdraw_reading(conn, reading_id, asked.seen, by=by))


@router.post("/wearers/{wearer_id}/health", response_model=model_of(HealthAnswers))
def keep_health(records: Kept, request: Request, wearer_id: str, asked: HealthTold) -> dict[str, Any]:
    """Keep what a wearer told of health; only with consent, for referral alone."""
    signs = asked.model_dump(exclude={"seen", "fitter", "consents"})
    by = author(request, asked.fitter)
    kept = direct.health_told(records, wearer_id, asked.seen, signs, consents=asked.consents, by=by)
    return told(kept)


@router.delete("/wearers/{wearer_id}/health", status_code=204)
def forget_health(records: Kept, wearer_id: str) -> None:
    """Delete what a wearer told of health: consent was taken back."""
    with records.writing() as conn:
        wearers.find_wearer(conn, wearer_id)
        health.withdraw_consent(conn, wearer_id)


@router.get("/wearers/{wearer_id}/foot")
def foot(records: Kept, request: Request, wearer_id: str) -> dict[str, Any]:
    """Return what is known of both feet: `heelball/foot/1`."""
    today = request.app.state.settings.clock().date()
    with records.reading() as conn:
        wearer = kept_core(conn, wearer_id)
    return foot_record(describe_feet(wearer, today=today), wearer)
