"""A fitter in a process of its own: writes until it is killed, or works against another one.

``writer.py until-killed PLACE CODE`` prints the number of each third reading once it is committed;
``writer.py rounds PLACE CODE NAME ROUNDS`` changes a wearer and adds readings that many times, and
prints what came of each attempt.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime

from sqlalchemy import Connection

from heelball.records.drafts import find_draft, save_field
from heelball.records.readings import NewReading, add_readings, last_number
from heelball.records.refused import Conflict
from heelball.records.sittings import list_sittings
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import change_wearer, find_by_code

NOW = datetime(2026, 11, 25, 17, 40, tzinfo=UTC)


def say(words: str) -> None:
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


def sitting_of(conn: Connection, code: str) -> tuple[str, str]:
    wearer = find_by_code(conn, code)
    assert wearer is not None
    return wearer.id, list_sittings(conn, wearer.id)[0].id


def write_until_killed(records: Records, code: str) -> None:
    by = Author("K", NOW)
    with records.reading() as conn:
        wearer, sitting = sitting_of(conn, code)
    while True:
        with records.writing() as conn:
            number = last_number(conn, wearer)
            # Three at a time, and a draft: all of it is kept or nothing.
            three = [NewReading("right", "ball", "mm", f"{200 + number % 50}")] * 3
            kept = add_readings(conn, sitting, three, seen_number=number, by=by)
            seen = find_draft(conn, wearer).version
            save_field(conn, wearer, "number", str(kept[-1].number), seen=seen, by=by)
        say(str(kept[-1].number))


def write_rounds(records: Records, code: str, name: str, rounds: int) -> None:
    by = Author(name, NOW)
    with records.reading() as conn:
        _, sitting = sitting_of(conn, code)
    say("ready")
    sys.stdin.readline()
    for number in range(rounds):
        mine = f"{name}{number}"
        while True:
            with records.reading() as conn:
                wearer = find_by_code(conn, code)
                assert wearer is not None
                seen = last_number(conn, wearer.id)
            try:
                with records.writing() as conn:
                    change_wearer(conn, wearer.id, wearer.version, {"note": mine}, by=by)
                    reading = NewReading("right", "ball", "mm", mine)
                    add_readings(conn, sitting, [reading], seen_number=seen, by=by)
            except Conflict as told:
                say(f"told {told.seen} {told.theirs.version}")
            else:
                say(f"kept {mine}")
                break


def main() -> None:
    task, place, code, *more = sys.argv[1:]
    records = open_records(place, create=False, now=NOW)
    if task == "until-killed":
        write_until_killed(records, code)
    else:
        write_rounds(records, code, more[0], int(more[1]))
    records.close()


if __name__ == "__main__":
    main()
