"""One more try-on counts at once in how its last runs, where runs were learned."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from heelball.errors import InputError, UnreadableText
from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import is_child
from heelball.last.values import Last
from heelball.learn.feet import FeetGiven, feet_given
from heelball.learn.habits import Habits
from heelball.learn.one_more import one_more
from heelball.records.lasts import find_last
from heelball.records.try_ons import list_try_ons
from heelball.records.values import TryOn as KeptTryOn
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.pairs_told import as_heard
from heelball.work.runs_json import evidence_mark
from heelball.work.runs_kept import learned_run
from heelball.work.runs_since import HeardSince, drop_since, put_since, since_learned, told_since


def hear_at_once(conn: Connection, last_id: str) -> None:
    """Let what was told of a last since runs were learned count in how it runs, as it stands now.

    Whoever told of the last before is left out: a foot that its run was learned from is not a
    fresh one. So is what cannot be judged.
    """
    kept = find_last(conn, last_id)
    since = told_since(conn, last_id)
    if not since:
        drop_since(conn, kept.code)
        return
    lasts, _ = readable([kept])
    every = list_try_ons(conn, last_id=last_id)
    earlier = {row.wearer_id for row in every if row.verdicts and row.id not in since}
    rows = [row for row in every if row.id in since and row.wearer_id not in earlier]
    before = _before(conn, kept.code, lasts[0], rows) if lasts and rows else None
    if before is None:
        drop_since(conn, kept.code)
        return
    new = [row for row in rows if row.id not in before.try_ons]
    found = _after(conn, before, lasts[0], new, every)
    if found.try_ons:
        put_since(conn, kept.code, found)
    else:
        drop_since(conn, kept.code)


def _before(conn: Connection, code: str, last: Last, rows: Sequence[KeptTryOn]) -> HeardSince | None:
    """Return what more is heard upon: what was heard since where that still stands, else what was learned.

    Two reports of one wearer share that wearer's foot, and are heard together or not rightly.
    """
    mark = evidence_mark(last)
    standing = since_learned(conn).get(code)
    if standing is not None and standing.evidence == mark:
        more = {row.wearer_id for row in rows if row.id not in standing.try_ons}
        if set(standing.try_ons) <= {row.id for row in rows} and not more & standing.wearers:
            return standing
    try:
        learned = learned_run(conn, last)
    except InputError:
        # The pages say that what was learned cannot be read; what was told is kept all the same.
        return None
    return None if learned is None else HeardSince(learned, {}, frozenset(), mark)


def _after(
    conn: Connection,
    before: HeardSince,
    last: Last,
    rows: Sequence[KeptTryOn],
    every: Sequence[KeptTryOn],
) -> HeardSince:
    """Return what is known of a last after more reports, each wearer's heard together.

    Parameters
    ----------
    rows
        What was told.
    every
        All that was ever told of the last: a wearer's of one label is one pair, told of as often as may be.
    """
    belief, habits = before.known.belief, Habits.default()
    heard: dict[str, KeptTryOn] = {}
    for wearer_id in dict.fromkeys(row.wearer_id for row in rows):
        found = None if wearer_id is None else _adult(conn, wearer_id)
        if found is None:
            continue
        wearer, feet = found
        mine = [row for row in rows if row.wearer_id == wearer_id]
        said = [(row, one) for row in mine if (one := as_heard(row, last, wearer.code)) is not None]
        if said:
            belief = one_more(belief, last, feet, [one for _, one in said], habits).belief
            heard |= {row.id: row for row, _ in said}
    pairs = {_pair(row) for row in heard.values()}
    pairs -= {_pair(row) for row in every if row.verdicts and row.id not in heard}
    return HeardSince(
        KnownRun(belief, before.known.pairs + len(pairs)),
        {**before.try_ons, **{id: row.version for id, row in heard.items()}},
        before.wearers | {row.wearer_id for row in heard.values()},
        before.evidence,
    )


def _pair(row: KeptTryOn) -> tuple[str | None, str, str | None]:
    return row.wearer_id, row.size, row.width


def _adult(conn: Connection, wearer_id: str) -> tuple[Wearer, FeetGiven] | None:
    """Return a wearer and the feet as read; None for a child, or where what is kept cannot be read."""
    try:
        wearer = kept_core(conn, wearer_id)
        return None if is_child(wearer.readings) else (wearer, feet_given(wearer))
    except (InputError, UnreadableText):
        return None
