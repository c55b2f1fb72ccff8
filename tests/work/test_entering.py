"""A draft, tap by tap: what is asked, what a second tap refines, and taking taps back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import InputError, UnreadableText
from heelball.foot.reading import ReadingOf
from heelball.records import drafts, readings, sittings
from heelball.records.refused import Conflict
from heelball.records.store import Records, open_records
from heelball.records.values import Author, KeptReading
from heelball.records.wearers import add_wearer
from heelball.scales.catalogue import size_scale
from heelball.scales.letters import LETTERS
from heelball.work.draft_fields import (
    GAUGE_ORDER,
    SLOTS,
    Asked,
    Slot,
    asked,
    changed,
    cleared,
    gauge_of,
    quarter_marks,
    skipped,
    undone,
    whole_marks,
    with_mark,
    with_quarter,
)
from heelball.work.entering import look, step, with_kind
from heelball.work.entry_checks import questions_beside, read_line, read_typed, taken_before
from heelball.work.keeping import core_reading
from heelball.work.typed_entry import typed_changes
from heelball.work.writing_down import read_taken, write_down

BY = Author("QB", datetime(2026, 3, 14, 10, 20, tzinfo=UTC))
MEN = "gauge-men"


def tapped(fields: dict[str, str], name: str, mark: str, scale: str = MEN) -> dict[str, str]:
    slot, _, line = name.partition(".")
    return with_mark(fields, Asked(SLOTS[slot], "line" if line else "value"), mark, scale, whole=True)


def test_the_order_is_the_gauges() -> None:
    assert [slot.name for slot in GAUGE_ORDER] == [
        "right-length",
        "right-ball",
        "right-breadth",
        "left-length",
        "left-ball",
        "left-breadth",
    ]
    fields: dict[str, str] = {}
    seen = []
    for mark in ("10", "10", "C", "10", "9", "9", "D", "9"):
        what = asked(fields)
        assert what is not None
        name = what.slot.name + (".line" if what.part == "line" else "")
        seen.append(name)
        fields = tapped(fields, name, mark)
    assert asked(fields) is None
    assert seen[2:5] == ["right-breadth", "right-breadth.line", "left-length"]


def test_a_breadth_in_mm_has_no_line_to_be_asked() -> None:
    fields = skipped({}, tuple(GAUGE_ORDER[:2]))
    fields = changed(fields, {"right-breadth": "101", "right-breadth.scale": "mm"})
    assert asked(fields) == Asked(Slot("left", "length"), "value")


@pytest.mark.parametrize("scale", ["gauge-men", "gauge-women", "gauge-child"])
def test_every_whole_mark_can_be_read_back_and_none_is_told_twice(scale: str) -> None:
    found = size_scale(scale)
    sizes = [found.parse(mark) for mark in whole_marks("length", found)]
    assert sizes == sorted(set(sizes))
    assert all(size.denominator == 1 for size in sizes)
    assert sizes[-1] == found.highest
    assert whole_marks("breadth", found) == LETTERS


@pytest.mark.parametrize(
    ("scale", "whole", "quarter", "stands"),
    [
        (MEN, "10", "3/4", "10 3/4"),
        (MEN, "10", "0", "10"),
        ("gauge-child", "2Y", "1/2", "2 1/2Y"),
        ("gauge-child", "13", "1/4", "13 1/4"),
    ],
)
def test_a_second_tap_adds_the_quarter(scale: str, whole: str, quarter: str, stands: str) -> None:
    fields = with_quarter(tapped({}, "right-length", whole, scale), quarter)
    assert fields is not None
    assert fields["right-length"] == stands
    size_scale(scale).parse(stands, quarters=True)


def test_a_second_second_tap_replaces_the_first() -> None:
    fields = with_quarter(tapped({}, "right-breadth", "C"), "3/4")
    assert fields is not None
    again = with_quarter(fields, "1/4")
    assert again is not None
    assert again["right-breadth"] == "C 1/4"


def test_no_quarter_is_offered_beyond_the_end_of_the_scale() -> None:
    offered = quarter_marks(tapped({}, "right-length", "20"))
    assert offered is not None
    assert list(offered[1]) == ["0"]
    assert with_quarter(tapped({}, "right-length", "20"), "1/4") is None
    assert quarter_marks({}) is None


TAPS = st.sampled_from(
    [
        ("mark", "right-length", "10"),
        ("mark", "right-ball", "11"),
        ("mark", "left-breadth", "D"),
        ("mark", "left-breadth.line", "9"),
        ("quarter", "1/2", ""),
        ("skip", "left-ball", ""),
        ("clear", "right-length", ""),
        ("kind", "right-length", "repeat:x"),
    ]
)


def done(fields: dict[str, str], tap: tuple[str, str, str]) -> dict[str, str]:
    kind, name, text = tap
    if kind == "mark":
        return tapped(fields, name, text)
    if kind == "quarter":
        return with_quarter(fields, name) or fields
    if kind == "skip":
        return skipped(fields, (SLOTS[name],))
    if kind == "clear":
        return cleared(fields, SLOTS[name])
    return with_kind(fields, SLOTS[name], text)


@given(st.lists(TAPS, max_size=20))
def test_undo_walks_back_through_every_state(taps: list[tuple[str, str, str]]) -> None:
    states: list[dict[str, str]] = [{}]
    for tap in taps:
        after = done(states[-1], tap)
        if after != states[-1]:
            states.append(after)
    fields: dict[str, str] | None = states[-1]
    for state in reversed(states[:-1]):
        assert fields is not None
        fields = undone(fields)
        assert fields == state
    assert fields is not None
    assert undone(fields) is None


def test_a_line_without_a_letter_changes_nothing() -> None:
    assert tapped({}, "right-breadth.line", "10") == {}


def test_only_so_many_taps_are_remembered() -> None:
    fields: dict[str, str] = {}
    for number in range(200):
        fields = tapped(fields, "right-length", str(1 + number % 20))
    assert len(fields["undo"]) < 5000


def test_the_gauge_is_the_populations_until_another_is_chosen() -> None:
    women, chosen = gauge_of({}, "women"), gauge_of({"scale": "gauge-child"}, "women")
    assert women is not None
    assert chosen is not None
    assert (women.name, chosen.name) == ("gauge-women", "gauge-child")
    assert gauge_of({}, "unstated") is None


@pytest.mark.parametrize(
    ("slot", "text", "scale", "value", "said"),
    [
        ("right-length", "10 1/2", MEN, "10 1/2", ""),
        ("right-length", "10,5", MEN, "10 1/2", "'10,5' is read as 10 1/2"),
        ("right-length", "1,5", MEN, "1 1/2", "'1,5' is read as 1 1/2"),
        ("right-length", "1.5", MEN, "1 1/2", "'1.5' is read as 1 1/2"),
        ("right-length", "24,8", "cm", "24.8", "'24,8' is read as 24.8 cm, 248 mm"),
        ("right-breadth", "C 3/4", MEN, "C 3/4", ""),
        ("right-girth", "248", "mm", "248", ""),
        ("right-girth", "9 3/4 IN", "mm", "9 3/4", "'9 3/4' is read as 9 3/4 in, 247.7 mm"),
    ],
)
def test_how_a_typed_mark_was_read_is_always_said(
    slot: str, text: str, scale: str, value: str, said: str
) -> None:
    read = read_typed(SLOTS[slot], text, scale)
    assert (read.value, read.said) == (value, said)


@pytest.mark.parametrize(
    ("slot", "text", "scale", "wanted"),
    [
        ("right-length", "1,500", MEN, "1.5 or 1500"),
        ("right-length", "1.500", MEN, "1.5 or 1500"),
        ("right-girth", "248,125", "mm", "248.125 or 248125"),
        ("right-girth", "24.8", "mm", "90 to 420 mm (was 24.8 cm meant?)"),
        ("right-length", "27.1", "in", "3.2 to 15.7 inches (was 27.1 cm meant?)"),
        ("right-length", "0", "in", "0.4 to 39.3 inches"),
        ("right-length", "long", "in", "a length in inches, such as 10 5/8"),
        ("right-length", "10 5/8", "mm", "80 to 400 mm (was 10 5/8 cm or 10 5/8 in meant?)"),
        ("right-girth", "10", MEN, "mm, cm or in"),
        ("right-length", "2", "gauge-child", "2C for the smaller or 2Y for the one after 13 1/2"),
    ],
)
def test_what_could_be_read_in_two_ways_is_asked(slot: str, text: str, scale: str, wanted: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        read_typed(SLOTS[slot], text, scale)
    assert refused.value.wanted == wanted


def test_a_mark_that_is_not_on_the_gauge_is_refused_in_the_pages_words() -> None:
    with pytest.raises(UnreadableText) as refused:
        read_typed(SLOTS["right-length"], "24,8", MEN)
    assert refused.value.found == "the men's foot gauge has no 24,8"
    with pytest.raises(UnreadableText) as refused:
        read_line("99", MEN)
    assert refused.value.found == "99 is off the men's foot gauge"


def test_a_typed_form_changes_what_was_typed_and_takes_out_what_was_emptied() -> None:
    fields = tapped(tapped({}, "right-length", "10"), "right-ball", "11")
    found = typed_changes(
        fields, {"right-length": "", "right-ball": "11", "left-girth": "24,8 cm"}, MEN, "mm"
    )
    after = {name: text for name, text in changed(fields, found.changes).items() if name != "undo"}
    assert after == {
        "right-ball": "11",
        "right-ball.scale": MEN,
        "left-girth": "24.8",
        "left-girth.scale": "cm",
    }
    assert found.problems == {}


def test_a_line_stands_only_beside_a_letter() -> None:
    typed = {"right-breadth": "101 mm", "right-breadth.line": "10"}
    assert set(typed_changes({}, typed, MEN, "mm").problems) == {"right-breadth.line"}


def kept(number: int, what: ReadingOf, value: str) -> KeptReading:
    return KeptReading(
        id=f"r{number}",
        version=1,
        wearer_id="w",
        sitting_id="s",
        number=number,
        foot="right",
        what=what,
        scale=MEN,
        value=value,
        line=None,
        load="standing",
        method="gauge",
        sd_mm=None,
        kind="new",
        of_id=None,
        withdrawn_at=None,
    )


def test_a_correction_is_judged_without_the_reading_it_strikes_through() -> None:
    old = [kept(1, "length", "10"), kept(2, "ball", "10"), kept(3, "ball", "14")]
    pairs = [(one, core_reading(one)) for one in old]
    fields = tapped({}, "right-ball", "10")
    assert questions_beside(fields, pairs, (), "men", fitter="QB")
    corrected = with_kind(fields, SLOTS["right-ball"], "correction:r3")
    assert questions_beside(corrected, pairs, (), "men", fitter="QB") == {}
    assert [one.id for one in taken_before(old, SLOTS["right-ball"])] == ["r3", "r2"]


def test_a_line_far_from_the_foots_ball_size_is_questioned() -> None:
    fields = tapped({}, "right-ball", "10")
    fields = tapped(tapped(fields, "right-breadth", "C"), "right-breadth.line", "11")
    said = questions_beside(fields, (), (), "men", fitter="")
    assert said["right-breadth"] == (
        "Was the right breadth C read at line 11? The ball size of that foot is 10."
    )
    near = changed(fields, {"right-breadth.line": "10 3/4"})
    assert "right-breadth" not in questions_beside(near, (), (), "men", fitter="")


def test_a_corrected_ball_questions_the_line_that_was_read_at_the_old_one() -> None:
    old = [kept(1, "ball", "12"), evolve(kept(2, "breadth", "C"), line="12")]
    fields = with_kind(tapped({}, "right-ball", "10"), SLOTS["right-ball"], "correction:r1")
    said = questions_beside(fields, [(one, core_reading(one)) for one in old], (), "men", fitter="")
    assert "read at line 12" in said["right-ball"]


def test_a_letter_that_stands_nowhere_yet_is_no_trouble() -> None:
    assert questions_beside(tapped({}, "right-breadth", "D"), (), (), "men", fitter="") == {}


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    found = open_records(tmp_path, now=BY.at)
    yield found
    found.close()


@pytest.fixture
def wearer(records: Records) -> str:
    with records.writing() as conn:
        return add_wearer(conn, "W41", population="men", by=BY).id


def enter(records: Records, wearer: str, **marks: str) -> int:
    """Tap some marks in and return the draft's version."""
    for name, mark in marks.items():
        seen = look(records, wearer, BY).seen
        slot = name.replace("_", "-", 1).replace("_", ".")
        step(records, wearer, seen, lambda f, n=slot, m=mark: tapped(dict(f), n, m), by=BY)  # type: ignore[misc]
    return look(records, wearer, BY).seen


def test_a_draft_becomes_one_sitting_in_one_go(records: Records, wearer: str) -> None:
    seen = enter(records, wearer, right_length="10", right_ball="10")
    sitting = write_down(records, wearer, seen=seen, number=0, by=BY)
    with records.reading() as conn:
        assert [one.id for one in sittings.list_sittings(conn, wearer)] == [sitting.id]
        taken = readings.list_readings(conn, wearer)
        assert drafts.find_draft(conn, wearer).fields == {}
    assert [(one.what, one.number, one.sitting_id) for one in taken] == [
        ("length", 1, sitting.id),
        ("ball", 2, sitting.id),
    ]
    assert (sitting.fitter, sitting.load, sitting.sock) == ("QB", "standing", "thin")


@pytest.mark.parametrize("fault", ["letter", "kind", "gone"])
def test_nothing_is_written_where_one_reading_cannot_be(records: Records, wearer: str, fault: str) -> None:
    number = 0
    if fault == "letter":
        seen = enter(records, wearer, right_breadth="C")
    else:
        seen = enter(records, wearer, right_length="10")
        write_down(records, wearer, seen=seen, number=0, by=BY)
        seen, number = enter(records, wearer, right_length="11"), 1
        if fault == "gone":
            said = "correction:nobody"
            seen = step(
                records, wearer, seen, lambda f: with_kind(f, SLOTS["right-length"], said), by=BY
            ).version
    with records.reading() as conn:
        before = readings.list_readings(conn, wearer), sittings.list_sittings(conn, wearer)
    with pytest.raises(InputError) as refused:
        write_down(records, wearer, seen=seen, number=number, by=BY)
    assert [problem.place for problem in refused.value.problems] == [
        "right-breadth" if fault == "letter" else "right-length"
    ]
    with records.reading() as conn:
        assert (readings.list_readings(conn, wearer), sittings.list_sittings(conn, wearer)) == before
        assert drafts.find_draft(conn, wearer).fields != {}


def test_a_letter_without_a_line_stands_at_the_foots_own_size(records: Records, wearer: str) -> None:
    seen = enter(records, wearer, right_ball="10", right_breadth="C")
    write_down(records, wearer, seen=seen, number=0, by=BY)
    with records.reading() as conn:
        assert readings.list_readings(conn, wearer)[-1].line is None


def test_a_draft_that_moved_on_is_not_written_down(records: Records, wearer: str) -> None:
    seen = enter(records, wearer, right_length="10")
    enter(records, wearer, right_ball="10")
    with pytest.raises(Conflict):
        write_down(records, wearer, seen=seen, number=0, by=BY)


def test_a_time_without_a_zone_is_taken_in_the_zone_of_now() -> None:
    assert read_taken("2026-03-13 17:30", BY) == datetime(2026, 3, 13, 17, 30, tzinfo=UTC)
    assert read_taken("", BY) == BY.at
    for text in ("soon", "2026-03-14 10:21", "0001-01-01"):
        with pytest.raises(InputError):
            read_taken(text, BY)
