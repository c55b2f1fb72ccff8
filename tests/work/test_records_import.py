"""What a person wrote of wearers and lasts, brought in: once, whole, and never over anything."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.records import schema
from heelball.records.lasts import find_by_code
from heelball.records.store import open_records
from heelball.work.keeping import core_last
from heelball.work.kept_core import kept_core
from heelball.work.last_file import read_last
from heelball.work.records_check import check
from heelball.work.records_erase import erase
from heelball.work.records_export import export
from heelball.work.records_import import bring_in
from heelball.work.wearer_file import read_wearers
from tests.work.records_at import LAST, NOW, WEARER, file, rows


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "kept.sqlite3"


@pytest.fixture
def files(tmp_path: Path) -> list[Path]:
    return [file(tmp_path, "w.toml", WEARER), file(tmp_path, "n7.toml", LAST)]


def counted(place: Path) -> dict[str, int]:
    return {table.name: len(rows(place, table)) for table in schema.metadata.sorted_tables}


def problems_of(place: Path, *paths: Path) -> list[str]:
    with pytest.raises(InputError) as refused:
        bring_in(place, paths, now=NOW)
    return [str(problem) for problem in refused.value.problems]


def test_a_wearer_and_a_last_are_kept_as_they_were_written(place: Path, files: list[Path]):
    lines = bring_in(place, files, now=NOW)
    assert lines == [
        "1 last brought in.",
        "1 wearer brought in.",
        "3 readings brought in.",
        "1 pair brought in.",
    ]
    records = open_records(place, now=NOW)
    with records.reading() as conn:
        kept = find_by_code(conn, "N7")
        assert kept is not None
        last = read_last(files[1])
        assert set(core_last(kept).advice) == set(last.advice)
        assert evolve(core_last(kept), advice=()) == evolve(last, advice=())
        (row,) = rows(place, schema.wearers)
        core = kept_core(conn, row["id"])
    records.close()
    (wearer,) = read_wearers(files[:1])
    assert row["name"] == "Örla Vantbrook"
    assert (core.code, core.population, core.day) == ("W12", "men", wearer.day)
    assert [(one.foot, one.what, one.value, one.fitter, one.date) for one in core.readings] == [
        (one.foot, one.what, one.value, one.fitter, one.date) for one in wearer.readings
    ]
    assert [(one.last, one.size, one.width, one.verdicts) for one in core.pairs] == [
        (one.last, one.size, one.width, one.verdicts) for one in wearer.pairs
    ]
    assert [one.measured_mm for one in core.gauge_marks] == [199.0]
    # What was read twice at one sitting is a repeat; a sitting has its day and a zone.
    assert [one["kind"] for one in rows(place, schema.readings)] == ["new", "new", "repeat"]
    assert [one["at"] for one in rows(place, schema.sittings)] == ["2026-05-03T12:00+01:00"]
    assert check(place, now=NOW).problems == []


def test_the_same_files_again_bring_nothing(place: Path, files: list[Path]):
    bring_in(place, files, now=NOW)
    before = counted(place)
    assert bring_in(place, files, now=NOW) == ["Everything was there already."]
    assert counted(place) == before


def test_a_further_reading_of_one_who_is_kept_is_a_sitting_of_its_own(
    place: Path, files: list[Path], tmp_path: Path
):
    bring_in(place, files, now=NOW)
    crew = "wearer,population,foot,what,scale,value,date,fitter\n"
    crew += "W12,men,right,ball,gauge-men,10,2026-05-03,A\nW12,men,left,ball,gauge-men,10 1/2,2026-06-01,B\n"
    crew += "W13,women,left,length,mm,244,,\n"
    assert bring_in(place, [file(tmp_path, "crew.csv", crew)], now=NOW) == [
        "1 wearer brought in.",
        "2 readings brought in.",
    ]
    assert [(one["at"], one["fitter"]) for one in rows(place, schema.sittings)] == [
        ("2026-05-03T12:00+01:00", "A"),
        ("2026-06-01T12:00+01:00", "B"),
        ("2026-11-25T18:40+01:00", ""),
    ]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('population = "men"', 'population = "women"', "W12, population"),
        ("Örla Vantbrook", "Someone Else", "W12, name"),
        ('sock = "thick"', 'sock = "thin"', "W12, day"),
        ('last = "N7"', 'last = "N8"', "N8, which is not kept"),
    ],
)
def test_what_says_something_else_is_refused_whole(
    place: Path, files: list[Path], tmp_path: Path, old: str, new: str, said: str
):
    bring_in(place, files, now=NOW)
    before = counted(place)
    other = file(tmp_path, "w12.toml", WEARER.replace(old, new).replace('value = "10"', 'value = "11"'))
    fresh = file(tmp_path, "fresh.toml", LAST.replace("N7", "N9"))
    (problem,) = problems_of(place, other, fresh)
    assert said in problem
    assert counted(place) == before


def test_a_last_that_differs_is_refused(place: Path, files: list[Path], tmp_path: Path):
    bring_in(place, files, now=NOW)
    other = file(tmp_path, "n7b.toml", LAST.replace("205.5", "206"))
    assert "N7, which is kept and differs" in problems_of(place, other)[0]


def test_health_is_not_brought_in_without_consent(place: Path, tmp_path: Path, files: list[Path]):
    told = file(tmp_path, "told.toml", WEARER + "[signs]\ndiabetes = true\n")
    assert "consent" in bring_in(place, [told, files[1]], now=NOW)[-1]
    assert rows(place, schema.health_answers) == []


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("x.toml", b"", "an empty file"),
        ("x.toml", b"\xff\xfe", "not UTF-8"),
        ("x.toml", b'code = "W1"\n', "no schema"),
        ("x.toml", b'schema = "heelball/wearer/9"\n', "heelball/wearer/9"),
        ("x.toml", b'schema = "heelball/records/1"\n[[wearer]]\n', "an unknown table"),
        ("x.toml", b'schema = "heelball/records/1"\nwearers = 7\n', "no list of tables"),
        ("x.toml", b'schema = "heelball/records/1"\n[[wearers]]\nid = "x"\n', "nothing"),
        ("x.toml", b'schema = "heelball/records/1"\nx = ' + b"[" * 5000, "not TOML"),
        ("x.csv", b"a,b\n1,2\n", "column"),
        ("x.csv", b"\0\0", "null byte"),
        ("x.parquet", b"PAR1 and no more", "damaged Parquet"),
        ("x.bin", b"SQLite format 3\0" + bytes(100), "records restore"),
        ("x.bin", b"\x7fELF", "column"),
    ],
)
def test_a_hostile_file_is_a_sentence_with_its_name(
    place: Path, tmp_path: Path, name: str, raw: bytes, said: str
):
    path = tmp_path / name
    path.write_bytes(raw)
    found = problems_of(place, path)
    assert any(said in one for one in found) or name == "x.bin"
    assert all(one.startswith(name) for one in found)
    assert not place.exists() or set(counted(place).values()) == {0}


def test_what_is_not_there_or_empty_is_a_sentence(place: Path, tmp_path: Path):
    (tmp_path / "empty").mkdir()
    found = problems_of(place, tmp_path / "nowhere", tmp_path / "empty")
    assert "no such file" in found[0]
    assert "nothing to bring in" in found[1]


def test_an_export_and_files_of_a_person_come_in_together_or_not_at_all(
    place: Path, files: list[Path], tmp_path: Path
):
    bring_in(place, files, now=NOW)
    export(place, tmp_path / "out.toml", now=NOW)
    other = tmp_path / "other.sqlite3"
    wrong = file(tmp_path, "w99.toml", WEARER.replace("W12", "W99").replace('"N7"', '"N99"'))
    problems_of(other, tmp_path / "out.toml", wrong)
    assert set(counted(other).values()) == {0}
    bring_in(other, [tmp_path / "out.toml"], now=NOW)
    export(other, tmp_path / "again.toml", now=NOW)
    assert (tmp_path / "again.toml").read_bytes() == (tmp_path / "out.toml").read_bytes()


def test_an_export_that_the_core_cannot_read_is_refused(place: Path, files: list[Path], tmp_path: Path):
    bring_in(place, files, now=NOW)
    export(place, tmp_path / "out.toml", now=NOW)
    text = (tmp_path / "out.toml").read_text("utf-8").replace('value = "10 1/2"', 'value = "ten"')
    other = tmp_path / "other.sqlite3"
    assert any("ten" in one for one in problems_of(other, file(tmp_path, "bad.toml", text)))
    assert set(counted(other).values()) == {0}


def test_who_was_erased_does_not_come_back_with_an_export(place: Path, files: list[Path], tmp_path: Path):
    bring_in(place, files, now=NOW)
    export(place, tmp_path / "out", now=NOW)
    erase(place, "W12", now=NOW)
    lines = bring_in(place, [tmp_path / "out"], now=NOW)
    assert "W12 was erased on 2026-11-25, and was left out." in lines
    assert rows(place, schema.wearers) == rows(place, schema.readings) == []


@pytest.mark.parametrize("name", ["out.toml", "out"])
def test_health_comes_back_from_its_own_file(place: Path, files: list[Path], tmp_path: Path, name: str):
    bring_in(place, files, now=NOW)
    (row,) = rows(place, schema.wearers)
    records = open_records(place, now=NOW)
    with records.writing() as conn:
        told = {
            "wearer_id": row["id"],
            "version": 1,
            "consented_at": NOW.isoformat(),
            "signs": {"numbness": True},
        }
        conn.execute(schema.health_answers.insert().values(told))
    records.close()
    export(place, tmp_path / name, now=NOW)
    export(place, tmp_path / f"health-{name}", health=True, now=NOW)
    other = tmp_path / "other.sqlite3"
    bring_in(other, [tmp_path / name, tmp_path / f"health-{name}"], now=NOW)
    assert rows(other, schema.health_answers) == [told]
    # Without the wearer it leads nowhere.
    assert "names nothing" in problems_of(tmp_path / "third.sqlite3", tmp_path / f"health-{name}")[0]
