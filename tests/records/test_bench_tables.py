"""Sessions, tokens and settings: what a running bench keeps of itself."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from heelball.errors import InputError
from heelball.records import sessions, tokens
from heelball.records.refused import DiskFull
from heelball.records.sessions import KeptSession
from heelball.records.settings import get_setting, set_setting
from heelball.records.store import Records
from heelball.work import bench_sessions, bench_settings, bench_tokens

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)


def session(number: int, *, made: datetime = NOW, seen: datetime = NOW) -> KeptSession:
    return KeptSession(f"{number:064x}", made.isoformat(), seen.isoformat(), {"csrf": "t", "units": "mm"})


def test_session_is_kept_changed_seen_and_ended(records: Records) -> None:
    one = session(1)
    bench_sessions.begin(records, one)
    assert bench_sessions.find(records, one.hash) == one
    later = (NOW + timedelta(minutes=2)).isoformat()
    assert bench_sessions.touch(records, one.hash, later)
    assert bench_sessions.change(records, one.hash, {"csrf": "t", "units": "in"})
    kept = bench_sessions.find(records, one.hash)
    assert kept is not None
    assert (kept.seen_at, kept.data["units"]) == (later, "in")
    bench_sessions.end(records, one.hash)
    assert bench_sessions.find(records, one.hash) is None
    assert not bench_sessions.touch(records, one.hash, later)
    assert not bench_sessions.change(records, one.hash, {})


def test_idle_and_old_sessions_are_ended(records: Records) -> None:
    hour = timedelta(hours=1)
    idle, old, well = (
        session(1, made=NOW - 9 * hour, seen=NOW - 9 * hour),
        session(2, made=NOW - 170 * hour, seen=NOW),
        session(3, made=NOW - 9 * hour, seen=NOW - hour),
    )
    for one in (idle, old, well):
        bench_sessions.begin(records, one)
    bench_sessions.expire(records, NOW, idle=8 * hour, longest=168 * hour)
    assert [bench_sessions.find(records, one.hash) for one in (idle, old, well)] == [None, None, well]


def test_the_longest_unseen_sessions_make_room(records: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sessions, "MOST", 3)
    for number in range(5):
        bench_sessions.begin(records, session(number, seen=NOW + timedelta(minutes=number)))
    found = [bench_sessions.find(records, session(number).hash) is not None for number in range(5)]
    assert found == [False, False, True, True, True]


def test_token_admits_whoever_has_its_secret(records: Records) -> None:
    secret = bench_tokens.add(records, " tablet ", NOW)
    token = bench_tokens.admits(records, secret, NOW)
    assert token is not None
    assert (token.name, token.made_at) == ("tablet", NOW.isoformat())
    assert secret not in str(bench_tokens.listed(records))
    for wrong in ("", secret[:-1], secret + "x", token.hash):
        assert bench_tokens.admits(records, wrong, NOW) is None
    bench_tokens.revoke(records, "tablet")
    assert bench_tokens.admits(records, secret, NOW) is None


def test_use_of_a_token_is_noted_once_a_minute(records: Records) -> None:
    secret = bench_tokens.add(records, "tablet", NOW)
    for seconds in (0, 30, 59):
        bench_tokens.admits(records, secret, NOW + timedelta(seconds=seconds))
        (token,) = bench_tokens.listed(records)
        assert token.used_at == NOW.isoformat()
    later = NOW + timedelta(seconds=60)
    bench_tokens.admits(records, secret, later)
    assert bench_tokens.listed(records)[0].used_at == later.isoformat()


def test_full_disk_keeps_no_token_out(records: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    secret = bench_tokens.add(records, "tablet", NOW)

    def full(*_: object) -> None:
        raise DiskFull("here")

    monkeypatch.setattr(tokens, "touch_token", full)
    assert bench_tokens.admits(records, secret, NOW) is not None


@pytest.mark.parametrize("name", ["", "  ", "x" * 81, "a\nb", "tablet"])
def test_poor_names_of_tokens_are_refused(records: Records, name: str) -> None:
    bench_tokens.add(records, "tablet", NOW)
    with pytest.raises(InputError):
        bench_tokens.add(records, name, NOW)
    assert [token.name for token in bench_tokens.listed(records)] == ["tablet"]


def test_revoking_what_is_not_there_is_told(records: Records) -> None:
    with pytest.raises(InputError, match="no token is called 'tablet'"):
        bench_tokens.revoke(records, "tablet")


def test_setting_is_what_was_set_last(records: Records) -> None:
    assert bench_settings.units(records) == "mm"
    bench_settings.set_units(records, "in")
    bench_settings.set_units(records, "mm")
    bench_settings.set_units(records, "in")
    assert bench_settings.units(records) == "in"
    with records.writing() as conn:
        set_setting(conn, "other", {"a": [1, 2.5, None]})
        assert get_setting(conn, "other") == {"a": [1, 2.5, None]}
        assert get_setting(conn, "none", 7) == 7
