"""What one wearer's answer from some lasts was worked out from: every row's name and version."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    CompoundSelect,
    Connection,
    Select,
    String,
    Table,
    bindparam,
    literal_column,
    or_,
    select,
    union_all,
)

from heelball.records.schema import (
    advice,
    gauge_marks,
    health_answers,
    lasts,
    makers,
    measured_pairs,
    pairs,
    readings,
    sittings,
    try_ons,
    wearers,
)

#: The rows that bear on an answer, as table, name and version.
FittingStamp = frozenset[tuple[str, str, int]]


def fitting_stamp(conn: Connection, wearer_id: str, last_ids: Sequence[str]) -> FittingStamp:
    """Return a value that is another one as soon as anything was written that bears on an answer.

    Parameters
    ----------
    wearer_id, last_ids
        Whose feet, and the lasts they are held against.
    """
    asked = {"wearer": wearer_id, "held": list(last_ids)}
    return frozenset((row[0], row[1], row[2]) for row in conn.execute(_STAMP, asked))


def _rows(table: Table, which: ColumnElement[bool] | None = None) -> Select[tuple[str, str, int]]:
    rows = select(literal_column(f"'{table.name}'", String), table.c.id, table.c.version)
    return rows if which is None else rows.where(which)


def _stamp() -> CompoundSelect[Any]:
    wearer = bindparam("wearer", type_=String)
    # The lasts held, and those of the wearer's own pairs.
    held = select(lasts.c.id).where(
        or_(
            lasts.c.id.in_(bindparam("held", type_=String, expanding=True)),
            lasts.c.id.in_(select(pairs.c.last_id).where(pairs.c.wearer_id == wearer)),
        )
    )
    return union_all(
        _rows(wearers, wearers.c.id == wearer),
        *(_rows(table, table.c.wearer_id == wearer) for table in (readings, sittings, pairs, try_ons)),
        _rows(gauge_marks),
        _rows(lasts, lasts.c.id.in_(held)),
        _rows(advice, advice.c.last_id.in_(held)),
        _rows(measured_pairs, measured_pairs.c.last_id.in_(held)),
        _rows(makers, makers.c.id.in_(select(lasts.c.maker_id).where(lasts.c.id.in_(held)))),
        # One row a wearer: what tells two consents apart is when each was given.
        select(
            literal_column("'health_answers'", String),
            health_answers.c.consented_at,
            health_answers.c.version,
        ).where(health_answers.c.wearer_id == wearer),
    )


# Put together once: that takes longer than the database does.
_STAMP: Final = _stamp()
