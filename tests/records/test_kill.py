"""``kill -9`` in the middle of writes: whatever was acknowledged is there, and whole."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from heelball.records.drafts import find_draft
from heelball.records.readings import list_readings
from heelball.records.sittings import add_sitting
from heelball.records.store import open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer

WRITER = Path(__file__).with_name("writer.py")

#: Longest time from the first acknowledged write to the kill [s].
LONGEST = 0.15


@pytest.mark.parametrize("rounds", [10, pytest.param(100, marks=pytest.mark.slow)])
def test_no_acknowledged_write_is_lost(tmp_path: Path, author: Author, now: datetime, rounds: int):
    records = open_records(tmp_path, now=now)
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        add_sitting(conn, wearer.id, at=author.at, by=author)
    records.close()
    chance = random.Random(20240229)
    acknowledged = 0
    for _ in range(rounds):
        last = killed_at_once(tmp_path, chance.uniform(0, LONGEST))
        assert last > acknowledged
        acknowledged = last
        records = open_records(tmp_path, now=now)
        with records.reading() as conn:
            kept = list_readings(conn, wearer.id)
            draft = find_draft(conn, wearer.id)
            sound = conn.execute(text("PRAGMA integrity_check")).scalars().all()
            stray = conn.execute(text("PRAGMA foreign_key_check")).all()
        records.close()
        assert (sound, stray) == (["ok"], [])
        # All that was acknowledged; at most one write more, whose answer the kill forestalled.
        assert len(kept) in (acknowledged, acknowledged + 3)
        assert [reading.number for reading in kept] == list(range(1, len(kept) + 1))
        assert draft.fields == {"number": str(len(kept))}
        acknowledged = len(kept)
    assert acknowledged // 3 >= rounds


def killed_at_once(place: Path, after: float) -> int:
    """Return the last number that a writer acknowledged, which is killed `after` its first [s]."""
    command = [sys.executable, str(WRITER), "until-killed", str(place), "W1"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        first = writer.stdout.readline()
        time.sleep(after)
        writer.kill()
        told = [first, *writer.stdout.readlines()]
    # A line that the kill cut short acknowledges nothing.
    return int([line for line in told if line.endswith("\n")][-1])
