"""A sheet kept: the core sees it as from a wearer file, and its picture goes for good when forgotten."""

from __future__ import annotations

import base64
import csv
import io
import json
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from attrs import evolve
from sqlalchemy import select

from heelball.errors import InputError, RecordsError
from heelball.fit.choice import describe_feet
from heelball.fit.wearer import Wearer
from heelball.records import schema, scrubbing
from heelball.records.backup import back_up
from heelball.records.found import rows_of
from heelball.records.readings import NewReading, add_readings, last_number, list_readings
from heelball.records.refused import Conflict, NotFound
from heelball.records.sittings import add_sitting
from heelball.records.store import Records, open_records
from heelball.records.values import Author, KeptWearer
from heelball.work import wearer_changes, wearer_out
from heelball.work.history import history, take_last_back
from heelball.work.kept_core import wearer_as_kept
from heelball.work.records_backup import put_back
from heelball.work.records_check import check
from heelball.work.records_erase import erase
from heelball.work.records_export import export
from heelball.work.records_import import bring_in
from heelball.work.sheet_kept import forget_picture, keep_sheet, left_over, list_sheets, picture_of
from heelball.work.wearer_file import read_wearers
from tests.records_fixture import NOW
from tests.work.test_sheet_file import line

BY = Author("QB", NOW)
#: Over many pages of the file; nothing else holds these words.
MARK = b"Zinnwhistle drew this; "
PICTURE = b"\xff\xd8\xff" + MARK * 3000


@pytest.fixture
def wearer(records: Records) -> KeptWearer:
    return wearer_changes.add(records, "W1", "", "men", by=BY)


@pytest.fixture
def sqlite(tmp_path: Path, empty_file: Path) -> Iterator[Records]:
    """Return empty records on SQLite alone."""
    (tmp_path / "kept").mkdir(0o700)
    shutil.copy(empty_file, tmp_path / "kept")
    opened = open_records(tmp_path / "kept", now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def here(sqlite: Records) -> KeptWearer:
    """Return a wearer of those on SQLite."""
    return wearer_changes.add(sqlite, "W1", "", "men", by=BY)


def from_file(folder: Path, *lines: Any) -> Wearer:
    """Return a wearer as the core sees one from a wearer file with some sheets."""
    (folder / "sheet.json").write_text("".join(json.dumps(one) + "\n" for one in lines))
    file = folder / "W1.toml"
    file.write_text('schema = "heelball/wearer/1"\npopulation = "men"\n[[sheet]]\nfile = "sheet.json"\n')
    return read_wearers([file])[0]


def alike(wearer: Wearer) -> list[tuple[Any, ...]]:
    """Return what bears on the answer of a wearer's readings: errors by what they do, not by their name."""
    names = list(dict.fromkeys(name for one in wearer.readings for name, _ in one.shared_errors))
    rows = np.array(
        [[dict(one.shared_errors).get(name, 0.0) for name in names] for one in wearer.readings]
    ).reshape(len(wearer.readings), -1)
    own = np.diag([(one.sd_mm or 0.0) ** 2 for one in wearer.readings])
    told = [(one.foot, one.what, one.scale, one.value, one.load, one.method) for one in wearer.readings]
    return [(one, tuple(np.round(row, 9))) for one, row in zip(told, rows @ rows.T + own, strict=True)]


def figures(wearer: Wearer) -> dict[tuple[str, ...], float]:
    answer = describe_feet(wearer, today=NOW.date())
    return {
        (foot, measure, name): getattr(one, name)
        for foot, found in answer.feet.items()
        for measure, one in found.items()
        for name in ("mean", "sd")
    }


def keep(kept: Records, wearer_id: str, foot: str = "left", *, by: Author = BY, **more: Any) -> Any:
    return keep_sheet(kept, wearer_id, line(foot, **more), agreed=False, picture=None, by=by)


def keep_pictured(kept: Records, wearer_id: str) -> Any:
    return keep_sheet(kept, wearer_id, line(), agreed=True, picture=PICTURE, by=BY)


def holds_mark(folder: Path) -> list[str]:
    return [one.name for one in folder.rglob("*") if one.is_file() and MARK in one.read_bytes()]


def test_the_core_sees_a_kept_sheet_as_it_sees_one_of_a_wearer_file(
    records: Records, wearer: KeptWearer, tmp_path: Path
):
    for foot in ("left", "right"):
        keep(records, wearer.id, foot)
    kept, filed = wearer_as_kept(records, wearer.id), from_file(tmp_path, line(), line("right"))
    assert alike(kept) == alike(filed)
    assert figures(kept) == pytest.approx(figures(filed), abs=1e-9)
    # Of what they share, not only what each errs by: else heel-to-ball and length would tell of more.
    apart = evolve(filed, readings=tuple(evolve(one, shared_errors=()) for one in filed.readings))
    assert abs(figures(kept)["left", "length", "sd"] - figures(apart)["left", "length", "sd"]) > 0.1


def test_a_sheet_is_kept_with_its_line_but_not_the_name_of_a_file(records: Records, wearer: KeptWearer):
    kept = keep_pictured(records, wearer.id)
    assert (kept.foot, kept.agreed, kept.has_picture, kept.made_at) == ("left", True, True, NOW.isoformat())
    assert kept.line == {**line(), "photo": ""}
    assert list_sheets(records, wearer.id) == [kept]
    assert picture_of(records, wearer.id, kept.id) == PICTURE


def test_of_several_photographs_no_name_is_kept(records: Records, wearer: KeptWearer):
    kept = keep(records, wearer.id, combined=True, photos=["Ann Lee 1.jpg", "Ann Lee 2.jpg"])
    assert kept.line["photos"] == []
    assert "Ann Lee" not in str(kept.line)


def test_a_reading_of_a_sheet_tells_all_that_it_errs_by(records: Records, wearer: KeptWearer):
    keep(records, wearer.id)
    with records.reading() as conn:
        told = {one.what: one.sd_mm for one in list_readings(conn, wearer.id)}
    assert told == pytest.approx({"length": 1.3**0.5, "ball": 4.4**0.5, "breadth": 4.7**0.5, "girth": 2.6})


def test_both_feet_of_one_occasion_are_one_sitting(records: Records, wearer: KeptWearer):
    first = keep(records, wearer.id)
    assert keep(records, wearer.id, "right").sitting_id == first.sitting_id
    # The same foot drawn again, another fitter, another load, two hours later: another sitting.
    again = keep(records, wearer.id)
    others = [
        keep(records, wearer.id, "right", by=evolve(BY, fitter="AR")),
        keep(records, wearer.id, "left", load="seated", by=evolve(BY, fitter="AR")),
        keep(records, wearer.id, "right", load="seated", by=evolve(BY, at=NOW + timedelta(hours=2))),
    ]
    assert len({first.sitting_id, again.sitting_id, *(one.sitting_id for one in others)}) == 5
    assert list_sheets(records, wearer.id)[0] == others[-1]


def test_a_sitting_at_the_bench_is_not_joined(records: Records, wearer: KeptWearer):
    first = keep(records, wearer.id)
    with records.writing() as conn:
        taped = [NewReading("left", "girth", "mm", "250", method="tape")]
        add_readings(conn, first.sitting_id, taped, seen_number=last_number(conn, wearer.id), by=BY)
    assert keep(records, wearer.id, "right").sitting_id != first.sitting_id


def test_what_stands_of_a_sheet_keeps_what_it_shares(records: Records, wearer: KeptWearer):
    keep(records, wearer.id)
    whole = wearer_as_kept(records, wearer.id)
    with records.writing() as conn:
        of = {one.what: one for one in list_readings(conn, wearer.id)}
        sitting = add_sitting(conn, wearer.id, at=NOW, by=BY)
        right = NewReading(
            "left", "length", "mm", "270", method="ruler", kind="correction", of_id=of["length"].id
        )
        add_readings(conn, sitting.id, [right], seen_number=last_number(conn, wearer.id), by=BY)
    left = {one.what: one for one in wearer_as_kept(records, wearer.id).readings}
    assert (left["length"].value, left["length"].shared_errors) == ("270", ())
    before = {one.what: one for one in whole.readings}
    for what in ("ball", "breadth"):
        assert left[what] == before[what]
        assert left[what].shared_errors


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"schema": "heelball/sheet-reading/2"}, "schema"),
        ({"foot": "both"}, "foot"),
        ({"foot_mm": {}}, "no length"),
        ({"covariance": [[1.0]]}, "covariance"),
        ({"refused": {"reason": "blurred"}, "foot_mm": None}, "no length"),
    ],
)
def test_what_is_no_reading_is_refused_and_nothing_is_written(
    records: Records, wearer: KeptWearer, spoilt: dict[str, Any], said: str
):
    with pytest.raises(InputError, match=said):
        keep(records, wearer.id, **spoilt)
    with pytest.raises(ValueError, match="did not agree"):
        keep_sheet(records, wearer.id, line(), agreed=False, picture=b"x", by=BY)
    with records.reading() as conn:
        for table in (schema.sheets, schema.sittings, schema.readings):
            assert rows_of(conn, select(table)) == []


def test_sheets_are_found_from_their_own_wearer_alone(records: Records, wearer: KeptWearer):
    other = wearer_changes.add(records, "W2", "", "men", by=BY)
    kept = keep_pictured(records, wearer.id)
    with pytest.raises(NotFound, match="This sheet"):
        picture_of(records, other.id, kept.id)
    with pytest.raises(NotFound, match="This sheet"):
        forget_picture(records, other.id, kept.id, by=BY)
    for missing in (keep, list_sheets):
        with pytest.raises(NotFound, match="This wearer"):
            missing(records, "nobody")
    assert picture_of(records, wearer.id, kept.id) == PICTURE


def test_a_forgotten_picture_is_gone_and_the_readings_stay(
    records: Records, wearer: KeptWearer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("HEELBALL_DATA", str(tmp_path / "data"))
    kept = keep_pictured(records, wearer.id)
    before = wearer_as_kept(records, wearer.id)
    with pytest.raises(Conflict):
        forget_picture(records, wearer.id, kept.id, by=BY, seen=7)
    assert picture_of(records, wearer.id, kept.id) == PICTURE
    forget_picture(records, wearer.id, kept.id, by=BY, seen=kept.version)
    forget_picture(records, wearer.id, kept.id, by=BY)
    with pytest.raises(NotFound, match="The picture"):
        picture_of(records, wearer.id, kept.id)
    (bare,) = list_sheets(records, wearer.id)
    assert (bare.agreed, bare.has_picture, bare.version) == (False, False, 2)
    assert wearer_as_kept(records, wearer.id) == before


def test_no_byte_of_a_forgotten_picture_stays_in_the_files(sqlite: Records, here: KeptWearer):
    kept = keep_pictured(sqlite, here.id)
    assert sqlite.folder is not None
    assert holds_mark(sqlite.folder) != []
    # The bench is open all the while, as this is.
    forget_picture(sqlite, here.id, kept.id, by=BY)
    assert holds_mark(sqlite.folder) == []
    sqlite.close()
    assert holds_mark(sqlite.folder) == []


def test_a_reader_in_the_way_is_told_and_the_rest_is_done_by_forgetting_again(
    sqlite: Records, here: KeptWearer, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(scrubbing, "_PATIENCE_MS", 100)
    kept = keep_pictured(sqlite, here.id)
    assert sqlite.folder is not None
    with sqlite.reading() as conn:
        conn.execute(select(schema.sheets.c.id)).all()
        with pytest.raises(RecordsError) as told:
            forget_picture(sqlite, here.id, kept.id, by=BY)
    assert "--finish" in told.value.remedy
    forget_picture(sqlite, here.id, kept.id, by=BY)
    assert holds_mark(sqlite.folder) == []


def test_a_backup_still_holds_it_and_does_not_bring_it_back(
    sqlite: Records, here: KeptWearer, tmp_path: Path
):
    kept = keep_pictured(sqlite, here.id)
    assert sqlite.path is not None
    assert sqlite.folder is not None
    with closing(sqlite3.connect(sqlite.path, isolation_level=None)) as careless:
        # A program that deletes without care leaves a second copy of it in unused pages.
        careless.execute("PRAGMA secure_delete=OFF").close()
        careless.execute("CREATE TABLE passing (picture BLOB)").close()
        careless.execute("INSERT INTO passing SELECT picture FROM sheets").close()
        careless.execute("DROP TABLE passing").close()
    backup = back_up(sqlite.path, None, now=NOW)
    apart = Path(shutil.copy(backup, tmp_path))
    forget_picture(sqlite, here.id, kept.id, by=BY)
    assert left_over(sqlite, kept.id) == [
        f"{backup} still holds the picture: delete it, or keep it knowing that."
    ]
    backup.unlink()
    assert left_over(sqlite, kept.id) == []
    sqlite.close()
    lines = put_back(sqlite.path, apart, now=NOW)
    assert any(said.startswith("Taken out again: 1 picture") for said in lines)
    assert holds_mark(sqlite.folder) == []
    again = open_records(sqlite.path, now=NOW)
    (bare,) = list_sheets(again, here.id)
    assert (bare.agreed, bare.has_picture) == (False, False)
    assert len(wearer_as_kept(again, here.id).readings) == 4
    again.close()


def test_an_export_from_before_does_not_bring_it_back(sqlite: Records, here: KeptWearer, tmp_path: Path):
    kept = keep_pictured(sqlite, here.id)
    assert sqlite.path is not None
    export(sqlite.path, tmp_path / "out.toml", now=NOW)
    forget_picture(sqlite, here.id, kept.id, by=BY)
    sqlite.close()
    # Records begun anew in the same folder: its ledger still tells what was forgotten there.
    sqlite.path.unlink()
    bring_in(sqlite.path, [tmp_path / "out.toml"], now=NOW)
    again = open_records(sqlite.path, now=NOW)
    (bare,) = list_sheets(again, here.id)
    assert (bare.agreed, bare.has_picture) == (False, False)
    again.close()


def test_an_erase_takes_sheets_and_pictures_along(sqlite: Records, here: KeptWearer):
    keep_pictured(sqlite, here.id)
    assert sqlite.path is not None
    assert sqlite.folder is not None
    done = erase(sqlite.path, "W1", now=NOW)
    assert done.unfinished is None
    assert done.lines[0] == "W1 is erased: 7 notes of changes, 4 readings, 1 sheet, 1 sitting."
    assert holds_mark(sqlite.folder) == []
    with sqlite.reading() as conn:
        assert rows_of(conn, select(schema.sheets)) == []


def test_the_history_tells_of_sheets_and_takes_their_readings_back(
    records: Records, wearer: KeptWearer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("HEELBALL_DATA", str(tmp_path / "data"))
    kept = keep_pictured(records, wearer.id)
    forget_picture(records, wearer.id, kept.id, by=BY)
    told = history(records, wearer.id).done
    assert [one.said for one in told if "sheet" in one.said] == [
        "sheet of the left foot: picture taken out for good",
        "sheet of the left foot written down, picture kept",
    ]
    assert [one.for_good for one in told] == [True, *[False] * 7]
    # What was done last and can be taken back are the readings.
    last = next(one.id for one in told if not one.for_good)
    take_last_back(records, wearer.id, last, by=BY)
    assert wearer_as_kept(records, wearer.id).readings == ()
    assert [one.id for one in list_sheets(records, wearer.id)] == [kept.id]


def test_the_check_reads_the_lines_of_sheets(sqlite: Records, here: KeptWearer):
    keep(sqlite, here.id)
    assert sqlite.path is not None
    assert check(sqlite.path, now=NOW).problems == []
    with sqlite.writing() as conn:
        conn.execute(schema.sheets.update().values(line={**line(), "covariance": None}))
    (problem,) = check(sqlite.path, now=NOW).problems
    assert problem.startswith("wearers W1: sheet ")
    assert "covariance" in problem


@pytest.mark.parametrize("foot", ["left", "right"])
def test_a_wearer_taken_out_as_a_file_is_seen_the_same_and_comes_in_once(
    sqlite: Records, here: KeptWearer, tmp_path: Path, foot: str
):
    keep(sqlite, here.id, foot)
    kept = wearer_as_kept(sqlite, here.id)
    file = tmp_path / "W1.toml"
    file.write_text(wearer_out.wearer_toml(sqlite, here.id))
    (read,) = read_wearers([file])
    assert alike(read) == alike(kept)
    (row,) = rows_of_sheets(sqlite)
    assert row["id"] not in file.read_text()
    assert sqlite.path is not None
    assert bring_in(sqlite.path, [file], now=NOW) == ["Everything was there already."]
    other = tmp_path / "other.sqlite3"
    bring_in(other, [file], now=NOW)
    assert bring_in(other, [file], now=NOW) == ["Everything was there already."]
    again = open_records(other, now=NOW)
    (found,) = wearer_changes.search(again, "")
    came = wearer_as_kept(again, found.id)
    assert alike(came) == alike(kept)
    assert figures(came) == pytest.approx(figures(kept), abs=1e-9)
    assert check(other, now=NOW).problems == []
    again.close()


def rows_of_sheets(kept: Records) -> list[dict[str, Any]]:
    with kept.reading() as conn:
        return rows_of(conn, select(schema.sheets))


def test_a_wearer_file_that_names_lines_is_kept_with_what_they_share(sqlite: Records, tmp_path: Path):
    filed = from_file(tmp_path, line(), line("right", covariance=None, foot_mm=bare()))
    assert sqlite.path is not None
    bring_in(sqlite.path, [tmp_path / "W1.toml"], now=NOW)
    (found,) = wearer_changes.search(sqlite, "")
    assert alike(wearer_as_kept(sqlite, found.id)) == alike(filed)
    assert [one["agreed"] for one in rows_of_sheets(sqlite)] == [False, False]
    assert check(sqlite.path, now=NOW).problems == []


def bare() -> dict[str, Any]:
    return {
        "length": {"mean_mm": 266.0, "sd_mm": 3.0},
        "ball": None,
        "breadth": {"mean_mm": 100.0, "sd_mm": 3.5},
    }


def test_what_is_no_whole_sheet_any_more_comes_in_erring_alone(
    sqlite: Records, here: KeptWearer, tmp_path: Path
):
    keep(sqlite, here.id)
    with sqlite.reading() as conn:
        length = list_readings(conn, here.id)[0]
    wearer_changes.set_reading(sqlite, here.id, length.id, length.version, counts=False, by=BY)
    file = tmp_path / "W1.toml"
    file.write_text(wearer_out.wearer_toml(sqlite, here.id))
    # Read by the core as it is kept; brought into records, the rest of it is told to stand alone.
    (read,) = read_wearers([file])
    assert alike(read) == alike(wearer_as_kept(sqlite, here.id))
    lines = bring_in(tmp_path / "other.sqlite3", [file], now=NOW)
    assert [said for said in lines if "as if it erred alone" in said] == lines[-2:]
    again = open_records(tmp_path / "other.sqlite3", now=NOW)
    (found,) = wearer_changes.search(again, "")
    assert {one.what: one.sd_mm for one in wearer_as_kept(again, found.id).readings} == pytest.approx(
        {"ball": 4.4**0.5, "breadth": 4.7**0.5, "girth": 2.6}
    )
    again.close()


def test_as_json_a_wearer_takes_lines_and_pictures_away(records: Records, wearer: KeptWearer):
    keep_pictured(records, wearer.id)
    keep(records, wearer.id, "right")
    first, second = json.loads(wearer_out.wearer_json(records, wearer.id))["beside"]["sheets"]
    told = {one["line"]["foot"]: one for one in (first, second)}
    assert told["right"]["picture"] is None
    assert base64.b64decode(told["left"]["picture"]) == PICTURE
    assert told["left"]["line"] == {**line(), "photo": ""}


def test_as_rows_of_many_wearers_a_reading_tells_all_that_it_errs_by(records: Records, wearer: KeptWearer):
    keep(records, wearer.id)
    rows = list(csv.DictReader(io.StringIO(wearer_out.found_csv(records, "W1"))))
    assert [float(row["sd_mm"]) for row in rows] == pytest.approx([1.3**0.5, 4.4**0.5, 4.7**0.5, 2.6])
