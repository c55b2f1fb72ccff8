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
    if not anew and told.id not in since:
        return
    lasts, _ = readable([kept])
    if not lasts:
        # The last's page says why it cannot be judged; what was told is kept all the same.
        drop_since(conn, kept.code)
        return
    (last,) = lasts
    standing = since_learned(conn).get(kept.code)
    every = list_try_ons(conn, last_id=kept.id)
    if anew and standing is not None and standing.goes_on(last, told):
        found = _after(conn, standing, last, [told], every)
    else:
        before = learned_run(conn, last)
        if before is None:
            return
        rows = [one for one in every if one.id in since or (anew and one.id == told.id)]
        found = _after(conn, HeardSince(before, {}, frozenset(), evidence_mark(last)), last, rows, every)
    if found.try_ons:
        put_since(conn, kept.code, found)
    else:
        drop_since(conn, kept.code)


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
    pairs -= {_pair(row) for row in every if row.id not in heard}
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
