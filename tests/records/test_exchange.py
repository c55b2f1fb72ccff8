"""Exports come back to the byte, in each format, whatever stands in the records."""

from __future__ import annotations

import csv
import operator
import shutil
import stat
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from datetime import datetime
from io import StringIO
from pathlib import Path
from typing import Any

import polars
import pytest
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import JSON, Boolean, Float, Integer, LargeBinary, Table, delete, insert, select

from heelball.errors import InputError, Problem
from heelball.records import schema
from heelball.records.exchange import as_csv, as_parquet, as_toml
from heelball.records.exchange.cells import Bundle
from heelball.records.exchange.export import (
    FORMATS,
    Format,
    gather,
    gather_health,
    gather_wearer,
    write_export,
)
from heelball.records.exchange.merging import merge
from heelball.records.found import rows_of
from heelball.records.health import keep_health
from heelball.records.soundness import flaws_of
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import change_wearer
from tests.records.filling import NAMES, fill
from tests.records.older import rows_before_sheets

RESTORER = Path(__file__).with_name("restorer.py")


def take_in(path: Path) -> Bundle:
    """Read an export as the import does."""
    bundle, problems = Bundle(), []  # type: ignore[var-annotated]
    for one in sorted(path.iterdir()) if path.is_dir() else [path]:
        if one.suffix == ".parquet":
            as_parquet.from_parquet(one, one.name, bundle, problems)
        elif one.suffix == ".csv":
            as_csv.from_csv(one.read_bytes().decode(), one.name, bundle, problems)
        else:
            as_toml.from_toml(one.read_bytes().decode(), one.name, bundle, problems)
    assert problems == []
    return bundle


def bytes_of(path: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in (path.iterdir() if path.is_dir() else [path])}


def take_out(records: Records, to: Path, format_: Format) -> dict[str, bytes]:
    with records.reading() as conn:
        tables, bundle = gather(conn)
    write_export(to, format_, tables, bundle)
    return bytes_of(to)


def opened(folder: Path, empty_file: Path, now: datetime) -> Records:
    folder.mkdir(0o700)
    shutil.copy(empty_file, folder)
    return open_records(folder, now=now)


@pytest.mark.parametrize("format_", FORMATS)
def test_filled_records_come_back_to_the_byte_on_either_database(
    records: Records, author: Author, now: datetime, tmp_path: Path, empty_file: Path, format_: Format
):
    fill(records, author)
    first = take_out(records, tmp_path / "first", format_)
    again = opened(tmp_path / "again", empty_file, now)
    with again.writing() as conn:
        merged = merge(conn, take_in(tmp_path / "first"), erased={})
    assert take_out(again, tmp_path / "second", format_) == first or format_ == "toml"
    assert (tmp_path / "second").is_dir() == (format_ != "toml")
    assert set(bytes_of(tmp_path / "second").values()) == set(first.values())
    assert merged.added["readings"] == 16
    again.close()


ODD = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
#: What a spreadsheet, CSV or TOML may take for something else.
TRICKY = ("=1", "+1", "-1", "@x", "'", "''=1", "'x", '"', '""', "a,b", "true", "1.0", "null", "2026-05-03")
ODD_SIGNS = ("\t=1", "\r=1", "a\nb", "a\r\nb", " x ", "", "\u2028", "\ufeff", "\x7f", "\x1b[2J", "\uff1d1")
FORMULAS = st.sampled_from([*TRICKY, *ODD_SIGNS])
TEXTS = ODD | FORMULAS
FLOATS = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from([-0.0, 1e-320, 0.1, 1e22, 5.0])
#: A picture in base64 may begin as a formula does.
PICTURES = st.binary(max_size=12) | st.sampled_from([b"", b"\xfb\xef", b"\0=1"])
JSONS = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**70), 2**70) | FLOATS | TEXTS | st.just("\ud800"),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=5,
)

#: What the columns with words of their own hold; all else is drawn.
SAID: dict[str, Any] = {
    "population": "men", "load": "one", "foot": "left", "what": "ball", "method": "tape", "kind": "new",
    "basis": "ball", "state": "draft", "swelling": None, "version": 3, "at": "2026-03-02T08:00+05:30",
    "made_at": "2026-03-02T08:00:01+00:00", "changed_at": "2026-03-02T08:00:01+00:00",
    "drafted_at": "2026-03-02T08:00:01+00:00", "withdrawn_at": None, "verdicts": {"left": {"toe": "little"}},
    "day": [], "about": [], "rows": None, "of_id": None, "in_exchange_for": None,
    "agreed": True,
}  # fmt: skip
DATES = ("on", "ordered_on", "due_on", "arrived_on", "send_back_by", "closed_on", "sent_on", "answered_on")


def drawn(table: Table, draw: Callable[[Any], Any]) -> dict[str, Any]:
    row: dict[str, Any] = {}
    for column in table.c:
        name = column.name
        if column.primary_key:
            row[name] = 7 if isinstance(column.type, Integer) else f"{table.name}1"[:16]
        elif column.foreign_keys and name not in SAID:
            row[name] = f"{next(iter(column.foreign_keys)).column.table.name}1"
        elif name in SAID:
            row[name] = "ordered" if (table.name, name) == ("pairs", "state") else SAID[name]
        elif name in DATES:
            row[name] = "2026-03-02"
        elif isinstance(column.type, JSON):
            row[name] = draw(kept_as(table, name))
        else:
            of_kind = (
                st.booleans() if isinstance(column.type, Boolean)
                else st.integers(-(2**31) + 1, 2**31 - 1) if isinstance(column.type, Integer)
                else FLOATS if isinstance(column.type, Float)
                else PICTURES if isinstance(column.type, LargeBinary)
                else TEXTS.map(operator.itemgetter(slice(getattr(column.type, "length", None))))
            )  # fmt: skip
            row[name] = draw(st.none() | of_kind if column.nullable else of_kind)
    return row


def kept_as(table: Table, name: str) -> Any:
    if name == "widths":
        return st.none() | st.lists(TEXTS, max_size=2) | st.dictionaries(TEXTS, TEXTS, max_size=2)
    if table.name == "settings":
        return JSONS
    tables = st.dictionaries(TEXTS, JSONS, max_size=2)
    return st.none() | tables if table.c[name].nullable else tables


@st.composite
def everything(draw: Callable[[Any], Any]) -> dict[str, dict[str, Any]]:
    rows = {table.name: drawn(table, draw) for table in schema.EXPORTED}
    rows["changes"]["wearer_id"] = None
    rows["changes"]["row_id"] = "r1"
    for table in schema.EXPORTED:
        assert list(flaws_of(table, rows[table.name])) == []
    return rows


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> Iterator[tuple[Records, Records]]:
    """Return two records on SQLite, and take their folder to write beside."""
    folder, now = tmp_path_factory.mktemp("two"), datetime.fromisoformat("2026-11-25T18:40:05+01:00")
    one, other = (opened(folder / name, empty_file, now) for name in ("one", "other"))
    yield one, other
    one.close()
    other.close()


def emptied(records: Records) -> None:
    with records.writing() as conn:
        for table in reversed(schema.metadata.sorted_tables):
            conn.execute(delete(table))


@pytest.mark.parametrize("format_", FORMATS)
@settings(
    max_examples=40,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    phases=[Phase.explicit, Phase.generate],
)
@given(rows=everything())
def test_anything_comes_back_to_the_byte_and_as_it_was(
    two: tuple[Records, Records], format_: Format, rows: dict[str, dict[str, Any]]
):
    one, other = two
    emptied(one)
    emptied(other)
    assert one.folder is not None
    with tempfile.TemporaryDirectory(dir=one.folder.parent) as place:
        with one.writing() as conn:
            for table in schema.EXPORTED:
                conn.execute(insert(table), [rows[table.name]])
        first = take_out(one, Path(place, "first"), format_)
        with other.writing() as conn:
            merge(conn, take_in(Path(place, "first")), erased={})
        second = take_out(other, Path(place, "second"), format_)
    assert list(first.values()) == list(second.values())
    with one.reading() as conn, other.reading() as into:
        for table in schema.EXPORTED:
            assert repr(rows_of(into, select(table))) == repr(rows_of(conn, select(table)))


@given(TEXTS)
@example("=1+1")
@example("'")
@example("''")
@example("-1")
def test_a_spreadsheet_sees_no_formula_and_the_text_comes_back(text: str):
    cells = dict.fromkeys(schema.makers.c.keys(), "x") | {"version": 1, "note": text, "address": ""}
    bundle = Bundle()
    bundle.add("makers", "", cells)  # type: ignore[arg-type]
    written = as_csv.to_csv(schema.makers, bundle).decode()
    if "\r" not in text and "\n" not in text:
        # As another reader of CSV sees it.
        (_, row) = csv.reader(StringIO(written))
        assert not row[-1].startswith(("=", "+", "-", "@", "\t", "\uff1d", "\uff0b", "\uff0d", "\uff20"))
    back, problems = Bundle(), []  # type: ignore[var-annotated]
    as_csv.from_csv(written, "makers.csv", back, problems)
    assert (problems, back.cells_of(schema.makers)) == ([], [cells])


def test_numbers_in_csv_stay_numbers_and_nothing_is_not_an_empty_text():
    bundle = Bundle()
    row = dict.fromkeys(schema.try_ons.c.keys(), "x") | {
        "version": 1,
        "hours": -0.5,
        "sock": "",
        "width": None,
    }
    bundle.add("try_ons", "", row)
    line = as_csv.to_csv(schema.try_ons, bundle).decode().splitlines()[1]
    assert line == "x,1,x,x,x,x,,x,-0.5,',x,x,x"


def test_what_a_spreadsheet_makes_of_it_is_read_too():
    header = ",".join(schema.makers.c.keys())
    text = f'{header}\r\nm1,1,"Northmoor","a\r\nb",=2\r\n\r\n'
    bundle, problems = Bundle(), []  # type: ignore[var-annotated]
    as_csv.from_csv(text, "makers.csv", bundle, problems)
    assert problems == []
    assert bundle.cells_of(schema.makers) == [
        {"id": "m1", "version": 1, "name": "Northmoor", "address": "a\r\nb", "note": "=2"}
    ]


def test_health_stands_apart_from_everything_else(records: Records, author: Author):
    filled = fill(records, author)
    with records.writing() as conn:
        keep_health(conn, filled.other, {"numbness": True}, consents=True, seen=0, by=author)
    with records.reading() as conn:
        _, whole = gather(conn)
        _, own = gather_wearer(conn, filled.wearer)
        tables, health = gather_health(conn, None)
        _, mine = gather_health(conn, filled.wearer)
    for bundle in (whole, own):
        assert "diabetes" not in str(bundle)
        assert "health_answers" not in bundle.rows
    assert [table.name for table in tables] == ["health_answers"] == list(health.rows)
    assert len(health.rows["health_answers"]) == 2
    assert [cells["wearer_id"] for cells in mine.cells_of(schema.health_answers)] == [filled.wearer]


def test_a_wearer_takes_away_what_is_the_wearers_and_no_more(records: Records, author: Author):
    filled = fill(records, author)
    with records.reading() as conn:
        _, own = gather_wearer(conn, filled.wearer)
    assert filled.other not in str(own)
    assert "Mill Lane" not in str(own)
    assert "Anna Reed" not in str(own)
    counted = {name: len(rows) for name, rows in own.rows.items()}
    assert counted.pop("changes") >= 9
    assert counted == {
        "makers": 1, "lasts": 1, "wearers": 1, "sittings": 1, "sheets": 1, "readings": 8, "pairs": 1,
        "try_ons": 1,
    }  # fmt: skip
    assert NAMES[1] in str(own.rows["changes"])


def problems_of(records: Records, bundle: Bundle) -> list[Problem]:
    with pytest.raises(InputError) as refused, records.writing() as conn:
        merge(conn, bundle, erased={})
    return list(refused.value.problems)


def test_rows_that_are_there_are_left_and_rows_that_differ_are_refused(
    records: Records, author: Author, tmp_path: Path
):
    filled = fill(records, author)
    take_out(records, tmp_path / "out.toml", "toml")
    with records.writing() as conn:
        merged = merge(conn, take_in(tmp_path / "out.toml"), erased={})
    assert merged.added == {}
    with records.writing() as conn:
        kept = rows_of(conn, select(schema.wearers).where(schema.wearers.c.id == filled.other))[0]
        change_wearer(conn, filled.other, kept["version"], {"note": "another"}, by=author)
    (problem,) = problems_of(records, take_in(tmp_path / "out.toml"))
    assert "wearers" in problem.place
    assert "note" in problem.found
    assert "W2" in problem.found


def test_changes_are_numbered_anew_behind_those_that_are_there(
    records: Records, author: Author, now: datetime, tmp_path: Path, empty_file: Path
):
    fill(records, author)
    take_out(records, tmp_path / "out.toml", "toml")
    other = opened(tmp_path / "other", empty_file, now)
    with other.writing() as conn:
        conn.execute(
            insert(schema.changes).values(id=4, at=author.at.isoformat(), table_name="makers", row_id="m")
        )
        merge(conn, take_in(tmp_path / "out.toml"), erased={})
        found = rows_of(conn, select(schema.changes).order_by(schema.changes.c.id))
    with records.reading() as conn:
        told = rows_of(conn, select(schema.changes).order_by(schema.changes.c.id))
    assert [row["id"] for row in found] == list(range(4, 5 + len(told)))
    assert [row["row_id"] for row in found[1:]] == [row["row_id"] for row in told]
    other.close()


def spoil(table: str, **cells: Any) -> Callable[[Bundle], None]:
    def change(bundle: Bundle) -> None:
        bundle.rows[table][0][1].update(cells)

    return change


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (spoil("wearers", id="../../etc"), "row's name"),
        (spoil("wearers", id=None), "nothing"),
        (spoil("wearers", population="giants"), "one of men"),
        (spoil("wearers", code="x" * 41), "41 characters"),
        (spoil("wearers", day="[1]"), "a list of states"),
        (spoil("wearers", day="[" * 100_000), "JSON"),
        (spoil("wearers", made_at="yesterday"), "a time with its zone"),
        (spoil("wearers", version=2**40), "whole number"),
        (spoil("wearers", version=True), "whole number"),
        (spoil("wearers", note=7), "a text"),
        (spoil("wearers", keeps_try_ons="yes"), "true or false"),
        (spoil("readings", sd_mm=float("inf")), "number"),
        (spoil("readings", sitting_id="nowhere"), "names nothing"),
        (spoil("readings", kind="guess"), "one of new"),
        (spoil("makers", name="N\0"), "no text"),
        (spoil("pairs", ordered_on="2026-02-30"), "a date"),
        (spoil("try_ons", verdicts='{"left": {"knee": "right"}}'), "foot, place"),
        (lambda bundle: bundle.rows["wearers"].append(bundle.rows["wearers"][0]), "each row once"),
        (
            lambda bundle: bundle.rows["wearers"][1][1].update(code=bundle.rows["wearers"][0][1]["code"]),
            "another row",
        ),
    ],
)
def test_a_row_that_is_wrong_is_a_sentence_and_nothing_is_written(
    author: Author,
    now: datetime,
    tmp_path: Path,
    empty_file: Path,
    change: Callable[[Bundle], None],
    said: str,
):
    records = opened(tmp_path / "kept", empty_file, now)
    fill(records, author)
    take_out(records, tmp_path / "out.toml", "toml")
    records.close()
    other = opened(tmp_path / "other", empty_file, now)
    bundle = take_in(tmp_path / "out.toml")
    change(bundle)
    assert any(said in str(problem) for problem in problems_of(other, bundle))
    with other.reading() as conn:
        assert rows_of(conn, select(schema.makers)) == []
    other.close()


def test_rings_of_rows_are_refused(author: Author, now: datetime, tmp_path: Path, empty_file: Path):
    records = opened(tmp_path / "kept", empty_file, now)
    fill(records, author)
    take_out(records, tmp_path / "out.toml", "toml")
    bundle = take_in(tmp_path / "out.toml")
    first, second = (cells for _place, cells in bundle.rows["readings"][:2])
    for one, other in ((first, second), (second, first)):
        one.update(kind="repeat", of_id=other["id"])
    other_records = opened(tmp_path / "other", empty_file, now)
    assert "ring" in str(problems_of(other_records, bundle)[0])
    records.close()
    other_records.close()


@pytest.mark.parametrize("format_", FORMATS)
def test_an_export_is_private_whole_and_over_nothing(
    author: Author, now: datetime, tmp_path: Path, empty_file: Path, format_: Format
):
    records = opened(tmp_path / "kept", empty_file, now)
    fill(records, author)
    to = tmp_path / "out" / "taken"
    take_out(records, to, format_)
    files = [to, *(to.iterdir() if to.is_dir() else ())]
    assert all(stat.S_IMODE(one.stat().st_mode) == (0o700 if one.is_dir() else 0o600) for one in files)
    assert list(to.parent.iterdir()) == [to]
    before = bytes_of(to)
    with pytest.raises(InputError, match="there already"):
        take_out(records, to, format_)
    assert bytes_of(to) == before
    records.close()


def test_toml_is_a_file_that_a_person_can_read(
    author: Author, now: datetime, tmp_path: Path, empty_file: Path
):
    records = opened(tmp_path / "kept", empty_file, now)
    fill(records, author)
    take_out(records, tmp_path / "out.toml", "toml")
    document = tomllib.loads((tmp_path / "out.toml").read_text("utf-8"))
    assert document["schema"] == "heelball/records/1"
    assert document["lasts"][0]["heel_mm"] == 35.5
    assert NAMES[0] in (tmp_path / "out.toml").read_text("utf-8")
    records.close()


@pytest.mark.parametrize("every", [5, pytest.param(1, marks=pytest.mark.slow)])
def test_a_kill_at_any_moment_leaves_no_half_an_export(
    author: Author, now: datetime, tmp_path: Path, empty_file: Path, every: int
):
    records = opened(tmp_path / "kept", empty_file, now)
    fill(records, author)
    records.close()

    def killed(to: Path, at: int) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, str(RESTORER), "export", str(tmp_path / "kept"), str(to), str(at)]
        return subprocess.run(command, capture_output=True, text=True, timeout=60)

    calls = int(killed(tmp_path / "whole", 10**6).stdout)
    whole = bytes_of(tmp_path / "whole")
    assert len(whole) == len(schema.EXPORTED)
    came = set()
    for at in sorted({*range(3, calls, every), calls}):
        to = tmp_path / f"cut{at}"
        assert killed(to, at).returncode == -9
        assert not to.exists() or bytes_of(to) == whole, at
        came.add(to.exists())
    assert came == {False, True}
    # What a kill left is in nobody's way.
    assert killed(tmp_path / "cut3", 10**6).returncode == 0
    assert bytes_of(tmp_path / "cut3") == whole


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"PAR1" + b"\xff" * 60 + b"PAR1", "damaged Parquet"),
        (b"PAR1", "damaged Parquet"),
        (b"PAR1" + b"\0\0\0\x7f" * 3 + b"PAR1", "damaged Parquet"),
    ],
)
def test_a_parquet_file_that_is_none_is_a_sentence(tmp_path: Path, raw: bytes, said: str):
    path = tmp_path / "makers.parquet"
    path.write_bytes(raw)
    problems: list[Problem] = []
    as_parquet.from_parquet(path, path.name, Bundle(), problems)
    assert [said in problem.found for problem in problems] == [True]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('id,version,name,address,note\nm1,1,"x', "quotation mark"),
        ("id,version,name,address,note\nm1,1,x\n", "3 cells"),
        ("id,version,name,address,note\nm1,one,x,y,z\n", "'one'"),
        ("id,version,name,address\n", "columns of no table"),
        ('id,version,name,address,note\nm1,1,"' + '""' * 200_000, "quotation mark"),
    ],
)
def test_a_csv_that_is_none_is_a_sentence(text: str, said: str):
    problems: list[Problem] = []
    as_csv.from_csv(text, "makers.csv", Bundle(), problems)
    assert [said in problem.found for problem in problems] == [True]


@pytest.mark.parametrize("format_", FORMATS)
def test_an_export_from_before_sheets_is_read(
    two: tuple[Records, Records], author: Author, tmp_path: Path, format_: Format
):
    one, other = two
    emptied(one)
    emptied(other)
    fill(one, author)
    before = rows_before_sheets(one)
    with one.writing() as conn:
        conn.execute(delete(schema.readings).where(schema.readings.c.sheet_id.is_not(None)))
        conn.execute(delete(schema.sheets))
    export = take_out(one, tmp_path / "now", format_)
    old = tmp_path / "old"
    if format_ == "toml":
        old.write_bytes(export["now"])
    else:
        old.mkdir()
        for name, content in export.items():
            (old / name).write_bytes(content)
        (old / f"sheets.{format_}").unlink()
        readings = old / f"readings.{format_}"
        if format_ == "csv":
            lines = [line.rpartition(",")[0] for line in readings.read_text().splitlines()]
            readings.write_text("\n".join(lines) + "\n")
        else:
            polars.read_parquet(readings).drop("sheet_id").write_parquet(readings)
    with other.writing() as conn:
        merged = merge(conn, take_in(old), erased={})
        kept = rows_of(conn, select(schema.readings))
    assert merged.added["readings"] == 10
    assert [row.pop("sheet_id") for row in kept] == [None] * 10
    assert sorted(kept, key=str) == sorted(before["readings"], key=str)
