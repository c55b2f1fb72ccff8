"""What the check finds: rows that are not what they must be, and rows that do not go together."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import select, text

from heelball.records import schema
from heelball.records.checking import flaws
from heelball.records.found import rows_of
from heelball.records.store import Records
from heelball.records.values import Author
from tests.records.filling import fill


def found(records: Records) -> list[str]:
    with records.reading() as conn:
        return list(flaws(conn))


def test_what_the_bench_writes_is_sound(records: Records, author: Author):
    assert found(records) == []
    fill(records, author)
    assert found(records) == []


@pytest.mark.parametrize(
    ("table", "column", "value", "said"),
    [
        ("sittings", "at", "2026-02-30T10:00+01:00", "a time with its zone"),
        ("sittings", "at", "2026-02-03T10:00", "a time with its zone"),
        ("pairs", "ordered_on", "2.3.2026", "a date such as"),
        ("try_ons", "verdicts", {"left": {"ball": "awful"}}, "foot, place"),
        ("wearers", "day", {"name": "evening"}, "a list of states"),
        ("wearers", "day", None, "a value"),
        ("letters", "about", [7], "codes of lasts"),
        ("lasts", "widths", "B", "widths as in a last file"),
        ("advice", "rows", [["10"]], "pairs of gauge reading"),
        ("readings", "version", 0, "1 or more"),
        ("sheets", "made_at", "noon", "a time with its zone"),
        ("sheets", "line", ["x"], "a table of fields"),
        ("health_answers", "consented_at", "yes", "a time with its zone"),
        ("drafts", "fields", ["x"], "a table of fields"),
    ],
)
def test_a_row_that_is_wrong_is_told_by_table_and_column(
    records: Records, author: Author, table: str, column: str, value: Any, said: str
):
    fill(records, author)
    with records.writing() as conn:
        spoilt = schema.metadata.tables[table]
        conn.execute(spoilt.update().values({column: value}))
    lines = found(records)
    assert lines
    assert all(table in line and f", {column}: " in line and said in line for line in lines)


def test_a_try_on_of_nobody_has_no_day(records: Records, author: Author):
    fill(records, author)
    with records.writing() as conn:
        conn.execute(schema.try_ons.update().values(wearer_id=None, pair_id=None))
    (line,) = found(records)
    assert "on: '2026-03-20'; wanted a year alone" in line


def test_readings_that_name_the_wrong_one_are_told(records: Records, author: Author):
    filled = fill(records, author)
    readings = schema.readings
    with records.writing() as conn:
        mine, others = (
            rows_of(conn, select(readings).where(readings.c.wearer_id == one).order_by(readings.c.number))
            for one in (filled.wearer, filled.other)
        )
        conn.execute(readings.update().where(readings.c.id == mine[3]["id"]).values(of_id=others[1]["id"]))
        conn.execute(readings.update().where(readings.c.id == mine[4]["id"]).values(of_id=mine[1]["id"]))
        conn.execute(
            readings.update().where(readings.c.id == others[0]["id"]).values(sitting_id=mine[0]["sitting_id"])
        )
    lines = found(records)
    assert sorted(line.split(":")[0] for line in lines) == sorted(
        f"readings {row['id']}" for row in (mine[3], mine[4], others[0])
    )


def test_sheets_of_another_foot_sitting_or_wearer_are_told(records: Records, author: Author):
    filled = fill(records, author)
    readings, sheets = schema.readings, schema.sheets
    with records.writing() as conn:
        mine, others = (
            rows_of(conn, select(readings).where(readings.c.wearer_id == one).order_by(readings.c.number))
            for one in (filled.wearer, filled.other)
        )
        for row, values in (
            (mine[0], {"sheet_id": mine[5]["sheet_id"]}),
            (others[5], {"sheet_id": mine[5]["sheet_id"]}),
        ):
            conn.execute(readings.update().where(readings.c.id == row["id"]).values(values))
        conn.execute(sheets.update().values(sitting_id=mine[0]["sitting_id"]))
    lines = set(found(records))
    other = others[6]["sheet_id"]
    assert lines == {
        f"readings {mine[0]['id']}: a sheet of another foot or sitting; wanted one of the same",
        f"readings {others[5]['id']}: a sheet of another wearer; wanted one of the same",
        *(
            f"readings {row['id']}: a sheet of another foot or sitting; wanted one of the same"
            for row in others[5:]
        ),
        f"sheets {other}: a sitting of another wearer; wanted one of the same",
    }


def test_rows_that_name_nothing_are_told(records: Records, author: Author):
    fill(records, author)
    if records.path is None:
        pytest.skip("PostgreSQL keeps its keys itself")
    with records.engine.connect() as conn:
        conn.exec_driver_sql("PRAGMA query_only=OFF")
        conn.exec_driver_sql("COMMIT")
        conn.exec_driver_sql("PRAGMA foreign_keys=OFF")
        conn.exec_driver_sql("UPDATE pairs SET last_id = 'nowhere'")
    records.close()
    assert any("last_id: names nothing; wanted a row of lasts" in line for line in found(records))


def test_what_is_no_json_is_told(records: Records, author: Author):
    fill(records, author)
    if records.path is None:
        pytest.skip("PostgreSQL takes nothing but JSON")
    with records.writing() as conn:
        conn.execute(text("UPDATE wearers SET day = '[{'"))
    assert any(line.startswith("wearers: a row that cannot be read") for line in found(records))


def test_a_name_never_stands_in_a_sentence_about_a_row(records: Records, author: Author):
    fill(records, author)
    with records.writing() as conn:
        conn.execute(schema.wearers.update().values(population="giants"))
    said = "\n".join(found(records))
    assert "Vantbrook" not in said
    assert "Reed" not in said
