"""Try-ons are kept as told: what was not said is left out, what was sent twice is kept once."""

from __future__ import annotations

import pytest
from attrs import evolve

from heelball.records.changes import list_changes_of, undo
from heelball.records.lasts import add_last
from heelball.records.makers import add_maker
from heelball.records.pairs import add_pair
from heelball.records.refused import Conflict, NotFound
from heelball.records.schema import new_id
from heelball.records.store import Records
from heelball.records.try_ons import add_try_on, change_try_on, find_try_on, list_try_ons, remove_try_on
from heelball.records.values import Author, KeptPair
from heelball.records.wearers import add_wearer


@pytest.fixture
def pair(records: Records, author: Author) -> KeptPair:
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=author)
        last = add_last(conn, maker.id, "N7", label_scale="us-men", sizes="6-12 by 1/2", by=author)
        wearer = add_wearer(conn, "W12", by=author)
        return add_pair(conn, wearer.id, last.id, size="10", width="D", state="owned", by=author)


def test_a_try_on_is_kept_as_told(records: Records, author: Author, pair: KeptPair):
    with records.writing() as conn:
        added = add_try_on(
            conn,
            pair.id,
            on="2026-01-02",
            verdicts={"left": {"ball": "little", "toe": "right"}, "right": {}},
            hours=2.5,
            sock="thick",
            swelling="hot",
            note="downhill",
            by=author,
        )
    with records.reading() as conn:
        kept = find_try_on(conn, added.id)
    assert kept == added
    assert kept.verdicts == {"left": {"ball": "little", "toe": "right"}}
    assert (kept.wearer_id, kept.last_id, kept.size, kept.width) == (pair.wearer_id, pair.last_id, "10", "D")
    assert (kept.hours, kept.sock, kept.swelling, kept.note) == (2.5, "thick", "hot", "downhill")


def test_what_is_sent_twice_is_kept_once(records: Records, author: Author, pair: KeptPair):
    name = new_id()
    for _ in range(2):
        with records.writing() as conn:
            add_try_on(conn, pair.id, on="2026-01-02", verdicts={}, note="loose", id=name, by=author)
    with records.reading() as conn:
        assert [one.id for one in list_try_ons(conn, pair_id=pair.id)] == [name]


def test_of_one_day_the_later_written_stands_later(records: Records, author: Author, pair: KeptPair):
    written = []
    for day in ("2026-01-03", "2026-01-02", "2026-01-03", "2026-01-03"):
        with records.writing() as conn:
            written.append(add_try_on(conn, pair.id, on=day, verdicts={}, note="n", by=author).id)
    with records.reading() as conn:
        found = [one.id for one in list_try_ons(conn, wearer_id=pair.wearer_id)]
    assert found == [written[1], written[0], written[2], written[3]]


def test_a_try_on_is_mended_removed_and_brought_back(records: Records, author: Author, pair: KeptPair):
    with records.writing() as conn:
        added = add_try_on(conn, pair.id, on="2026-01-02", verdicts={"left": {"ball": "little"}}, by=author)
    with records.writing() as conn:
        mended = change_try_on(conn, added.id, 1, {"verdicts": {"left": {"ball": "much"}}}, by=author)
    assert mended == evolve(added, version=2, verdicts={"left": {"ball": "much"}})
    with pytest.raises(Conflict) as told, records.writing() as conn:
        remove_try_on(conn, added.id, 1, by=author)
    assert told.value.theirs == mended
    with records.writing() as conn:
        remove_try_on(conn, added.id, 2, by=author)
    with pytest.raises(NotFound, match="try-on"), records.reading() as conn:
        find_try_on(conn, added.id)
    with records.writing() as conn:
        undo(conn, list_changes_of(conn, "try_ons", added.id)[0].id, by=author)
    with records.reading() as conn:
        assert find_try_on(conn, added.id).verdicts == mended.verdicts
