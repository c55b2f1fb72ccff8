"""Two fitters at once on one wearer: nothing is lost, and the second is told."""

from __future__ import annotations

import subprocess
import sys
import threading
from pathlib import Path

from heelball.records.changes import list_changes_of
from heelball.records.readings import list_readings
from heelball.records.refused import Conflict
from heelball.records.sittings import add_sitting
from heelball.records.store import Records, open_records
from heelball.records.values import Author, KeptWearer
from heelball.records.wearers import add_wearer, change_wearer, find_wearer

WRITER = Path(__file__).with_name("writer.py")
ROUNDS = 30


def test_two_processes_lose_nothing(records: Records, author: Author):
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        add_sitting(conn, wearer.id, at=author.at, by=author)
    fitters = [
        subprocess.Popen(
            [sys.executable, str(WRITER), "rounds", records.address, "W1", name, str(ROUNDS)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in "AB"
    ]
    for fitter in fitters:
        assert fitter.stdout is not None
        assert fitter.stdout.readline() == "ready\n"
    said: list[list[str]] = []
    for fitter in fitters:
        assert fitter.stdin is not None
        fitter.stdin.write("go\n")
        fitter.stdin.flush()
    for fitter in fitters:
        out, _ = fitter.communicate(timeout=60)
        assert fitter.returncode == 0
        said.append(out.splitlines())
    written = {f"{name}{number}" for name in "AB" for number in range(ROUNDS)}
    with records.reading() as conn:
        kept = list_readings(conn, wearer.id)
        history = list_changes_of(conn, "wearers", wearer.id)
        assert find_wearer(conn, wearer.id).version == 2 * ROUNDS + 1
    assert {line[5:] for lines in said for line in lines if line.startswith("kept")} == written
    assert sorted(reading.value for reading in kept) == sorted(written)
    assert [reading.number for reading in kept] == list(range(1, 2 * ROUNDS + 1))
    assert {change.after["note"] for change in history if change.after and change.before} == written
    told = [line for lines in said for line in lines if line.startswith("told")]
    # Whoever was told was told of something newer; that one is told at all, the next test makes sure.
    for line in told:
        _, seen, theirs = line.split()
        assert int(theirs) > int(seen)


def test_of_two_at_the_same_moment_one_writes_and_one_is_told(records: Records, author: Author):
    """Each round both have seen the same version; the one at the bench, the other at a bench apart."""
    apart = open_records(records.address, now=author.at)
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
    gate = threading.Barrier(2)
    kept: list[KeptWearer] = []
    told: list[Conflict] = []

    def change(bench: Records, name: str, seen: KeptWearer) -> None:
        gate.wait(10)
        try:
            with bench.writing() as conn:
                kept.append(change_wearer(conn, seen.id, seen.version, {"note": name}, by=author))
        except Conflict as conflict:
            told.append(conflict)

    for number in range(1, 21):
        threads = [
            threading.Thread(target=change, args=(bench, f"{name}{number}", wearer))
            for bench, name in ((records, "A"), (apart, "B"))
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(kept) == len(told) == number
        assert told[-1].theirs == kept[-1]
        assert told[-1].changes["note"] != kept[-1].note
        wearer = kept[-1]
    apart.close()
