"""The bench under load: the day changed 50 times a second, and rankings beside searches."""

from __future__ import annotations

import itertools
import os
import re
import signal
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from http.client import HTTPConnection
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from benchmarks.command import heelball
from benchmarks.filled_records import fill
from benchmarks.knocking import Browser, Waited, knock
from benchmarks.stopwatch import report

_WEARERS, _LASTS = 10_000, 1000
#: Wearers at the benches at once: each with a page of lasts held.
_AT_ONCE = 16
_RATE, _SECONDS = 50, 60
_RANKINGS = 4
_SEARCHES_A_SECOND, _SEARCHING = 20, 10.0
#: When memory is looked at [s].
_FIRST, _SECOND = 10.0, 60.0

_ADDRESS = re.compile(r"http://127\.0\.0\.1:(\d+)")


@contextmanager
def bench(folder: Path) -> Iterator[tuple[int, int]]:
    """Yield the port and the process of a bench over the records in `folder`."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [heelball(), "bench", "--port", "0"]
    with (folder / "bench.err").open("w") as log:
        process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=log,
            text=True,
            env={**env, "HEELBALL_DATA": str(folder), "PYTHONUNBUFFERED": "1"},
        )
        assert process.stdout is not None
        try:
            found = _ADDRESS.search(process.stdout.readline())
            assert found, (folder / "bench.err").read_text()
            yield int(found[1]), process.pid
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=30)
            process.stdout.close()


def resident_mb(pid: int) -> float:
    """Return the resident size of a process and of those it started [MB]."""
    total = 0.0
    for status in Path("/proc").glob("[0-9]*/status"):
        try:
            lines = dict(line.split(":\t", 1) for line in status.read_text().splitlines() if ":\t" in line)
        except OSError:
            continue
        if str(pid) in (lines.get("Pid", "").strip(), lines.get("PPid", "").strip()):
            total += int(lines.get("VmRSS", "0 kB").split()[0]) / 1024
    return round(total, 1)


def _day(
    browser: Browser, door: HTTPConnection, wearer: str, held: list[str], number: int
) -> tuple[int, str]:
    fields: dict[str, object] = {
        "show": "moment",
        "sock": ("thin", "medium", "thick")[number % 3],
        "hours": number % 12,
        "heat": ("cool", "hot")[number % 2],
        "insole": f"{number % 41 / 10:.1f}",
        "held": held,
        "lasts": _LASTS,
    }
    return browser.post(door, f"/wearers/{wearer}/order/day", fields)


def _search(browser: Browser, door: HTTPConnection, words: str) -> tuple[int, str]:
    return browser.post(door, "/wearers", {"words": words})


def knocking(port: int, wearers: list[str], seconds: float, pipe: Any) -> None:
    """Change days from a process of its own, and send back how long that took."""
    browser = Browser.at(port)
    held = {wearer: browser.held(f"/wearers/{wearer}/order") for wearer in wearers}
    pipe.send("ready")
    asks = [
        partial(_day, wearer=wearer, held=held[wearer], number=number)
        for number, wearer in zip(range(round(_RATE * seconds)), itertools.cycle(wearers), strict=False)
    ]
    pipe.send((knock(browser, asks, rate=_RATE), {len(lasts) for lasts in held.values()}))


def days_changed(port: int, pid: int, wearers: list[str], seconds: float) -> dict[str, Any]:
    """Return the figures of days changed at a fixed rate."""
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=knocking, args=(port, wearers, seconds, theirs))
    process.start()
    ours.recv()
    start = time.perf_counter()
    sizes = []
    for at in (min(_FIRST, seconds / 6), min(_SECOND, seconds) - 0.5):
        time.sleep(max(0.0, start + at - time.perf_counter()))
        sizes.append(resident_mb(pid))
    waited, held = ours.recv()
    process.join()
    return {
        "requests": len(waited.seconds),
        "held": max(held),
        "errors": len(waited.errors),
        "p50_ms": waited.milliseconds(0.5),
        "p99_ms": waited.milliseconds(0.99),
        "worst_ms": waited.milliseconds(1.0),
        "resident_mb_early": sizes[0],
        "resident_mb_late": sizes[1],
        "resident_grown": round(sizes[1] / sizes[0] - 1, 3),
    }


def rankings_beside_searches(port: int, wearers: list[str]) -> dict[str, Any]:
    """Return the figures of full rankings, four at once, while wearers are searched for."""
    browser = Browser.at(port)
    words = ("ash", "gart", "w04", "bram", "cold 12", "dun", "ilse f", "w09999")
    count = round(_SEARCHES_A_SECOND * _SEARCHING)
    asks = [partial(_search, words=words[number % len(words)]) for number in range(count)]
    searched: list[Waited] = []
    stop = threading.Event()
    searching = threading.Thread(
        target=lambda: searched.append(knock(browser, asks, rate=_SEARCHES_A_SECOND, hands=8, stop=stop))
    )
    searching.start()
    rounds: list[float] = []
    wrong: list[str] = []

    def rank(wearer: str) -> None:
        door = browser.connect()
        start = time.perf_counter()
        status, text = browser.get(door, f"/wearers/{wearer}/order")
        rounds.append(time.perf_counter() - start)
        if status != 200 or 'name="held"' not in text:
            wrong.append(f"status {status}")
        door.close()

    given = iter(wearers)
    while searching.is_alive():
        some = list(itertools.islice(given, _RANKINGS))
        if len(some) < _RANKINGS:
            break
        threads = [threading.Thread(target=rank, args=(wearer,)) for wearer in some]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        time.sleep(0.2)
    searching.join()
    return {
        "rankings": len(rounds),
        "ranking_errors": len(wrong),
        "ranking_worst_ms": round(max(rounds) * 1000, 1),
        "searches": len(searched[0].seconds),
        "search_errors": len(searched[0].errors),
        "search_p99_ms": searched[0].milliseconds(0.99),
    }


def main() -> None:
    """Fill records, start a bench on them, and print the line."""
    seconds = float(os.environ.get("HEELBALL_BENCH_SECONDS", _SECONDS))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wearers = fill(folder, _WEARERS, _LASTS, now=datetime.now(UTC))
        with bench(folder) as (port, pid):
            days = days_changed(port, pid, wearers[:_AT_ONCE], seconds)
            beside = rankings_beside_searches(port, wearers[_AT_ONCE : _AT_ONCE + 200])
    report(
        "bench",
        f"heelball bench over {_WEARERS} wearers and {_LASTS} lasts of 60 labels on loopback: the day of "
        f"{_AT_ONCE} open order pages changed {_RATE} times a second for {seconds:g} s, waits counted from "
        f"when each was due; then {_RANKINGS} full rankings at once, over and over, beside "
        f"{_SEARCHES_A_SECOND} searches a second",
        **days,
        target_p99_ms=100,
        target_grown=0.05,
        **beside,
        target_ranking_ms=1000,
        target_search_p99_ms=100,
    )


if __name__ == "__main__":
    main()
