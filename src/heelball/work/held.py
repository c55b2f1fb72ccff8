"""A wearer held against a few lasts, kept ready while the day is tried out on the page."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from datetime import date as Date
from threading import Lock
from typing import Final

from attrs import frozen
from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.fit.holding import Holding
from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import Wearer
from heelball.foot.posterior import FeetPosterior
from heelball.learn.owned import weigh
from heelball.records.fitting_stamp import FittingStamp, fitting_stamp
from heelball.records.lasts import find_last
from heelball.records.refused import NotFound
from heelball.records.store import Records
from heelball.records.values import KeptLast, KeptWearer
from heelball.records.wearers import find_wearer
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.runs_kept import known_runs, runs_stamp
from heelball.work.worn import lasts_worn

#: So many lasts are held on a page at most.
MOST_HELD: Final = 20

#: So many wearers with their lasts are kept ready at once: as many as stand at benches, and more.
_KEPT_READY: Final = 64


@frozen(eq=False)
class Held:
    """A wearer with the lasts held.

    Parameters
    ----------
    kept, wearer
        The wearer as kept, and as the core reads one.
    lasts
        The lasts as kept, by code.
    holding
        What is answered from.
    feet
        What readings and pairs say of both feet.
    known
        Runs learned from try-ons, by the last's code.
    left_out
        Sentences: which of the lasts cannot be judged, and why.
    """

    kept: KeptWearer
    wearer: Wearer
    lasts: Mapping[str, KeptLast]
    holding: Holding
    feet: FeetPosterior
    known: Mapping[str, KnownRun] | None
    left_out: tuple[str, ...] = ()


class Holdings:
    """The wearers last held, with their lasts, each until something about it is written."""

    def __init__(self) -> None:
        self._ready: OrderedDict[tuple[str, tuple[str, ...], Date], tuple[FittingStamp, Held]] = OrderedDict()
        self._lock = Lock()

    def hold(self, records: Records, wearer_id: str, last_ids: Sequence[str], *, today: Date) -> Held:
        """Return a wearer held against some lasts.

        Parameters
        ----------
        wearer_id, last_ids
            Whose feet, and the lasts: at most `MOST_HELD`.
        today
            For the age of readings.

        Raises
        ------
        NotFound
            Where there is no such wearer.
        InputError
            Where there are too many lasts, or one is not in the records.
        """
        if len(last_ids) > MOST_HELD:
            raise InputError.at("held", f"{len(last_ids)} lasts", f"at most {MOST_HELD} held on a page")
        # A page lists them by rank, and each day ranks anew: held they are the same lasts.
        ids = tuple(sorted(set(last_ids)))
        asked = (wearer_id, ids, today)
        with records.reading() as conn:
            stamp = fitting_stamp(conn, wearer_id, ids) | {("learned runs", runs_stamp(conn), 0)}
            if (ready := self._found(asked, stamp)) is not None:
                return ready
            kept, wearer = find_wearer(conn, wearer_id), kept_core(conn, wearer_id)
            lasts, worn = held_lasts(conn, ids), lasts_worn(conn, wearer_id)
            found, wrong = readable(lasts)
            known = known_runs(conn, [*found, *worn.values()])
        feet = weigh(wearer, worn, known)
        holding = Holding(wearer, found, today=today, feet=feet, known=known)
        by_code = {last.code: last for last in lasts}
        held = Held(kept, wearer, by_code, holding, feet, known, tuple(wrong))
        self._keep(asked, stamp, held)
        return held

    def __len__(self) -> int:
        """Return how many are kept ready."""
        return len(self._ready)

    def _found(self, asked: tuple[str, tuple[str, ...], Date], stamp: FittingStamp) -> Held | None:
        with self._lock:
            ready = self._ready.get(asked)
            if ready is None or ready[0] != stamp:
                return None
            self._ready.move_to_end(asked)
            return ready[1]

    def _keep(self, asked: tuple[str, tuple[str, ...], Date], stamp: FittingStamp, held: Held) -> None:
        with self._lock:
            self._ready[asked] = (stamp, held)
            self._ready.move_to_end(asked)
            while len(self._ready) > _KEPT_READY:
                self._ready.popitem(last=False)


def held_lasts(conn: Connection, last_ids: Sequence[str]) -> list[KeptLast]:
    """Return lasts by the rows' names.

    Raises
    ------
    InputError
        Where one is not in the records.
    """
    return [_find(conn, last_id) for last_id in last_ids]


def _find(conn: Connection, last_id: str) -> KeptLast:
    try:
        return find_last(conn, last_id)
    except NotFound:
        raise InputError.at(
            "held", "a last that is not in the records", "lasts that are; load the page again"
        ) from None
