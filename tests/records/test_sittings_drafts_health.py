"""Sittings keep their zone, drafts keep every tap, health is kept with consent alone."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from heelball.errors import InputError
from heelball.records.drafts import clear_draft, find_draft, save_field, save_fields
from heelball.records.health import find_health, keep_health, withdraw_consent
from heelball.records.refused import Conflict, NotFound
from heelball.records.schema import changes, drafts, health_answers
from heelball.records.sittings import add_sitting, change_sitting, find_sitting, list_sittings
from heelball.records.store import Records
from heelball.records.values import Author, KeptWearer
from heelball.records.wearers import add_wearer, remove_wearer


@pytest.fixture
def wearer(records: Records, author: Author) -> KeptWearer:
    with records.writing() as conn:
        return add_wearer(conn, "W1", by=author)


def test_a_sitting_is_kept_with_its_zone(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        added = add_sitting(conn, wearer.id, at=author.at, load="seated", sock="thin", note="x", by=author)
        other = add_sitting(conn, wearer.id, at=author.at, fitter="", by=author)
    with records.reading() as conn:
        assert find_sitting(conn, added.id) == added
    assert (added.at, added.load, added.sock, added.fitter) == (
        "2026-11-25T18:40+01:00",
        "seated",
        "thin",
        "QB",
    )
    assert other.fitter == ""


def test_sittings_stand_in_order_of_time_whatever_their_zone(
    records: Records, author: Author, wearer: KeptWearer
):
    early = author.at.astimezone(UTC)  # 17:40, as text before 18:10+01:00
    with records.writing() as conn:
        for at in (early, author.at - timedelta(minutes=30), author.at - timedelta(days=1)):
            add_sitting(conn, wearer.id, at=at, by=author)
    with records.reading() as conn:
        assert [sitting.at for sitting in list_sittings(conn, wearer.id)] == [
            "2026-11-24T18:40+01:00",
            "2026-11-25T18:10+01:00",
            "2026-11-25T17:40+00:00",
        ]
        assert list_sittings(conn, "nobody") == []


def test_a_sitting_is_changed_by_who_saw_it(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        added = add_sitting(conn, wearer.id, at=author.at, by=author)
        later = author.at + timedelta(hours=1)
        changed = change_sitting(conn, added.id, 1, {"at": later, "sock": "thick"}, by=author)
    assert (changed.at, changed.sock, changed.version) == ("2026-11-25T19:40+01:00", "thick", 2)
    with pytest.raises(Conflict) as told, records.writing() as conn:
        change_sitting(conn, added.id, 1, {"sock": "thin"}, by=author)
    assert told.value.theirs == changed


def test_a_time_without_a_zone_is_refused(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        added = add_sitting(conn, wearer.id, at=author.at, by=author)
    bare = datetime(2026, 11, 25, 18, 40)  # noqa: DTZ001 - that is what is refused
    with pytest.raises(InputError, match="without a zone"), records.writing() as conn:
        add_sitting(conn, wearer.id, at=bare, by=author)
    with pytest.raises(InputError, match="without a zone"), records.writing() as conn:
        change_sitting(conn, added.id, 1, {"at": bare}, by=author)


def test_nothing_is_kept_of_a_wearer_who_is_not_there(records: Records, author: Author):
    with records.writing() as conn:
        for keep in (
            lambda: add_sitting(conn, "nobody", at=author.at, by=author),
            lambda: save_field(conn, "nobody", "right-ball", "10", seen=0, by=author),
            lambda: keep_health(conn, "nobody", {}, consents=True, seen=0, by=author),
        ):
            with pytest.raises(NotFound, match="This wearer"):
                keep()


def test_each_tap_is_kept(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        assert find_draft(conn, wearer.id).fields == {}
        first = save_field(conn, wearer.id, "right-length", "10 1/2", seen=0, by=author)
    with records.writing() as conn:
        second = save_field(conn, wearer.id, "right-ball", "11", seen=first.version, by=author)
        third = save_field(conn, wearer.id, "right-length", None, seen=second.version, by=author)
    assert second.fields == {"right-length": "10 1/2", "right-ball": "11"}
    with records.reading() as conn:
        assert find_draft(conn, wearer.id) == third
        assert conn.execute(select(changes).where(changes.c.table_name == "drafts")).all() == []
    assert (third.fields, third.changed_at) == ({"right-ball": "11"}, "2026-11-25T18:40:05+01:00")


def test_a_tap_that_is_sent_again_is_no_conflict(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        first = save_field(conn, wearer.id, "right-ball", "11", seen=0, by=author)
        assert save_field(conn, wearer.id, "right-ball", "11", seen=0, by=author) == first


def test_two_tablets_on_one_foot_are_told(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        kept = save_field(conn, wearer.id, "right-ball", "11", seen=0, by=author)
        with pytest.raises(Conflict) as told:
            save_fields(conn, wearer.id, {"right-ball": "12", "left-ball": "1"}, seen=0, by=author)
        assert (told.value.theirs, told.value.changes) == (kept, {"right-ball": "12", "left-ball": "1"})
        with pytest.raises(Conflict):
            clear_draft(conn, wearer.id, seen=0, by=author)
        assert find_draft(conn, wearer.id) == kept


def test_a_tablet_that_slept_while_the_draft_was_written_down_is_told(
    records: Records, author: Author, wearer: KeptWearer
):
    with records.writing() as conn:
        slept = save_field(conn, wearer.id, "right-ball", "11", seen=0, by=author)
        cleared = clear_draft(conn, wearer.id, seen=slept.version, by=author)
        assert cleared.fields == {}
        assert clear_draft(conn, wearer.id, seen=0, by=author) == cleared
        save_field(conn, wearer.id, "right-ball", "9", seen=cleared.version, by=author)
        with pytest.raises(Conflict):
            save_field(conn, wearer.id, "right-length", "9", seen=slept.version, by=author)


def test_a_draft_takes_text_alone(records: Records, author: Author, wearer: KeptWearer):
    with pytest.raises(InputError, match="right-ball: a sign that is no text"), records.writing() as conn:
        save_field(conn, wearer.id, "right-ball", "1\0", seen=0, by=author)


def test_health_is_kept_with_consent_alone(records: Records, author: Author, wearer: KeptWearer):
    signs = {"diabetes": True, "pain_weeks": 3}
    with pytest.raises(InputError, match="health: no consent"), records.writing() as conn:
        keep_health(conn, wearer.id, signs, consents=False, seen=0, by=author)
    with records.writing() as conn:
        assert find_health(conn, wearer.id) is None
        kept = keep_health(conn, wearer.id, signs, consents=True, seen=0, by=author)
    with records.reading() as conn:
        assert find_health(conn, wearer.id) == kept
    assert (kept.signs, kept.consented_at) == (signs, "2026-11-25T18:40:05+01:00")


def test_health_is_gone_when_consent_is_taken_back(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        keep_health(conn, wearer.id, {"numbness": True}, consents=True, seen=0, by=author)
        keep_health(conn, wearer.id, {"wound": True}, consents=True, seen=1, by=author)
    with records.writing() as conn:
        withdraw_consent(conn, wearer.id)
    with records.reading() as conn:
        assert find_health(conn, wearer.id) is None
        # No history either.
        told = conn.execute(select(changes)).all()
    assert [change.table_name for change in told] == ["wearers"]
    assert "wound" not in str(told)


def test_two_fitters_on_health_are_told(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        kept = keep_health(conn, wearer.id, {"wound": True}, consents=True, seen=0, by=author)
        assert keep_health(conn, wearer.id, {"wound": True}, consents=True, seen=0, by=author) == kept
        with pytest.raises(Conflict) as told:
            keep_health(conn, wearer.id, {"wound": False}, consents=True, seen=0, by=author)
        assert told.value.theirs == kept
        assert keep_health(conn, wearer.id, {"wound": False}, consents=True, seen=1, by=author).version == 2


def test_health_and_drafts_go_with_their_wearer(records: Records, author: Author, wearer: KeptWearer):
    with records.writing() as conn:
        keep_health(conn, wearer.id, {"wound": True}, consents=True, seen=0, by=author)
        save_field(conn, wearer.id, "right-ball", "11", seen=0, by=author)
        remove_wearer(conn, wearer.id, wearer.version, by=author)
        assert conn.execute(select(health_answers)).all() == []
        assert conn.execute(select(drafts)).all() == []
        assert "wound" not in str(conn.execute(select(changes)).all())
