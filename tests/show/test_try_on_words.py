"""What a wearer says of a pair, and whom to see where it hurts."""

from __future__ import annotations

import pytest

from heelball.fit.wearer import Place, Verdict
from heelball.foot.vector import Foot
from heelball.show.try_on_words import care_texts, mentioned, verdicts_texts


def test_verdicts_are_said_in_the_trades_words_and_nothing_is_made_up():
    told: dict[Foot, dict[Place, Verdict]] = {"right": {"ball": "little", "toe": "right"}, "left": {}}
    assert verdicts_texts(told) == {"right": "bends behind the joint, right at the toe"}


@pytest.mark.parametrize(
    ("note", "pain", "numb"),
    [
        ("Painful at the little toe", True, False),
        ("no pain", False, False),
        ("does not hurt", False, False),
        ("pain-free after an hour", False, False),
        ("toes go numb", False, True),
        ("Can’t feel the toes", False, True),
        ("no feeling in the big toe", False, True),
        ("pins and needles, aching arch", True, True),
        ("painted leather, order number 7, burnished", False, False),
        ("", False, False),
    ],
)
def test_a_note_that_mentions_pain_or_numbness(note, pain, numb):
    assert mentioned(note) == (pain, numb)


def test_pain_and_numbness_go_to_a_clinician():
    assert care_texts(pain=False, pain_weeks=0, numbness=False) == []
    (numb,) = care_texts(pain=False, pain_weeks=0, numbness=True)
    assert "doctor or podiatrist" in numb
    (new,) = care_texts(pain=True, pain_weeks=0, numbness=False)
    assert "comes off" in new
    assert "doctor or podiatrist" in new
    (long,) = care_texts(pain=True, pain_weeks=3, numbness=False)
    assert long.startswith("Foot pain for 3 weeks is told")
