"""All lasts that could be had, as the core reads them, kept until something about them is written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from attrs import frozen

from heelball.errors import InputError
from heelball.fit.known_run import KnownRun
from heelball.fit.shelf import Shelves
from heelball.last.values import Last
from heelball.records.lasts import lasts_stamp, list_lasts
from heelball.records.store import Records
from heelball.records.values import KeptLast
from heelball.scales.catalogue import size_scale
from heelball.work.keeping import core_last
from heelball.work.runs_kept import known_runs, runs_stamp

#: Sentences about lasts that cannot be ranked; the rest are counted.
_TOLD: Final = 10


@frozen(eq=False)
class LastsOnHand:
    """The lasts that could be had, shelved.

    Parameters
    ----------
    stamp
        Another one as soon as anything about a last was written.
    shelves
        The lasts as the core reads them.
    ids
        The row's name of each, by the last's code.
    left_out
        Sentences: which lasts cannot be ranked, and why.
    by_code
        The lasts, for pairs that wearers have.
    known
        Runs learned from try-ons, by the last's code.
    """

    stamp: str
    shelves: Shelves
    ids: dict[str, str]
    left_out: tuple[str, ...]
    by_code: Mapping[str, Last]
    known: Mapping[str, KnownRun] | None


def lasts_on_hand(records: Records, before: LastsOnHand | None = None) -> LastsOnHand:
    """Return the lasts that could be had; `before` where nothing about them was written since."""
    with records.reading() as conn:
        stamp = f"{lasts_stamp(conn)} {runs_stamp(conn)}"
        if before is not None and before.stamp == stamp:
            return before
        kept = list_lasts(conn, retired=False)
        found, wrong = readable(kept)
        known = known_runs(conn, found)
    ids = {one.code: one.id for one in kept}
    by_code = {last.code: last for last in found}
    return LastsOnHand(stamp, Shelves(found, known), ids, _told(wrong), by_code, known)


def readable(kept: Iterable[KeptLast]) -> tuple[list[Last], list[str]]:
    """Return lasts as the core reads them, and a sentence for each that cannot be ranked."""
    wrong: list[str] = []
    found = [last for one in kept if (last := _read(one, wrong)) is not None]
    return found, wrong


def _read(kept: KeptLast, wrong: list[str]) -> Last | None:
    try:
        last = core_last(kept)
    except InputError as refused:
        wrong.append(f"{refused.problems[0]}.")
        return None
    if size_scale(last.label_scale).population == "child":
        wrong.append(f"{last.code} is numbered on a child's scale: children's lasts are not judged.")
        return None
    return last


def _told(wrong: list[str]) -> tuple[str, ...]:
    more = len(wrong) - _TOLD
    return (*wrong[:_TOLD], *([f"And {more} more lasts cannot be ranked."] if more > 0 else []))
