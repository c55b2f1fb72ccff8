"""What stands on a card and on a made pair's sheet, as values."""

from __future__ import annotations

import pytest
from attrs import evolve

from heelball.fit.wearer import DayState
from heelball.last.values import Terms
from heelball.show.care_words import STANDING, WHEN_TO_BE_SEEN
from heelball.show.letter import letter_text, question_to_maker
from heelball.show.paper import card_of, made_pair_of
from heelball.show.paper.card_words import at_home, send_back
from heelball.show.paper.measures import measure_rows
from heelball.show.paper.names import cut, shown_names
from heelball.show.words import sentences
from tests.fittings import last, mm, wearer
from tests.show.paper import cases


def card(who=None, lasts=cases.LASTS, **more):
    who = who or cases.ordinary()
    found = cases.answered(who, lasts)
    return found, card_of(found, more.pop("choices", ()), who, day=cases.DAY, **more)


def test_the_best_is_on_the_card_unless_others_are_chosen():
    found, said = card()
    assert said.order is not None
    assert said.order.heading == "Order 11 E of S30 by Sallowfirth"
    assert said.order.others == ()
    _, chosen = card(choices=found.choices[1:])
    assert chosen.order is not None
    assert chosen.order.heading == "Order 10 1/2 D of N7 by Northmoor"
    assert [line.split(";")[0] for line in chosen.order.others] == ["10 1/2 E of Q4 by Quernmere"]


def test_the_doubtful_place_stands_first_and_the_trade_rule_beside_it():
    _, said = card()
    assert said.order is not None
    titles = [title for title, _ in said.order.rows]
    assert titles[:3] == ["Doubtful", "Trade rule", "Why"]
    assert said.order.rows[0][1].startswith("Right foot, ball: bends behind the joint by chance")


def test_a_sentence_has_one_home():
    found, said = card(cases.urgent())
    assert said.urgent == tuple(sentences(r for r in found.referral if r.kind == "urgent"))
    assert said.before is not None
    assert said.before.texts == tuple(sentences(r for r in found.referral if r.kind != "urgent"))
    assert said.standing == STANDING
    assert said.be_seen.texts == WHEN_TO_BE_SEEN
    assert said.mind is not None
    assert set(sentences(found.remarks)) <= set(said.mind.texts)


def test_what_is_read_and_what_is_known_of_each_foot():
    found, said = card(cases.part_read())
    by_name = {row.measure: row for row in said.feet}
    assert by_name["breadth"].left.read == "C 3/4 at 10 1/2"
    assert by_name["breadth"].right.read == "not read"
    assert by_name["girth"].right.read == "255 mm"
    known = found.feet["left"]["ball"]
    assert known.mean is not None
    assert by_name["heel-to-ball"].left.figure.startswith(f"{known.mean:.1f}")
    assert "What was not read is what the rest makes likely." in said.feet_notes


def test_marks_are_shown_as_written_and_counted_where_they_are_many():
    rows = [mm("left", "length", 271 + count) for count in range(5)]
    who = wearer(*rows, evolve(rows[0], foot="right", load="seated"))
    measures = measure_rows(cases.answered(who).feet, who, "in")
    assert measures[0].left.read == "271 mm; 272 mm and 3 more"
    assert measures[0].right.read == "271 mm, seated"
    assert measures[0].left.figure.startswith("10.7")


def test_slips_are_asked_about_before_ordering():
    rows = [*cases.FEET[:3], evolve(cases.FEET[3], value="01"), *cases.FEET[4:]]
    found, said = card(wearer(*rows, code="W19"))
    assert found.slips
    assert said.before is not None
    assert any(text.startswith("Was right length 01 on gauge-men") for text in said.before.texts)


def test_nothing_is_sent_back_or_tried_where_nothing_is_ordered():
    _, unserved = card(cases.unserved(), cases.NARROW)
    _, child = card(cases.child())
    for said in (unserved, child):
        assert said.at_home is None
        assert said.send_back is None
    assert child.order is None
    assert child.places == ()
    assert child.plate is None


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (None, "Ask Northmoor before ordering within how many days an unworn pair can go back."),
        (0, "Northmoor takes no exchanges: settle that before ordering."),
        (1, "Northmoor takes an unworn pair back within 1 day."),
        (30, "Northmoor takes an unworn pair back within 30 days."),
    ],
)
def test_when_a_pair_goes_back(days: int | None, said: str):
    assert send_back(last(terms=Terms(None, days)))[0] == said


@pytest.mark.parametrize(
    ("socks", "insole", "said"),
    [
        ([], 0.0, "in the socks you will wear in them."),
        ([2.0], 0.0, "in the socks of your day (medium)."),
        ([3.0, 1.0, 3.0], 0.0, "in the socks of your day (thin and thick)."),
        ([3.0, 1.0, 2.0, 4.5], 0.0, "in the socks of your day (thin and 4.5 mm)."),
        ([3.0], 4.0, "in the socks of your day (thick), with your added insole of 4 mm."),
    ],
)
def test_which_socks(socks: list[float], insole: float, said: str):
    day = [
        DayState(f"state {count}", 1 / len(socks), sock, "hot", insole) for count, sock in enumerate(socks)
    ]
    assert at_home(day, "mm")[1].endswith(said)


def test_toe_room_is_told_in_the_units_of_the_card():
    assert any("10 to 20 mm free" in step for step in at_home((), "mm"))
    assert any("0.39 to 0.79 in free" in step for step in at_home((), "in"))


def test_the_name_is_on_the_card_only_where_it_is_given():
    assert card(name="Ann\n Example")[1].whose == "Ann Example · W12"
    assert card()[1].whose == "W12"


def test_names_are_cut_and_lengths_in_them_left():
    assert shown_names([last(code="N7")]) == {}
    assert shown_names([last(code="5 mm")]) == {"5 mm": "5 mm"}
    (shown,) = shown_names([last(code=cases.UNBROKEN)]).values()
    assert shown == cut(cases.UNBROKEN, 24)
    assert len(shown) == 24


def test_a_made_pair_s_sheet_tells_the_greatest_part_of_the_day_first():
    who = evolve(cases.unserved(), day=tuple(reversed(cases.LONG_DAY)))
    sheet = made_pair_of(cases.answered(who, cases.NARROW), who, reference="M-7", day=cases.DAY)
    first, second = sheet.growth
    assert (first.share, first.sock, first.swelling) == ("60 %", "3 mm", "swollen")
    # MODEL 4: a sock of 1 mm more, and swelling of 0.5, 1.2 and 3 mm in length, breadth and girth.
    assert first.grown == ("+1.0", "+2.5", "+2.2", "+6.1", "+1.0")
    assert second.grown == ("0.0",) * 5


def test_the_letter_to_edit_says_what_the_note_says():
    text = letter_text("Quernmere", cases.LASTS[1:])
    noted = " ".join(line.text.strip() for line in question_to_maker("Quernmere", cases.LASTS[1:]))
    assert " ".join(text.split()) == " ".join(noted.split())
    assert [len(part.split("\n")) for part in text.split("\n\n")] == [1, 1, 2, 1, 5, 1]


def test_a_break_in_a_name_parts_nothing_in_the_letter():
    text = letter_text("Quern\n\nmere", [last(code="Q\n4")])
    assert text.startswith("To Quern mere:\n\n")
    assert "- last Q 4, labels" in text
