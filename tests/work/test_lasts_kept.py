"""Lasts as typed at the bench: read as files are, each mistake beside its field, out as a file again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from heelball.errors import InputError, RecordsError
from heelball.records.lasts import find_by_code
from heelball.records.makers import list_makers
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records, open_records
from heelball.records.values import Author, KeptLast
from heelball.records.wearers import add_wearer
from heelball.work.evidence_form import written_advice, written_measured
from heelball.work.gauge import lay_ruler
from heelball.work.keeping import core_last
from heelball.work.last_file import read_last
from heelball.work.last_form import written_last
from heelball.work.lasts_kept import find_lasts, kept_last, last_page, last_toml
from heelball.work.lasts_written import (
    edit_last,
    edit_maker,
    new_last,
    new_maker,
    retire_last,
    undo_at_last,
    undo_at_maker,
    withdraw_advice,
    withdraw_measured,
    write_advice,
    write_measured,
)
from heelball.work.pairs import own_pair

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)
TYPED = {
    "code": "N7",
    "maker": "Northmoor",
    "label_scale": "us-men",
    "sizes": "6-12 by 1/2, 13",
    "widths": "B, D, EE",
    "width_scale": "us",
    "reference_width": "D",
    "stiffness": "medium",
    "toe": "hard-cap",
    "closing": "pull-on",
    "heel_mm": "35,5",
    "publishes_advice": "yes",
    "exchange_days": "30",
    "note": "ask first",
}
EU = {**TYPED, "label_scale": "eu", "sizes": "40-46"}
HALF_DOWN = {"basis": "ball", "order": "-1/2", "origin": "a letter", "on": "2026-02-01"}
PAIR = {"size": "10", "width": "D", "flex_line_mm": "206", "inside_length_mm": "290,5"}


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path / "records", now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def last(records: Records) -> KeptLast:
    return new_last(records, TYPED, units="mm", by=BY)


def _places(refused: pytest.ExceptionInfo[InputError]) -> list[str]:
    return [problem.place for problem in refused.value.problems]


def test_what_was_typed_is_kept_and_typed_again_the_same(records: Records, last: KeptLast):
    assert (last.maker, last.widths, last.heel_mm) == ("Northmoor", ["B", "D", "EE"], 35.5)
    assert (last.publishes_advice, last.exchange_days, last.note) == (True, 30, "ask first")
    again = written_last(last, "mm")
    assert again == {**TYPED, "heel_mm": "35.5"}
    kept = edit_last(records, last.id, last.version, again, units="mm", by=BY)
    assert kept == last


def test_lengths_are_typed_in_the_unit_that_is_shown(records: Records):
    typed = {**TYPED, "heel_mm": "1 3/8"}
    last = new_last(records, typed, units="in", by=BY)
    assert last.heel_mm == pytest.approx(34.925)
    # Whoever writes the unit means it.
    assert edit_last(records, last.id, 1, {**TYPED, "heel_mm": "35 mm"}, units="in", by=BY).heel_mm == 35.0


def test_each_width_may_have_sizes_of_its_own(records: Records):
    typed = {**TYPED, "sizes": "", "widths": "B: 8-10\n\nD: 6-12 by 1/2\r\n"}
    last = new_last(records, typed, units="mm", by=BY)
    assert last.widths == {"B": "8-10", "D": "6-12 by 1/2"}
    assert len(core_last(last).labels) == 3 + 13
    assert written_last(last, "mm")["widths"] == "B: 8-10\nD: 6-12 by 1/2"


def test_a_maker_is_kept_once(records: Records, last: KeptLast):
    second = new_last(records, {**TYPED, "code": "N8"}, units="mm", by=BY)
    assert second.maker_id == last.maker_id
    with records.reading() as conn:
        assert [maker.name for maker in list_makers(conn)] == ["Northmoor"]


@pytest.mark.parametrize(("typed", "wanted"), [("D E", "D, E"), ("B; D", "B, D"), ("B/2E EEE", "B, 2E, EEE")])
def test_widths_in_a_row_are_asked_with_commas(records: Records, typed: str, wanted: str):
    with pytest.raises(InputError) as refused:
        new_last(records, {**TYPED, "widths": typed, "reference_width": ""}, units="mm", by=BY)
    assert [one.wanted for one in refused.value.problems] == [f"commas between the widths: {wanted}"]


@pytest.mark.parametrize(
    ("wrong", "places"),
    [
        ({"code": ""}, ["code"]),
        ({"code": "N" * 41}, ["code"]),
        ({"maker": ""}, ["maker"]),
        ({"label_scale": "us-mn"}, ["label_scale"]),
        ({"sizes": "12-6"}, ["sizes"]),
        ({"sizes": ""}, ["sizes"]),
        ({"widths": "B, Q"}, ["widths"]),
        ({"widths": "B: 6-8\nD"}, ["widths"]),
        ({"widths": "B: 6-8\nB: 9"}, ["widths"]),
        ({"widths": "B: 8-6"}, ["widths"]),
        ({"reference_width": "Q"}, ["reference_width"]),
        ({"stiffness": "hard"}, ["stiffness"]),
        ({"heel_mm": "1,500"}, ["heel_mm"]),
        ({"heel_mm": "1.500 mm"}, ["heel_mm"]),
        ({"heel_mm": "500"}, ["heel_mm"]),
        ({"publishes_advice": "maybe"}, ["publishes_advice"]),
        ({"exchange_days": "14.5"}, ["exchange_days"]),
        ({"exchange_days": "9999"}, ["exchange_days"]),
        ({"code": "", "sizes": "x", "heel_mm": "y"}, ["heel_mm", "code", "sizes"]),
    ],
)
def test_each_mistake_stands_beside_its_field_and_nothing_is_written(
    records: Records, wrong: dict[str, str], places: list[str]
):
    with pytest.raises(InputError) as refused:
        new_last(records, {**TYPED, **wrong}, units="mm", by=BY)
    assert _places(refused) == places
    with records.reading() as conn:
        assert list_makers(conn) == []


def test_a_code_is_the_last_s_own(records: Records, last: KeptLast):
    with pytest.raises(InputError) as refused:
        new_last(records, {**TYPED, "maker": "Quernmere"}, units="mm", by=BY)
    assert _places(refused) == ["code"]
    with records.reading() as conn:
        # Its new maker was not written either.
        assert [maker.name for maker in list_makers(conn)] == ["Northmoor"]


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        ({}, "basis"),
        ({"basis": "ball"}, "order"),
        ({"basis": "ball", "order": "half"}, "order"),
        ({"basis": "ball", "order": "9"}, "order"),
        ({"basis": "ball", "order": "1", "table": "10: 10"}, "order"),
        ({"basis": "label", "order": "1"}, "scale"),
        ({"basis": "ball", "order": "1", "scale": "uk"}, "scale"),
        ({"basis": "label", "table": "10: 10"}, "basis"),
        ({"basis": "ball", "table": "10"}, "table"),
        ({"basis": "ball", "table": "10: 10\n10: 11"}, "table"),
        ({"basis": "ball", "table": "10: 77"}, "table"),
        ({**HALF_DOWN, "on": "2026-03-15"}, "on"),
        ({**HALF_DOWN, "on": "1 Feb"}, "on"),
        ({**HALF_DOWN, "origin": "x" * 201}, "origin"),
    ],
)
def test_advice_that_cannot_be_is_refused_beside_its_field(
    records: Records, last: KeptLast, wrong: dict[str, str], place: str
):
    with pytest.raises(InputError) as refused:
        write_advice(records, last.id, wrong, by=BY)
    assert place in _places(refused)
    assert kept_last(records, last.id).advice == ()


@pytest.mark.parametrize(
    ("wrong", "places"),
    [
        ({"size": "10", "width": "D"}, ["flex_line_mm"]),
        ({"flex_line_mm": "206"}, ["size"]),
        ({**PAIR, "width": "C"}, ["size"]),
        ({**PAIR, "flex_line_mm": "2,060"}, ["flex_line_mm"]),
        ({**PAIR, "flex_line_mm": "20"}, ["flex_line_mm"]),
        ({**PAIR, "flex_line_mm": "300"}, ["flex_line_mm"]),
        ({**PAIR, "sd_mm": "0"}, ["sd_mm"]),
        ({**PAIR, "on": "2026-03-15"}, ["on"]),
    ],
)
def test_a_pair_that_cannot_be_is_refused_beside_its_field(
    records: Records, last: KeptLast, wrong: dict[str, str], places: list[str]
):
    with pytest.raises(InputError) as refused:
        write_measured(records, last.id, wrong, units="mm", by=BY)
    assert _places(refused) == places
    assert kept_last(records, last.id).measured == ()


def test_advice_and_pairs_are_typed_again_the_same(records: Records, last: KeptLast):
    table = {"basis": "length", "table": "10 1/2: 10\n11: 10 1/2", "order": "", "scale": ""}
    table |= {"origin": "the catalogue", "on": ""}
    said = write_advice(records, last.id, table, by=BY)
    assert said.rows == (("10 1/2", "10"), ("11", "10 1/2"))
    assert write_advice(records, last.id, written_advice(said), advice_id=said.id, seen=1, by=BY) == said
    assert written_advice(said) == table
    pair = write_measured(records, last.id, {**PAIR, "from_drawing": "yes"}, units="mm", by=BY)
    assert (pair.inside_length_mm, pair.from_drawing, pair.size) == (290.5, True, "10")
    for units in ("mm", "in"):
        again = written_measured(pair, units)
        kept = write_measured(records, last.id, again, units=units, pair_id=pair.id, seen=1, by=BY)
        assert kept.inside_length_mm == pytest.approx(290.5, abs=0.02)
    assert "11.437" in written_measured(pair, "in")["inside_length_mm"]


def test_what_was_measured_holds_the_offer(records: Records, last: KeptLast):
    pair = write_measured(records, last.id, PAIR, units="mm", by=BY)
    narrow = {**TYPED, "widths": "B, EE"}
    with pytest.raises(InputError) as refused:
        edit_last(records, last.id, last.version, narrow, units="mm", by=BY)
    assert _places(refused) == ["sizes"]
    withdraw_measured(records, pair.id, pair.version, BY)
    assert edit_last(records, last.id, last.version, narrow, units="mm", by=BY).widths == ["B", "EE"]


def test_a_last_goes_out_as_a_file_that_reads_back_the_same(records: Records, last: KeptLast, tmp_path: Path):
    write_advice(records, last.id, HALF_DOWN, by=BY)
    write_advice(records, last.id, {"basis": "ball", "table": "10 1/2: 10\n11: 10 1/2"}, by=BY)
    gone = write_advice(records, last.id, {"basis": "ball", "order": "3"}, by=BY)
    withdraw_advice(records, gone.id, gone.version, BY)
    write_measured(records, last.id, {**PAIR, "sd_mm": "1,5", "from_drawing": "yes"}, units="mm", by=BY)
    kept = kept_last(records, last.id)
    file = tmp_path / "N7.toml"
    file.write_text(last_toml(kept), "utf-8")
    read = read_last(file)
    assert read == core_last(kept)
    assert len(read.advice) == 2
    assert read.measured[0].inside_length == 290.5


def test_a_page_of_a_last_tells_how_it_runs(records: Records, last: KeptLast):
    bare = last_page(records, last.id)
    assert bare.runs is not None
    assert (bare.runs.told, bare.runs.by["ball"].mean) == (False, 0.0)
    write_advice(records, last.id, HALF_DOWN, by=BY)
    told = last_page(records, last.id)
    assert told.runs is not None
    # Half a size down from the reading: the last is half a size bigger than its labels.
    assert told.runs.by["length"].mean == pytest.approx(25.4 / 3 / 2, abs=0.5)
    assert told.runs.by["length"].sd < bare.runs.by["length"].sd
    assert told.facts is not None
    assert len(told.facts.labels) == 14 * 3


def test_the_gauge_s_own_offset_reaches_the_lasts(records: Records, last: KeptLast):
    write_advice(records, last.id, HALF_DOWN, by=BY)
    before = last_page(records, last.id).runs
    typed = {"scale": "gauge-men", "what": "ball", "mark": "10", "measured_mm": "197"}
    lay_ruler(records, typed, units="mm", by=BY)
    after = last_page(records, last.id).runs
    assert before is not None
    assert after is not None
    # The gauge's ball marks denote less than reckoned, so a foot of that reading is shorter there.
    assert after.by["ball"].mean < before.by["ball"].mean - 2


def test_a_child_s_last_is_kept_but_not_judged(records: Records):
    typed = {**TYPED, "label_scale": "us-child", "sizes": "8-12", "reference_width": "", "widths": ""}
    kept = new_last(records, typed, units="mm", by=BY)
    page = last_page(records, kept.id)
    assert (page.facts, page.runs) == (None, None)
    assert find_lasts(records).shown[0].runs is None


def test_lasts_are_found_by_code_and_maker(records: Records, last: KeptLast):
    for code, maker in (("Q2", "Quernmere"), ("Q10", "Øster Moor")):
        new_last(records, {**TYPED, "code": code, "maker": maker}, units="mm", by=BY)

    def found(words: str, **more: Any) -> list[str]:
        return [one.kept.code for one in find_lasts(records, words, **more).shown]

    assert found("") == ["N7", "Q10", "Q2"]
    assert found("MOOR") == ["N7", "Q10"]
    assert found("moor q") == ["Q10"]
    assert found("oster") == ["Q10"]
    assert found("zz") == []
    cut = find_lasts(records, most=2)
    assert (len(cut.shown), cut.count) == (2, 3)
    retire_last(records, last.id, last.version, retired=True, by=BY)
    assert found("moor") == ["Q10"]
    assert found("", retired=True) == ["N7"]


def test_history_tells_what_was_done_and_undo_takes_the_last_back(records: Records, last: KeptLast):
    said = write_advice(records, last.id, HALF_DOWN, by=BY)
    edit_last(records, last.id, 1, {**TYPED, "toe": "round"}, units="mm", by=BY)
    history = last_page(records, last.id).history
    assert [(done.said, done.can_undo) for done in history] == [
        ("Last changed: toe", True),
        ("Advice -1/2 from the ball added", True),
        ("Last added", False),
    ]
    assert undo_at_last(records, last.id, history[0].change_id, BY)
    assert undo_at_last(records, last.id, history[1].change_id, BY)
    kept = kept_last(records, last.id)
    assert (kept.toe, kept.advice) == ("hard-cap", ())
    assert last_page(records, last.id).withdrawn_advice[0].id == said.id


def test_a_last_just_added_can_be_taken_out_again(records: Records, last: KeptLast):
    (added,) = last_page(records, last.id).history
    assert added.can_undo
    assert not undo_at_last(records, last.id, added.change_id, BY)
    with pytest.raises(NotFound):
        kept_last(records, last.id)


def test_a_last_that_something_is_known_of_is_not_taken_out_by_undo(records: Records, last: KeptLast):
    write_advice(records, last.id, HALF_DOWN, by=BY)
    added = last_page(records, last.id).history[-1]
    assert (added.said, added.can_undo) == ("Last added", False)
    with pytest.raises(RecordsError):
        undo_at_last(records, last.id, added.change_id, BY)


def test_undo_at_one_last_leaves_others_alone(records: Records, last: KeptLast):
    other = new_last(records, {**TYPED, "code": "N8"}, units="mm", by=BY)
    (added,) = last_page(records, other.id).history
    with pytest.raises(RecordsError, match="something else"):
        undo_at_last(records, last.id, added.change_id, BY)
    with records.reading() as conn:
        assert find_by_code(conn, "N8") == other


def test_the_second_to_edit_a_last_is_told(records: Records, last: KeptLast):
    edit_last(records, last.id, 1, {**TYPED, "toe": "round"}, units="mm", by=BY)
    with pytest.raises(Conflict) as refused:
        edit_last(records, last.id, 1, {**TYPED, "toe": "almond"}, units="mm", by=BY)
    assert refused.value.theirs.toe == "round"


def test_advice_of_another_last_is_not_found_here(records: Records, last: KeptLast):
    other = new_last(records, {**TYPED, "code": "N8"}, units="mm", by=BY)
    said = write_advice(records, other.id, HALF_DOWN, by=BY)
    with pytest.raises(NotFound):
        write_advice(records, last.id, HALF_DOWN, advice_id=said.id, seen=1, by=BY)


def test_a_maker_is_changed_and_that_is_undone(records: Records):
    maker = new_maker(records, "Northmoor", "Mill Row 2", "", BY)
    with pytest.raises(InputError):
        new_maker(records, "Northmoor", "", "", BY)
    changed = edit_maker(records, maker.id, 1, {"name": "Northmoor and Daughters"}, BY)
    with records.reading() as conn:
        from heelball.records.changes import list_changes_of

        latest = list_changes_of(conn, "makers", maker.id)[0].id
    assert changed.name == "Northmoor and Daughters"
    assert undo_at_maker(records, maker.id, latest, BY)
    with records.reading() as conn:
        assert [one.name for one in list_makers(conn)] == ["Northmoor"]


def test_a_last_keeps_a_scale_that_its_pairs_can_be_read_on(records: Records) -> None:
    last = new_last(records, TYPED, units="mm", by=BY)
    with records.writing() as conn:
        wearer = add_wearer(conn, "W13", name="Ib Marl", population="men", by=BY)
    own_pair(records, wearer.id, last.id, "10", "D", BY)
    with pytest.raises(InputError) as refused:
        edit_last(records, last.id, last.version, EU, units="mm", by=BY)
    (problem,) = refused.value.problems
    assert problem.place == "label_scale"
    assert "a pair of this last is kept as 10" in problem.found
    changed = edit_last(records, last.id, last.version, {**TYPED, "label_scale": "uk"}, units="mm", by=BY)
    assert changed.label_scale == "uk"


def test_no_undo_brings_a_scale_back_that_a_pair_is_not_on(records: Records) -> None:
    last = new_last(records, TYPED, units="mm", by=BY)
    european = edit_last(records, last.id, last.version, EU, units="mm", by=BY)
    with records.writing() as conn:
        wearer = add_wearer(conn, "W13", name="Ib Marl", population="men", by=BY)
    own_pair(records, wearer.id, last.id, "44", "D", BY)
    change = last_page(records, last.id).history[0]
    with pytest.raises(InputError, match="kept as 44"):
        undo_at_last(records, last.id, change.change_id, BY)
    assert kept_last(records, last.id).label_scale == "eu"
    noted = edit_last(records, last.id, european.version, {**EU, "note": "asked"}, units="mm", by=BY)
    assert noted.note == "asked"
