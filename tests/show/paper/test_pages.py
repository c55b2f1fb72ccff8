"""Paper as it is handed over: one page, whatever stands on it, its words and fonts, its bytes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from functools import cache
from hashlib import sha256
from typing import get_args

import pytest
from attrs import evolve

from heelball.errors import MissingExtra
from heelball.fit.answers import Answer
from heelball.fit.wearer import Wearer
from heelball.show.lengths import Units
from heelball.show.letter import letter_text
from heelball.show.paper import PaperSize, fit_card, made_pair_sheet, maker_letter
from tests.fittings import last, wearer
from tests.show.paper import cases
from tests.show.paper.pages import Pages

papers = pytest.mark.parametrize("paper", get_args(PaperSize))
every_units = pytest.mark.parametrize("units", get_args(Units))

SIZES = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}

WHO: dict[str, Callable] = {
    "ordinary": lambda: (cases.ordinary(), cases.LASTS),
    "urgent": lambda: (cases.urgent(), cases.LASTS),
    "unserved": lambda: (cases.unserved(), cases.NARROW),
    "one foot": lambda: (cases.one_foot(), cases.LASTS),
    "part": lambda: (cases.part_read(), cases.LASTS),
    "child": lambda: (cases.child(), cases.LASTS),
    "nothing read": lambda: (wearer(code="W18"), cases.LASTS),
    "biggest": lambda: (cases.biggest(), [last(10, 20)]),
    "everything": cases.everything_at_once,
}


@cache
def answered(who: str) -> tuple[Wearer, Answer]:
    wearer, lasts = WHO[who]()
    return wearer, cases.answered(wearer, lasts)


def card(who: str = "ordinary", **more) -> Pages:
    wearer, found = answered(who)
    choices = more.pop("choices", 1)
    return Pages(fit_card(found, found.choices[:choices], wearer, day=cases.DAY, **more))


def made(**more) -> Pages:
    who = more.pop("who", None) or cases.unserved()
    found = cases.answered(who, cases.NARROW)
    return Pages(made_pair_sheet(found, who, day=cases.DAY, **{"reference": "M-7", **more}))


# ---- one page


@papers
@every_units
@pytest.mark.parametrize("who", WHO)
def test_a_card_is_one_page(who: str, paper: PaperSize, units: Units):
    page = card(who, paper=paper, units=units, name="Ann Example", fitter="FB", choices=4)
    assert page.count == 1
    assert page.size == SIZES[paper]
    assert page.said("Not medical advice.")
    assert page.said("Urgent help the same day")


@papers
@pytest.mark.parametrize(
    "name", [cases.LONG, cases.UNBROKEN, cases.MARKUP, cases.TURNED, "田中" * 1000, "🥾" * 5]
)
@pytest.mark.parametrize("who", ["ordinary", "everything"])
def test_no_name_is_too_much_for_it(who: str, name: str, paper: PaperSize):
    page = card(who, paper=paper, name=name, fitter=name, choices=4)
    assert page.count == 1
    assert page.said("Not medical advice.")
    inside(page)


def inside(page: Pages) -> None:
    """Assert that every word stands on the paper, clear of its edge."""
    width, height = page.size
    for (left, top, right, bottom), word in page.boxes:
        assert left > 5, word
        assert top > 5, word
        assert right < width - 5, word
        assert bottom < height - 5, word


@papers
def test_a_name_without_a_break_is_broken_where_its_column_ends(paper: PaperSize):
    page = card("everything", paper=paper, name=cases.UNBROKEN, choices=4)
    bar = next(stroke for stroke in page.strokes if stroke.straight and round(stroke.length, 2) == 50)
    shown = [(box, word) for box, word in page.boxes if set(word) <= set("W…\u200b")]
    assert sum(word.count("W") for _, word in shown) > 59
    assert max(right for (_, _, right, _), _ in shown) < bar.spots[0][0]


@papers
@pytest.mark.parametrize("who", WHO)
def test_words_do_not_run_into_one_another(who: str, paper: PaperSize):
    page = card(who, paper=paper, name="Ann Example", choices=4)
    inside(page)
    # The box of a word aslant is larger than the word; the drawing's own tests see to those.
    upright = [one for one in page.boxes if one[1] not in ("foot", "boot", "bends", "here")]
    for count, ((left, top, right, bottom), word) in enumerate(upright):
        for (other_left, other_top, other_right, other_bottom), other in upright[count + 1 :]:
            # Boxes of letters reach from the highest to the deepest; what overlaps by more collides.
            across = min(right, other_right) - max(left, other_left)
            down = min(bottom, other_bottom) - max(top, other_top)
            shallow = 0.6 * min(bottom - top, other_bottom - other_top)
            assert across < 0.3 or down < shallow, (word, other)


@papers
@every_units
def test_what_a_made_pair_would_need_is_one_page(paper: PaperSize, units: Units):
    page = made(paper=paper, units=units, fitter=cases.UNBROKEN, reference=cases.UNBROKEN)
    assert page.count == 1
    assert page.size == SIZES[paper]
    inside(page)


@papers
def test_a_letter_is_one_page_and_more_only_where_it_must_be(paper: PaperSize):
    page = Pages(maker_letter(letter_text("Quernmere", cases.LASTS), day=cases.DAY, paper=paper))
    assert page.count == 1
    assert page.size == tuple(reversed(SIZES[paper]))
    long = Pages(maker_letter(letter_text("Quernmere", cases.LASTS * 30), day=cases.DAY, paper=paper))
    assert long.count > 1
    assert long.said(f"{long.count} of {long.count}")


# ---- what stands on it


def test_the_card_says_what_the_issue_asks():
    page = card(name="Ann Example", fitter="FB")
    for words in (
        "Ann Example · W12",
        "2026-11-25, by FB",
        "Order 11 E of S30 by Sallowfirth",
        "the boot bends 2.4 mm behind the joint (±3.3 mm)",
        "The trade rule says 11 1/2 D",
        "heel-to-ball 10 1/2 202.9 ±2.8",
        "C 3/4 at 10 1/2",
        "The left foot bends like a 10 1/2, measures a 10.",
        "50 mm by a ruler",
        "a bar alone proves nothing",
        "At the end of the day, when feet are fullest, standing",
        "the socks of your day (medium and thick)",
        "Where the foot bends: with the heel off the floor",
        "Indoors, on a clean floor",
        "Sallowfirth takes no exchanges",
        "Urgent help the same day",
        "boot bends here",
    ):
        assert page.said(words), words


def test_a_card_in_inches_speaks_no_millimetre_but_the_bar():
    page = card(units="in")
    assert page.said("the boot bends 0.09 in behind the joint (±0.13 in)")
    assert page.said("toe room 0.78 in")
    assert page.said("10.68 ±0.08")
    said = page.words.replace("50 mm by a ruler", "").replace("if the bar is 50 mm by", "")
    assert " mm" not in said


def test_no_order_stands_above_an_urgent_sign():
    page = card("urgent", name="Ann Example")
    top = page.words.index("An urgent sign is told")
    assert 0 < top < page.words.index("Order 11 E")
    heights = {}
    for word in ("urgent", "Order", "Numbness", "Doubtful"):
        heights[word] = min(box[1] for box, said in page.boxes if said == word)
    assert heights["urgent"] == min(heights.values())
    # In the plate, which stands beside the sign, no label is named above it either.
    assert all(box[1] > heights["urgent"] for box, said in page.boxes if said in ("E", "S30"))


def test_a_child_s_card_refers_and_orders_nothing():
    page = card("child")
    assert page.said("See someone who fits children")
    assert page.said("12")
    for word in ("Order", "Trade rule", "at home", "Sending"):
        assert word not in page.words


def test_where_nothing_serves_the_card_says_so_and_sends_to_a_made_pair():
    page = card("unserved")
    assert page.said("No label of any last serves; 10 1/2 A of N2 by Northmoor is least wrong")
    assert page.said("A made pair; what it would need stands on a sheet of its own.")
    assert "Order 10" not in page.words
    assert "Sending them back" not in page.words


def test_what_was_not_read_is_said():
    page = card("one foot")
    assert page.said("Nothing was read of the right foot")
    assert page.said("The right foot was not read and is not drawn.")
    assert page.words.count("right foot") >= 2
    assert card("nothing read").said("Nothing was read of either foot, so neither is drawn.")


def test_the_made_pair_sheet_tells_a_maker_both_feet_and_the_day():
    page = made(fitter="FB")
    for words in (
        "What a made pair would need",
        "M-7",
        "heel-to-ball 10 1/2 202.7 ±2.8",
        "of the day 60 % 40 %",
        "sock 3 mm 2 mm",
        "girth +6.1 0.0",
        "length 271.7 mm",
        "50 mm by a ruler",
    ):
        assert page.said(words), words


def test_the_made_pair_sheet_names_nobody_and_no_sign_of_health():
    day = tuple(evolve(state, name=f"shift of Ann Example {state.name}") for state in cases.LONG_DAY)
    who = evolve(cases.unserved(), code="Example-Ann", signs=cases.EVERY_SIGN, day=day)
    found = cases.answered(who, cases.NARROW)
    pdf = made_pair_sheet(found, who, reference="M-7", day=cases.DAY)
    page = Pages(pdf)
    for word in ("Ann", "Example", "shift", "urgent", "numb", "wound", "circulation", "orthosis", "pain"):
        assert word.lower() not in page.words.lower(), word
        assert word not in str(page.metadata)


def test_a_letter_speaks_of_lasts_labels_and_questions_alone():
    page = Pages(maker_letter(letter_text("Quernmere", cases.LASTS[1:2]), day=cases.DAY))
    for words in (
        "To Quernmere:",
        "last Q4, labels 6 to 14",
        "1. Which foot-gauge reading",
        "5. Within how many days",
    ):
        assert page.said(words), words
    for word in ("wearer", "W12", "foot is", "pain", "diabetes", "name"):
        assert word not in page.words


# ---- text, fonts, bytes


@papers
def test_words_are_text_in_fonts_that_are_within(paper: PaperSize):
    for page in (card("everything", paper=paper, name=cases.TURNED), made(paper=paper)):
        assert page.fonts
        for (name, kind, _, data), listed in page.fonts:
            assert len(data) > 500, name
            assert kind in ("cff", "ttf", "otf", "cid"), name
            # Six letters and a plus: only the signs that are used are within.
            assert listed[6] == "+"
        assert page.pictures == []


def test_the_same_values_give_the_same_bytes():
    who = cases.ordinary()
    found = cases.answered(who)
    first, second = (fit_card(found, (), who, day=cases.DAY, name=cases.TURNED) for _ in range(2))
    assert first == second
    code = (
        "import sys, hashlib; from tests.show.paper import cases; from heelball.show.paper import fit_card;"
        "who = cases.ordinary();"
        "pdf = fit_card(cases.answered(who), (), who, day=cases.DAY, name=cases.TURNED);"
        "sys.stdout.write(hashlib.sha256(pdf).hexdigest())"
    )
    elsewhere = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert elsewhere.stdout == sha256(first).hexdigest()


@pytest.mark.parametrize(
    "markup", [cases.MARKUP, "#panic()", "$x$", "*b*", "<script>", "@ref", ']#read("x")[', "\\u{41}"]
)
def test_markup_in_a_name_is_only_text(markup: str):
    shown = markup[:40]
    assert card(name=markup).said(shown)
    assert made(reference=markup[:20]).said(markup[:20])
    assert Pages(maker_letter(f"To {markup}:\n\n- {markup}", day=cases.DAY)).said(f"– {markup}")


def test_a_sign_without_a_form_is_a_question_mark_and_the_rest_stays():
    page = card(name="Ann 田中 Žofie 🥾 Ελένη")
    assert page.said("Ann ?? Žofie ? Ελένη · W12")


def test_turning_marks_turn_nothing_around_them():
    page = card(name="Ann\u202e Example\u202c", fitter="F\u2067B")
    assert page.said("Ann Example · W12")
    assert page.said("2026-11-25, by FB")
    assert not set("\u202e\u202c\u2067") & set(page.plain)


def test_without_the_typesetter_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(MissingExtra, match="typst is not installed") as refused:
        maker_letter("To Quernmere:", day=cases.DAY)
    assert "heelball[bench]" in refused.value.remedy
    assert refused.value.exit_code == 3
