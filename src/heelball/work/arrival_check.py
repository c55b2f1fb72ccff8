"""The check of a boot that came: read as typed, kept with its pair, and measured for its last."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from typing import Any, Final

from attrs import evolve
from sqlalchemy import Connection

from heelball.errors import InputError, Problem
from heelball.fit.wearer import Wearer
from heelball.last.values import Label, MeasuredPair
from heelball.records.lasts import find_last
from heelball.records.pairs import change_pair, find_pair
from heelball.records.refused import Conflict
from heelball.records.run_evidence import add_measured, find_measured, withdraw_measured
from heelball.records.store import Records
from heelball.records.values import Author, KeptLast, KeptPair
from heelball.scales.catalogue import size_scale
from heelball.show.arrival_words import BOOTS_DIFFER, HEEL_SLIPS, wrong_box_text
from heelball.show.labels import label_text, size_text
from heelball.work.arrival import MEASURED, compare
from heelball.work.evidence_form import read_measured_form
from heelball.work.keeping import core_last
from heelball.work.kept_core import kept_core
from heelball.work.last_form import written_length
from heelball.work.pair_labels import readable_label

#: Where the check stands in a pair's `answer`.
ARRIVAL: Final = "arrival"

#: Between size and width in a form's value for a label.
BETWEEN: Final = "|"

_LENGTHS: Final = tuple(f"{kind}_mm" for kind in MEASURED)
_TICKS: Final = ("heel_slips", "boots_differ")


def check_arrival(
    records: Records, pair_id: str, seen: int, typed: Mapping[str, str], *, units: str, by: Author
) -> KeptPair:
    """Keep what was seen and measured of the boot that came, and what it says.

    Parameters
    ----------
    typed
        By field: ``box`` (size, `BETWEEN` and width, as on the box), ``inside_length_mm``,
        ``flex_line_mm``, ``ball_girth_mm``, ``heel_slips``, ``boots_differ``, ``note``.
    units
        What lengths were typed in, ``mm`` or ``in``.

    Returns
    -------
    KeptPair
        The pair with its check; lengths are kept as a measured pair of its last too.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    """
    today = by.at.date()
    with records.reading() as conn:
        pair = find_pair(conn, pair_id)
        kept = find_last(conn, pair.last_id)
        wearer = kept_core(conn, pair.wearer_id)
    if pair.version != seen:
        raise Conflict(pair, seen, typed)
    before = without_measured(kept, arrival_of(pair).get("measured_id"))
    found, measured = _read(pair, before, typed, today, units)
    found["said"], slips = _said(pair, before, wearer, found, measured, today)
    with records.writing() as conn:
        _withdraw_earlier(conn, pair, by)
        found["measured_id"] = None
        if measured is not None and any(measured[name] is not None for name in _LENGTHS if name not in slips):
            row = add_measured(conn, pair.last_id, **{**measured, **dict.fromkeys(slips)}, by=by)
            found["measured_id"] = row.id
        answer = {**(pair.answer or {}), ARRIVAL: found}
        return change_pair(conn, pair_id, seen, {"answer": answer}, by=by)


def arrival_of(pair: KeptPair) -> Mapping[str, Any]:
    """Return the check of the boot that came; empty where there was none."""
    found: Mapping[str, Any] = (pair.answer or {}).get(ARRIVAL) or {}
    return found


def written_arrival(pair: KeptPair, units: str) -> dict[str, str]:
    """Return the fields of the check as a fitter would type them; empty where there was none."""
    found = arrival_of(pair)
    if not found:
        return {}
    return {
        "box": f"{found['size']}{BETWEEN}{found['width'] or ''}",
        **{name: written_length(found[name], units) for name in _LENGTHS},
        **{name: "yes" if found[name] else "" for name in _TICKS},
        "note": found["note"],
    }


def without_measured(kept: KeptLast, measured_id: str | None) -> KeptLast:
    """Return a last as known without one measured pair."""
    return evolve(kept, measured=tuple(one for one in kept.measured if one.id != measured_id))


def _read(
    pair: KeptPair, last: KeptLast, typed: Mapping[str, str], today: Date, units: str
) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """Return what is kept with the pair, and the columns of the measured pair; None if not measured."""
    problems: list[Problem] = []
    if pair.state == "ordered":
        problems.append(Problem("state", "the pair is still on order", "the day it came first"))
    box = typed.get("box", "")
    size, _, width = box.partition(BETWEEN)
    if not box:
        problems.append(Problem("box", "not looked at", "the label that is on the box"))
    else:
        try:
            stamped = readable_label(core_last(last), size, width or None)
            size = size_text(stamped.size, last.label_scale)
        except InputError as refused:
            problems += [Problem("box", one.found, one.wanted) for one in refused.problems]
    measured: dict[str, Any] | None = None
    if any(typed.get(name, "") for name in _LENGTHS):
        origin = f"measured at the bench on a pair that came {pair.arrived_on}"
        if pair.arrived_on is None:
            origin = "measured at the bench on a pair that a wearer brought"
        fields = {name: typed.get(name, "") for name in _LENGTHS}
        fields |= {"size": size, "width": width, "origin": origin, "on": today.isoformat()}
        try:
            measured = read_measured_form(fields, last, today, units=units)
        except InputError as refused:
            named = {"size": "box", "width": "box"}
            problems += [
                Problem(named.get(one.place, one.place), one.found, one.wanted)
                for one in refused.problems
                # What is wrong with the label has been said by then.
                if one.place not in named or not problems
            ]
    if problems:
        raise InputError(problems)
    found: dict[str, Any] = {
        "on": today.isoformat(),
        "size": size,
        "width": width or None,
        **{name: None if measured is None else measured[name] for name in _LENGTHS},
        **{name: bool(typed.get(name, "")) for name in _TICKS},
        "note": typed.get("note", ""),
    }
    return found, measured


def _said(
    pair: KeptPair,
    kept: KeptLast,
    wearer: Wearer,
    found: Mapping[str, Any],
    measured: Mapping[str, Any] | None,
    today: Date,
) -> tuple[list[str], list[str]]:
    """Return what the check says, lengths in mm, and the columns of what cannot be the boot's."""
    last = core_last(kept)
    scale = size_scale(last.label_scale)
    ordered = Label(scale.parse(pair.size), pair.width)
    box = Label(scale.parse(found["size"]), found["width"])
    said: list[str] = []
    slips: list[str] = []
    if box != ordered:
        said.append(wrong_box_text(label_text(box, last), label_text(ordered, last)))
    if measured is not None:
        lengths = {kind: measured[f"{kind}_mm"] for kind in MEASURED}
        boot = MeasuredPair(box.size, box.width, **lengths)
        compared = compare(boot, last, wearer, ordered, today)
        said += compared.said
        slips = [f"{one.kind}_mm" for one in compared.differences if not one.believed]
    said += [HEEL_SLIPS] * found["heel_slips"] + [BOOTS_DIFFER] * found["boots_differ"]
    return said, slips


def _withdraw_earlier(conn: Connection, pair: KeptPair, by: Author) -> None:
    """Let what an earlier check measured count no longer: it is the same boot."""
    measured_id = arrival_of(pair).get("measured_id")
    if measured_id is None:
        return
    earlier = find_measured(conn, measured_id)
    if earlier.withdrawn_at is None:
        withdraw_measured(conn, earlier.id, earlier.version, by=by)
