"""Sessions and the log-in: cookies, expiry, tries, and what a stranger sees."""

from __future__ import annotations

import re

import pytest
from argon2 import PasswordHasher
from attrs import evolve

from heelball.bench.rate_limit import TRIES, TRIES_IN_ALL, RateLimit
from heelball.bench.session import IDLE, LONGEST
from heelball.bench.settings import Settings
from heelball.records.refused import DiskFull
from heelball.records.schema import sessions as table
from heelball.records.store import Records
from heelball.work import bench_sessions
from tests.bench.conftest import BEGINNING, Bench, Clock, Open

PASSPHRASE = "a passphrase of several words"
# As cheap as argon2 goes: what it costs to guess is not what is tested here.
CHEAP = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)


@pytest.fixture
def on_network(settings: Settings) -> Settings:
    return evolve(settings, on_network=True, insecure=True, passphrase_hash=CHEAP.hash(PASSPHRASE))


@pytest.fixture
def stranger(open_bench: Open, on_network: Settings) -> Bench:
    """Return a browser on the network that has not logged in."""
    return open_bench(on_network)


def log_in(bench: Bench, passphrase: str = PASSPHRASE, **more):
    bench.renew("/login")
    answer = bench.post("/login", {"passphrase": passphrase}, follow=False, **more)
    if answer.status_code == 303:
        bench.renew("/settings")
    return answer


def rows(records: Records) -> int:
    with records.reading() as conn:
        return len(conn.execute(table.select()).all())


def cookies(answer) -> list[str]:
    return list(answer.headers.get_list("set-cookie"))


def test_cookie_is_strict_and_out_of_reach_of_scripts(bench: Bench):
    (cookie,) = cookies(bench.get("/settings"))
    name, *flags = cookie.split("; ")
    assert name.startswith("heelball-4380=")
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(flags)
    assert "Secure" not in flags
    assert not any(flag.startswith("Domain") for flag in flags)


def test_cookie_is_secure_under_tls(open_bench: Open, settings: Settings, tmp_path):
    bench = open_bench(evolve(settings, tls_cert=tmp_path / "c", tls_key=tmp_path / "k"))
    (cookie,) = cookies(bench.get("/settings"))
    name, *flags = cookie.split("; ")
    assert name.startswith("__Host-heelball-4380=")
    assert {"HttpOnly", "SameSite=Strict", "Path=/", "Secure"} <= set(flags)


def test_cookie_is_given_once(bench: Bench, records: Records):
    assert len(cookies(bench.get("/settings"))) == 1
    assert cookies(bench.get("/settings")) == []
    assert rows(records) == 1


def test_records_hold_no_secret(bench: Bench, records: Records):
    secret = bench.get("/settings").cookies["heelball-4380"]
    with records.reading() as conn:
        assert secret not in str(conn.execute(table.select()).all())


def test_session_outlives_a_restart(bench: Bench, open_bench: Open, settings: Settings):
    bench.post("/settings/fitter", {"fitter": "QB"})
    again = open_bench(settings)
    again.client.cookies = bench.client.cookies
    assert 'name="fitter" value="QB"' in again.get("/settings").text


@pytest.mark.parametrize("steps", [[IDLE], [IDLE * 0.9] * int(LONGEST / IDLE * 2)])
def test_session_ends_idle_and_by_age(bench: Bench, clock: Clock, steps):
    bench.post("/settings/fitter", {"fitter": "QB"})
    for step in steps[:-1]:
        if clock.now + step - BEGINNING >= LONGEST:
            break
        clock.forward(seconds=step.total_seconds())
        assert 'value="QB"' in bench.get("/settings").text
    clock.forward(seconds=steps[-1].total_seconds())
    answer = bench.get("/settings")
    assert 'value="QB"' not in answer.text
    assert len(cookies(answer)) == 1


def test_seen_is_written_once_a_minute(bench: Bench, records: Records, clock: Clock, monkeypatch):
    bench.get("/settings")
    touched = []
    touch = bench_sessions.touch

    def count(*told):
        touched.append(told)
        return touch(*told)

    monkeypatch.setattr(bench_sessions, "touch", count)
    for _ in range(12):
        clock.forward(seconds=10)
        bench.get("/settings")
    assert len(touched) == 2


def test_session_ended_in_the_records_is_noticed(bench: Bench, records: Records, clock: Clock):
    bench.post("/settings/fitter", {"fitter": "QB"})
    with records.writing() as conn:
        conn.execute(table.delete())
    clock.forward(seconds=61)
    assert 'value="QB"' not in bench.get("/settings").text


def test_link_from_elsewhere_keeps_the_session(bench: Bench):
    bench.post("/settings/fitter", {"fitter": "QB"})
    kept, bench.client.cookies = bench.client.cookies, {}
    crossing = bench.get("/settings", headers={"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"})
    assert cookies(crossing) == []
    assert 'content="0; url=/settings"' in crossing.text
    bench.client.cookies = kept
    assert 'value="QB"' in bench.get("/settings").text


def test_stranger_sees_the_log_in_alone(stranger: Bench, records: Records):
    for method, at in stranger.pages():
        if at != "/login":
            answer = stranger.client.request(method, at, follow_redirects=False)
            if method == "GET":
                assert (answer.status_code, answer.headers["location"]) == (303, "/login"), at
            else:
                # A form that an ended session sends is lost with any other answer, and must say so.
                assert answer.status_code == 401, at
                assert "nothing of this was written" in answer.text
                assert "Wearers" not in answer.text
    assert "Wearers" not in stranger.get("/login").text
    assert rows(records) == 0


def test_htmx_is_led_to_the_log_in(stranger: Bench):
    answer = stranger.get("/settings", headers={"hx-request": "true"})
    assert (answer.status_code, answer.headers["hx-redirect"]) == (401, "/login")


def test_log_in_gives_another_secret_and_leads_on(stranger: Bench, records: Records):
    before = stranger.get("/settings").history[0].cookies["heelball-4380"]
    answer = log_in(stranger)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings")
    assert stranger.client.cookies["heelball-4380"] != before
    assert stranger.get("/settings").status_code == 200
    assert rows(records) == 1
    stranger.client.cookies = {"heelball-4380": before}
    assert stranger.get("/settings", follow=False).headers["location"] == "/login"


def test_log_out_ends_the_session(stranger: Bench, records: Records):
    log_in(stranger)
    kept = stranger.client.cookies["heelball-4380"]
    stranger.post("/logout")
    stranger.client.cookies = {"heelball-4380": kept}
    assert stranger.get("/settings", follow=False).headers["location"] == "/login"
    assert rows(records) == 0


@pytest.mark.parametrize("wrong", ["", "a passphrase of several word", PASSPHRASE + " ", "x" * 2000])
def test_wrong_passphrase_is_told_and_not_repeated(stranger: Bench, wrong: str):
    answer = log_in(stranger, wrong)
    assert answer.status_code == 422
    assert "That is not the passphrase." in answer.text
    assert not wrong.strip() or wrong.strip() not in answer.text
    assert stranger.get("/settings", follow=False).status_code == 303


def test_new_passphrase_ends_old_log_ins(stranger: Bench, open_bench: Open, on_network: Settings):
    log_in(stranger)
    again = open_bench(evolve(on_network, passphrase_hash=CHEAP.hash("another passphrase")))
    again.client.cookies = stranger.client.cookies
    assert again.get("/settings", follow=False).headers["location"] == "/login"


def test_tries_are_counted_in_a_window(stranger: Bench, clock: Clock):
    for _ in range(TRIES):
        assert log_in(stranger, "not the passphrase").status_code == 422
        clock.forward(seconds=10)
    answer = log_in(stranger)
    assert answer.status_code == 429
    assert "Try again after 10:25:00" in answer.text
    assert answer.headers["retry-after"] == str(5 * 60 - 10 * TRIES + 1)
    clock.forward(seconds=5 * 60 - 10 * TRIES - 1)
    assert log_in(stranger).status_code == 429
    clock.forward(seconds=1)
    assert log_in(stranger).status_code == 303


def test_right_passphrase_forgives_the_wrong_ones(stranger: Bench):
    for _ in range(TRIES - 1):
        log_in(stranger, "not the passphrase")
    assert log_in(stranger).status_code == 303
    stranger.post("/logout")
    assert log_in(stranger, "not the passphrase").status_code == 422


def test_many_addresses_are_counted_together():
    limit = RateLimit()
    for number in range(TRIES_IN_ALL):
        assert limit.take(f"192.0.2.{number}", BEGINNING) is None
    assert limit.take("198.51.100.1", BEGINNING) is not None


def test_plain_http_on_a_network_is_said_on_each_page(stranger: Bench, bench: Bench):
    words = "This bench runs without encryption"
    for path in ("/login", "/nothing"):
        assert words in stranger.get(path).text
    log_in(stranger)
    for path in ("/settings", "/nothing"):
        assert words in stranger.get(path).text
        assert words not in bench.get(path).text


def test_log_in_leads_to_our_own_pages_only(stranger: Bench):
    stranger.client.get("http://127.0.0.1:4380//elsewhere.example/", follow_redirects=False)
    assert log_in(stranger).headers["location"] == "/"


def test_crossing_leads_to_our_own_pages_only(bench: Bench):
    answer = bench.client.get(
        "http://127.0.0.1:4380//elsewhere.example/", headers={"sec-fetch-site": "cross-site"}
    )
    assert 'content="0; url=/"' in answer.text
    assert "elsewhere.example" not in answer.text


@pytest.mark.parametrize("step", ["begin", "touch", "expire"])
def test_full_disk_stops_no_one_from_reading(bench: Bench, clock: Clock, monkeypatch, step: str):
    def full(*_, **__):
        raise DiskFull("here")

    monkeypatch.setattr(bench_sessions, step, full)
    for _ in range(3):
        assert bench.get("/settings").status_code == 200
        clock.forward(minutes=2)
    assert (
        'value="in" aria-pressed="true"'
        in bench.post("/settings/units", {"units": "in", "back": "/settings"}).text
    )


def test_next_page_is_kept_out_of_the_address(stranger: Bench):
    answer = stranger.get("/settings", follow=False)
    assert not re.search(r"[?&]", answer.headers["location"])
