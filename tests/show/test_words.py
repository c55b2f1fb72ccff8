"""Every reason the core gives has words, and they speak of what was found."""

from __future__ import annotations

import ast
import re
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import heelball.fit
from heelball.errors import InternalFault
from heelball.fit import referral
from heelball.fit.answers import PlaceVerdict, Reason, RunnerUp
from heelball.foot.reading import Reading
from heelball.foot.slips import Slip, SlipKind
from heelball.last.values import Label, Last, Terms
from heelball.show.choice_words import doubt, tips_when, where_it_stands
from heelball.show.labels import label_text, percent
from heelball.show.letter import lasts_to_ask_about, question_to_maker
from heelball.show.page import WIDTH, paragraph, table
from heelball.show.slip_words import slip_question
from heelball.show.words import WORDS, sentence

CORE = Path(heelball.fit.__path__[0])
TEN_D = Label(Fraction(10), "D")
LAST = Last("N7", "Northmoor", "us-men", (TEN_D, Label(Fraction(21, 2), "D")))
FOOT_STEP = Reason("trade-foot", {"foot": "right", "length": "10", "ball": "11", "taken": "11"})

#: Facts as the core gives them.
FACTS: dict[str, dict[str, Any]] = {
    "diabetes-with-signs": {"signs": ["numbness", "pain"]},
    "pain": {"weeks": 3.0},
    "length-over-ball": {"foot": "left", "sizes": 1.75},
    "feet-apart": {"what": "length", "apart": 9.1, "limit": 8.5},
    "rare-ratio": {
        "foot": "left",
        "what": "breadth",
        "other": "length",
        "ratio": 0.47,
        "low": 0.31,
        "high": 0.46,
    },
    "old-readings": {"date": date(2020, 3, 1), "months": 24},
    "pairs-not-weighed": {"pairs": 2, "lasts": ["K2", "N7"]},
    "pairs-weighed": {"pairs": 2, "alone": False},
    "run-learned": {"pairs": 14},
    "no-advice": {"maker": "Northmoor", "last": "N7", "measured": False},
    "no-exchanges": {"maker": "Northmoor"},
    "high-heel": {"heel": 45.0},
    "contradiction": {
        "kind": "flex_line",
        "label": TEN_D,
        "found": -12.0,
        "expected": 2.0,
        "sd": 3.0,
        "last": "N7",
        "scale": "us-men",
    },
    "doubtful-place": {"foot": "right", "place": "toe", "verdict": PlaceVerdict(9.0, 3.0, 0.12, 0.87, 0.01)},
    "none-serves": {"label": TEN_D, "chance": 0.04},
    "trade-agrees": {"label": TEN_D},
    "trade-orders-none": {"label": TEN_D},
    "trade-differs": {
        "label": TEN_D,
        "loss": 0.4,
        "trade": LAST.labels[1],
        "trade_loss": 0.7,
        "followed": FOOT_STEP,
    },
    "likelier-label": {"label": TEN_D, "chance": 0.4, "other": LAST.labels[1], "other_chance": 0.45},
    "run-measured": {"pairs": 1, "advice": True},
    "run-advice": {"maker": "Northmoor", "basis": "ball"},
    "run-unknown": {"maker": "Northmoor"},
    "trade-both-gauges": {"gauges": ["gauge-men", "gauge-women"]},
    "trade-foot": dict(FOOT_STEP.facts),
    "trade-length-over-ball": {"foot": "left", "sizes": 2.0},
    "trade-larger-foot": {"size": "11", "foot": "right", "same": False},
    "trade-feet-apart": {"left": TEN_D, "right": None},
    "trade-not-gauge": {"foot": "left", "what": "ball"},
    "trade-no-ball": {"foot": "left"},
    "trade-offer-ends": {"maker": "Northmoor", "wanted": "14"},
    "trade-label-size": {"size": "10", "scale": "US men"},
    "trade-moved-up": {"size": "13", "sizes": 0.5},
    "trade-letter": {
        "read": "C 3/4",
        "lower": "C",
        "upper": "D",
        "taken": "D",
        "because": "position",
        "between": True,
        "short": False,
        "at": "10 1/2",
    },
    "trade-no-advice": {"maker": "Northmoor", "size": "10"},
    "trade-advice-label": {"maker": "Northmoor", "order": Fraction(-1), "scale": "US men", "read": "10"},
    "trade-advice": {
        "maker": "Northmoor",
        "order": Fraction(-1, 2),
        "from": "ball",
        "read": "10 1/2",
        "target": "10",
    },
    "trade-one-width": {"off": 0.8},
    "trade-wider": {"wanted": "E", "taken": "EE"},
    "trade-too-narrow": {"wanted": "EEE", "size": "10"},
}

_SENTENCE = re.compile(r"[A-Z0-9].*[.?]")


def kinds_in_the_core() -> set[str]:
    """Return every kind that some line of the core names, or is known to name."""
    found: set[str] = set()
    computed = 0
    for file in sorted(CORE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Reason":
                kind = node.args[0] if node.args else next(k.value for k in node.keywords if k.arg == "kind")
                if isinstance(kind, ast.Constant):
                    found.add(str(kind.value))
                else:
                    computed += 1
    # One call names its kind by a variable: the signs that refer alone.
    assert computed == 1
    return found | set(referral._ALONE)


def test_every_kind_of_the_core_has_words_and_none_is_left_over() -> None:
    assert len(kinds_in_the_core()) > 30
    assert kinds_in_the_core() == set(WORDS)


@pytest.mark.parametrize("kind", sorted(WORDS))
def test_every_kind_is_said_in_sentences(kind: str) -> None:
    text = sentence(Reason(kind, FACTS.get(kind, {})), LAST)
    assert _SENTENCE.fullmatch(text), text
    assert not re.search(r"[{}]|None|Fraction|Label\(|\bnan\b", text), text


def test_a_kind_without_words_is_our_own_fault() -> None:
    with pytest.raises(InternalFault, match="unheard-of"):
        sentence(Reason("unheard-of"))


def test_a_missing_fact_is_our_own_fault() -> None:
    with pytest.raises(InternalFault, match="maker"):
        sentence(Reason("no-exchanges"))


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("trade-foot", "Right foot: length size 10, ball size 11; the larger counts, 11."),
        ("trade-letter", "Letter at 10 1/2: C 3/4; C or D, and D it is."),
        ("trade-advice", "Northmoor says half a size down from the reading: 10 1/2 becomes 10."),
        ("trade-feet-apart", "The feet are a whole size apart; each by itself: left 10 D, right none."),
        ("doubtful-place", "Right foot, toe: short by chance 12 %; toe room 9 mm (±3 mm)."),
        ("none-serves", "No label offered serves; 10 D is least wrong, right all over by chance 4 %."),
        (
            "trade-differs",
            (
                "The trade rule says 10 1/2 D: it follows the right foot's ball size, 11, and takes that mark"
                " at its word. Its 10 1/2 D would cost 0.70 in loss against 0.40."
            ),
        ),
        (
            "contradiction",
            (
                "By the flex line of the 10 D N7 bends 12 mm behind; what stands before it says that it"
                " bends 2 mm ahead (±3 mm). Measure it again."
            ),
        ),
    ],
)
def test_what_is_said(kind: str, said: str) -> None:
    assert sentence(Reason(kind, FACTS[kind]), LAST) == said


@pytest.mark.parametrize(
    "kind",
    ["diabetes-with-signs", "numbness", "wound", "circulation", "deformity", "pain", "child", "urgent"],
)
def test_a_referral_names_who_to_see(kind: str) -> None:
    text = sentence(Reason(kind, FACTS.get(kind, {})))
    assert re.search(r"doctor|nurse|podiatrist|medical help|clinic|someone who fits", text)


def test_where_boot_and_foot_stand() -> None:
    assert where_it_stands("ball", -4.0) == "the boot bends 4 mm behind the joint"
    assert where_it_stands("ball", 3.26) == "the boot bends 3.3 mm ahead of the joint"
    assert where_it_stands("toe", -2.0) == "2 mm short at the toe"
    assert where_it_stands("girth", 0.01) == "even round the ball"


def test_the_likelier_doubt_comes_first() -> None:
    assert doubt("ball", PlaceVerdict(3.0, 3.0, 0.05, 0.75, 0.20)) == (
        "bends ahead of the joint by chance 20 %, bends behind the joint by chance 5 %"
    )
    assert doubt("heel", PlaceVerdict(0.0, 3.0, 0.01, 0.98, 0.01)) == "no doubt to speak of"


def test_a_chance_is_never_said_to_be_certain() -> None:
    assert [percent(share) for share in (0.0, 0.0004, 0.124, 0.9999, 1.0)] == [
        "0 %",
        "under 1 %",
        "12 %",
        "over 99 %",
        "100 %",
    ]


def test_what_would_tip_the_choice() -> None:
    tipped = RunnerUp(TEN_D, 0.3, 0.5, "right", "ball", -2.5)
    assert tips_when(tipped) == "if the right heel-to-ball were 2.5 mm less"
    assert tips_when(RunnerUp(TEN_D, 0.3, 0.5)) is None


def test_labels_are_written_as_stamped() -> None:
    assert label_text(Label(Fraction(21, 2), "EE"), LAST) == "10 1/2 EE"
    assert label_text(Label(Fraction(43), None), Last("E1", "Elm", "eu", ())) == "43"


@pytest.mark.parametrize(
    ("kind", "meant", "said"),
    [
        ("other-scale", Reading("right", "length", "gauge-women", "10"), "read on gauge-women"),
        ("digits", Reading("right", "length", "gauge-men", "01"), "01, with two digits exchanged"),
        ("one-step", Reading("right", "length", "gauge-men", "11"), "11, one step out"),
        ("seated", Reading("right", "length", "gauge-men", "10", load="seated"), "taken seated"),
    ],
)
def test_a_slip_is_asked_about(kind: SlipKind, meant: Reading, said: str) -> None:
    read = Reading("right", "length", "gauge-men", "10")
    asked = slip_question(Slip((0,), kind, 12.3, (meant,)), [read])
    assert asked == f"Was right length 10 on gauge-men {said}? Odds 12 to 1 for it."


@pytest.mark.parametrize(
    ("kind", "feet", "asked"),
    [
        ("left-for-right", "left right", "Were the left and the right foot's sheets exchanged?"),
        ("seated", "left", "Was the left foot's sheet taken seated?"),
        ("seated", "left left", "Were the left foot's sheets taken seated?"),
        ("seated", "left right", "Were both feet's sheets taken seated?"),
    ],
)
def test_sheets_are_asked_about_whole(kind: SlipKind, feet: str, asked: str) -> None:
    sheets = tuple(
        Reading(foot, what, "mm", "100", method="sheet", sd_mm=1.0, shared_errors=((f"sheet {i}", 1.0),))  # type: ignore[arg-type]
        for i, foot in enumerate(feet.split())
        for what in ("length", "ball", "breadth")
    )
    typed = Reading("left", "length", "mm", "270", method="ruler")
    which = tuple(range(1, 1 + len(sheets)))
    assert slip_question(Slip(which, kind, 12.3, sheets), [typed, *sheets]) == f"{asked} Odds 12 to 1 for it."


def test_a_letter_speaks_of_lasts_and_labels_only() -> None:
    silent = Last("K2", "Kestrel Bench", "us-men", LAST.labels, terms=Terms(publishes_advice=False))
    open_handed = Last("K3", "Kestrel Bench", "us-men", LAST.labels, terms=Terms(publishes_advice=True))
    asked = lasts_to_ask_about([LAST, silent, open_handed])
    assert asked == {"Northmoor": [LAST], "Kestrel Bench": [silent]}
    text = " ".join(line.text for line in question_to_maker("Kestrel Bench", [silent]))
    assert "K2" in text
    assert "10 to 10 1/2" in text
    for question in ("foot-gauge reading", "ball size", "bend", "inside of the heel", "long is it inside"):
        assert question in text
    assert not re.search(r"wearer|customer|his|her\b|W\d", text)


def test_a_figure_and_its_unit_stay_on_one_line() -> None:
    for length in range(40, WIDTH):
        lines = paragraph("x" * length + " then 10 1/2 D at 4 mm by 12 %")
        assert all(len(line.text) <= WIDTH for line in lines)
        parts = [line.text.strip() for line in lines]
        for whole in ("10 1/2 D", "4 mm", "12 %"):
            assert any(whole in part for part in parts)


def test_a_table_never_leaves_the_page() -> None:
    lines = table([("a" * 60, "b" * 60, "1"), ("a", "b", "22")], right=(2,))
    assert all(len(line.text) <= WIDTH for line in lines)
    assert lines[0].text.endswith("1")


@pytest.mark.parametrize(
    ("by", "said"),
    [(-3.4, "3.4 mm less"), (0.1, "0.1 mm more"), (0.02, "under 0.1 mm more"), (-0.02, "under 0.1 mm less")],
)
def test_what_would_tip_a_choice_is_never_nothing(by, said):
    runner_up = RunnerUp(Label(Fraction(10), "D"), 0.5, 0.4, "left", "ball", by)
    assert tips_when(runner_up) == f"if the left heel-to-ball were {said}"
