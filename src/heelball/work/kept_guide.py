"""The size guide of a kept last, by the runs in force."""

from __future__ import annotations

from datetime import date as Date

from heelball.fit.size_guide import Sex
from heelball.records.lasts import find_last
from heelball.records.store import Records
from heelball.work.guide import MadeGuide, make_guide
from heelball.work.keeping import core_last
from heelball.work.runs_kept import known_runs


def kept_guide(records: Records, last_id: str, sex: Sex | None, *, day: Date) -> MadeGuide:
    """Return the size guide of a kept last; `sex` and `day` as in `make_guide`.

    Raises
    ------
    NotFound
        Where there is no such last.
    InputError
        Where it is a child's.
    """
    with records.reading() as conn:
        last = core_last(find_last(conn, last_id))
        known = known_runs(conn, [last]) or {}
    return make_guide(last, sex, known.get(last.code), day=day)
