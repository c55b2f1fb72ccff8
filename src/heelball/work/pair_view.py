"""Everything a page shows of one pair, read in one moment, and its record to take away."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from typing import Any, Final

from attrs import frozen

from heelball.foot.vector import FEET
from heelball.records.lasts import find_last, list_lasts
from heelball.records.pair_life import DAY_WORDS
from heelball.records.pairs import find_exchanged_for, find_pair, list_with_names
from heelball.records.store import Records
from heelball.records.try_ons import list_try_ons
from heelball.records.values import KeptLast, KeptPair, KeptWearer, TryOn
from heelball.records.wearers import find_wearer
from heelball.show.labels import label_text, percent
from heelball.show.try_on_words import PLACE_NAMES, care_texts, mentioned, verdicts_texts
from heelball.work.arrival_check import ARRIVAL, BETWEEN, arrival_of
from heelball.work.due import DuePair, what_is_due
from heelball.work.figures_json import label_record
from heelball.work.keeping import core_last
from heelball.work.pair_history import Step, history

SCHEMA: Final = "heelball/pair/1"
LIST_SCHEMA: Final = "heelball/pairs/1"


@frozen
class PairView:
    """One pair and all that is known of it.

    Parameters
    ----------
    label
        As stamped.
    due
        What is to be done with it by when.
    labels
        What its last is offered in: a form's value, and the label as stamped.
    came_for, gave_way_to
        The pair it came in exchange for, and the one that was ordered for it.
    said, arrival
        What was said when it was ordered, by what it is about; and what its check said, in mm.
    fits
        Try-ons, the last first: each with what was said of either foot.
    cautions
        Whom to see about what the try-ons' notes mention.
    steps
        What was written of it, the last first.
    """

    pair: KeptPair
    wearer: KeptWearer
    last: KeptLast
    label: str
    due: DuePair
    labels: tuple[tuple[str, str], ...]
    came_for: KeptPair | None
    gave_way_to: KeptPair | None
    said: tuple[tuple[str, str], ...]
    arrival: Mapping[str, Any]
    fits: tuple[tuple[TryOn, tuple[tuple[str, str], ...]], ...]
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]


def pair_view(records: Records, pair_id: str, today: Date) -> PairView:
    """Return what a page shows of one pair.

    Raises
    ------
    NotFound
        Where there is no such pair.
    """
    with records.reading() as conn:
        pair = find_pair(conn, pair_id)
        kept = find_last(conn, pair.last_id)
        listed = next(
            one for one in list_with_names(conn, wearer_id=pair.wearer_id) if one.pair.id == pair_id
        )
        try_ons = list_try_ons(conn, pair_id=pair_id)
        return PairView(
            pair=pair,
            wearer=find_wearer(conn, pair.wearer_id),
            last=kept,
            label=stamped(pair),
            due=what_is_due(listed, today),
            labels=labels_of(kept),
            came_for=find_pair(conn, pair.in_exchange_for) if pair.in_exchange_for else None,
            gave_way_to=find_exchanged_for(conn, pair_id),
            said=_said(pair.answer or {}),
            arrival=arrival_of(pair),
            fits=tuple((one, tuple(verdicts_texts(one.verdicts).items())) for one in reversed(try_ons)),
            cautions=_cautions(try_ons),
            steps=history(conn, pair),
        )


def stamped(pair: KeptPair) -> str:
    """Return a pair's label as it is stamped."""
    return f"{pair.size} {pair.width}" if pair.width else pair.size


def labels_of(kept: KeptLast) -> tuple[tuple[str, str], ...]:
    """Return what a last is offered in: a form's value, and the label as stamped."""
    last = core_last(kept)
    found = []
    for label in last.labels:
        record = label_record(label, last)
        found.append((f"{record['size']}{BETWEEN}{record['width'] or ''}", label_text(label, last)))
    return tuple(found)


def pair_record(view: PairView) -> dict[str, Any]:
    """Return a pair's record to take away: the wearer by code, without a name."""
    pair = view.pair
    answer = {name: value for name, value in (pair.answer or {}).items() if name != ARRIVAL}
    arrival = {name: value for name, value in view.arrival.items() if name != "measured_id"}
    return {
        "schema": SCHEMA,
        "wearer": view.wearer.code,
        "last": view.last.code,
        "maker": view.last.maker,
        "size": pair.size,
        "width": pair.width,
        "state": pair.state,
        **{name: getattr(pair, name) for name in DAY_WORDS},
        "said_at_order": answer or None,
        "arrival": arrival or None,
        "try_ons": [
            {
                "on": one.on,
                "hours": one.hours,
                "sock": one.sock,
                "swelling": one.swelling,
                "verdicts": {foot: dict(one.verdicts[foot]) for foot in FEET if foot in one.verdicts},
                "note": one.note,
            }
            for one, _ in reversed(view.fits)
        ],
        "note": pair.note,
    }


def pairs_record(records: Records) -> dict[str, Any]:
    """Return all pairs to take away, the last dated first: wearers by code, without names."""
    with records.reading() as conn:
        listed = list_with_names(conn)
    pairs = [
        {
            "wearer": one.wearer_code,
            "last": one.last_code,
            "maker": one.maker,
            "size": one.pair.size,
            "width": one.pair.width,
            "state": one.pair.state,
            **{name: getattr(one.pair, name) for name in DAY_WORDS},
            "try_ons": one.tried,
        }
        for one in listed
    ]
    return {"schema": LIST_SCHEMA, "pairs": pairs}


def _said(answer: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return what was said when a pair was ordered, as far as it was kept."""
    found: list[tuple[str, str]] = []
    for name, about in (("order", "Order"), ("least_wrong", "Least wrong, none serves")):
        if label := _label(answer.get(name)):
            found.append((about, f"{label}{_chance(answer.get('chance'))}"))
    rule = answer.get("trade_rule")
    if isinstance(rule, Mapping):
        found.append(("Trade rule", _label(rule.get("order")) or "no order"))
    deciding = answer.get("deciding")
    if isinstance(deciding, Mapping) and deciding.get("place") in PLACE_NAMES:
        found.append(
            ("Doubtful place", f"{deciding.get('foot')} foot, {PLACE_NAMES[deciding['place']].lower()}")
        )
    for name, about in (("why", "Why"), ("cautions", "Cautions")):
        texts = answer.get(name)
        if isinstance(texts, list) and texts:
            found.append((about, " ".join(str(text) for text in texts)))
    return tuple(found)


def _label(record: object) -> str:
    if not isinstance(record, Mapping) or not record.get("size"):
        return ""
    return " ".join(str(part) for part in (record["size"], record.get("width")) if part)


def _chance(chance: object) -> str:
    return f", right all over by chance {percent(chance)}" if isinstance(chance, float | int) else ""


def _cautions(try_ons: list[TryOn]) -> tuple[str, ...]:
    pain, numbness = False, False
    for one in try_ons:
        hurts, numb = mentioned(one.note)
        pain, numbness = pain or hurts, numbness or numb
    return tuple(care_texts(pain=pain, pain_weeks=0, numbness=numbness))


def lasts_and_wearer(records: Records, wearer_id: str) -> tuple[KeptWearer, tuple[tuple[str, str], ...]]:
    """Return a wearer, and the lasts that a pair can be made on: a form's value and what to call it.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        lasts = tuple((last.id, f"{last.code} by {last.maker}") for last in list_lasts(conn))
        return find_wearer(conn, wearer_id), lasts
