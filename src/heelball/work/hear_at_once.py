"""One more try-on counts at once in how its last runs, where runs were learned."""

from __future__ import annotations

from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import is_child
from heelball.learn.habits import Habits
from heelball.learn.one_more import fit_of, one_more
from heelball.records.lasts import find_last
from heelball.records.try_ons import list_try_ons
from heelball.records.values import TryOn as KeptTryOn
from heelball.work.keeping import core_last
from heelball.work.kept_core import kept_core
from heelball.work.pairs_told import as_heard
from heelball.work.runs_json import evidence_mark
from heelball.work.runs_kept import learned_run
from heelball.work.runs_since import drop_since, put_since, told_since


def hear_at_once(conn: Connection, told: KeptTryOn, *, anew: bool) -> None:
    """Let a try-on that was just written count in how its last runs.

    Parameters
    ----------
    told
        The report, as it was before where it was taken out.
    anew
        Whether it was not there before. One that was learned from stays as it was heard then.
    """
    kept = find_last(conn, told.last_id)
    since = set(told_since(conn).get(kept.code, ()))
    if anew:
        since.add(told.id)
    elif told.id not in since:
        return
    try:
        last = core_last(kept)
    except InputError:
        # The last's page says why it cannot be judged; what was told is kept all the same.
        drop_since(conn, kept.code)
        return
    before = learned_run(conn, last)
    if before is None:
        return
    every = list_try_ons(conn, last_id=kept.id)
    rows = [one for one in every if one.id in since]
    heard: dict[str, int] = {}
    belief, habits = before.belief, Habits.default()
    for wearer_id in dict.fromkeys(row.wearer_id for row in rows):
        mine = [row for row in rows if row.wearer_id == wearer_id]
        wearer = None if wearer_id is None else _adult(conn, wearer_id)
        if wearer is None:
            continue
        said = [(row, one) for row in mine if (one := as_heard(row, last, wearer.code)) is not None]
        if said:
            belief = one_more(belief, last, fit_of(wearer, habits), [one for _, one in said], habits).belief
            heard |= {row.id: row.version for row, _ in said}
    if heard:
        # A wearer's of one label is one pair, told of as often as may be.
        pairs = {(row.wearer_id, row.size, row.width) for row in rows if row.id in heard}
        pairs -= {(row.wearer_id, row.size, row.width) for row in every if row.id not in since}
        run = KnownRun(belief, before.pairs + len(pairs))
        put_since(conn, kept.code, run, heard, evidence=evidence_mark(last))
    else:
        drop_since(conn, kept.code)


def _adult(conn: Connection, wearer_id: str) -> Wearer | None:
    """Return a wearer as the core reads one; None for a child, or where what is kept cannot be read."""
    try:
        wearer = kept_core(conn, wearer_id)
    except InputError:
        return None
    return None if is_child(wearer.readings) else wearer
