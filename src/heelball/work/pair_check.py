"""The check of a kept pair: what its try-ons and its measures say should become of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date as Date
from typing import Any, Final

from attrs import evolve, frozen
from sqlalchemy import Connection

from heelball.errors import InputError, UnreadableText
from heelball.fit.known_run import KnownRun
from heelball.last.values import Label, Last, MeasuredPair
from heelball.learn.arrived import TriedOn
from heelball.records.lasts import find_last
from heelball.records.pairs import find_pair
from heelball.records.store import Records
from heelball.records.try_ons import list_try_ons
from heelball.records.values import KeptPair, TryOn
from heelball.scales.catalogue import size_scale
from heelball.show.check_words import BREAK_IN, step_text, teaches_texts, why_texts
from heelball.show.lengths import Units, in_units
from heelball.show.words import sentences
from heelball.work.arrival import MEASURED
from heelball.work.arrival_check import arrival_of, without_measured
from heelball.work.keeping import core_last
from heelball.work.kept_core import kept_core
from heelball.work.pair_checked import Checked, check_pair
from heelball.work.pairs_told import state_told, words_told
from heelball.work.runs_kept import runs_in_force
from heelball.work.runs_since import told_since
from heelball.work.worn import lasts_worn

#: Pairs that are here; those kept or owned do not go back any more.
_HERE: Final = ("arrived", "kept", "owned")


@frozen
class CheckSaid:
    """A check in words: what calls for someone else first, the step, why, and what the pair teaches."""

    referral: tuple[str, ...]
    step: str
    why: tuple[str, ...]
    teaches: tuple[str, ...]
    cautions: tuple[str, ...]


def kept_check(records: Records, pair_id: str, today: Date) -> Checked | None:
    """Return what is said of a kept pair.

    Returns
    -------
    Checked or None
        None where the pair is not here, nothing was told or measured of it yet, its last cannot
        be judged, or its wearer is a child.

    Raises
    ------
    NotFound
        Where there is no such pair.
    """
    with records.reading() as conn:
        pair = find_pair(conn, pair_id)
        tried = [one for one in list_try_ons(conn, pair_id=pair_id) if one.verdicts]
        arrival = arrival_of(pair)
        measured = {kind: length for kind in MEASURED if (length := arrival.get(f"{kind}_mm")) is not None}
        if pair.state not in _HERE or not (tried or measured):
            return None
        try:
            last, label = _last_and_label(conn, pair, arrival)
            if size_scale(last.label_scale).population == "child":
                return None
            wearer = kept_core(conn, pair.wearer_id)
        except (InputError, UnreadableText):
            # What is kept cannot be judged; the pages of last and wearer say why.
            return None
        lasts = lasts_worn(conn, pair.wearer_id)
        known = _known(conn, pair, last, lasts, tried)
    return check_pair(
        wearer,
        lasts,
        last,
        label,
        today=today,
        boot=MeasuredPair(label.size, label.width, **measured) if measured else None,
        tried=tuple(TriedOn(words_told(one), state_told(one)) for one in tried),
        days_left=_days_left(pair, today),
        known=known,
    )


def check_said(checked: Checked, units: Units) -> CheckSaid:
    """Return a check in words, lengths in the units asked for."""
    last = checked.last
    step = step_text(checked.decided, last, checked.label)

    def shown(texts: Iterable[str]) -> tuple[str, ...]:
        return tuple(in_units(text, units) for text in texts)

    return CheckSaid(
        referral=shown(sentences(checked.referral)),
        step=in_units(f"{step[:1].upper()}{step[1:]}.", units),
        why=shown(why_texts(checked.decided, checked.found, last, checked.days_left)),
        teaches=shown(teaches_texts(checked.found)),
        cautions=shown([BREAK_IN, *sentences(checked.cautions, last)]),
    )


def _last_and_label(conn: Connection, pair: KeptPair, arrival: Mapping[str, Any]) -> tuple[Last, Label]:
    """Return a pair's last as known without it, and the label on its box, or as it was ordered."""
    last = core_last(without_measured(find_last(conn, pair.last_id), arrival.get("measured_id")))
    size, width = (arrival["size"], arrival["width"]) if arrival else (pair.size, pair.width)
    label = Label(size_scale(last.label_scale).parse(size), width)
    if label not in last.labels:
        # A pair from before the offer changed is judged beside what is offered now.
        last = evolve(last, labels=(*last.labels, label))
    return last, label


def _known(
    conn: Connection, pair: KeptPair, last: Last, worn: Mapping[str, Last], tried: Sequence[TryOn]
) -> Mapping[str, KnownRun] | None:
    """Return the learned runs of a pair's last and of the wearer's others.

    Where the pair itself was learned from already, its last stands by its own evidence: what was
    told of this pair would count twice.
    """
    runs = runs_in_force(conn, [*worn.values(), last], judged=pair.wearer_id)
    if runs is None:
        return None
    since = told_since(conn, pair.last_id)
    heard = any(one.id not in since for one in tried)
    return {code: run for code, run in runs.known.items() if not (heard and code == last.code)}


def _days_left(pair: KeptPair, today: Date) -> int | None:
    """Return the days in which a pair can go back, today among them; None where nobody knows."""
    if pair.state != "arrived":
        return 0
    if pair.send_back_by is None:
        return None
    return max((Date.fromisoformat(pair.send_back_by) - today).days + 1, 0)
