"""What a wearer says of a pair, place by place, and what is said back where it hurts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from heelball.fit.answers import Reason
from heelball.fit.wearer import PLACES, Place, Verdict
from heelball.foot.vector import FEET, Foot
from heelball.package_data import defaults
from heelball.show.labels import PLACE_WORDS
from heelball.show.words import sentence

#: A place of the boot, as it is asked about.
PLACE_NAMES: Final[dict[Place, str]] = {
    "ball": "Where it bends",
    "toe": "At the toe",
    "breadth": "Across the ball",
    "girth": "Round the ball",
    "heel": "At the heel",
}

#: What is said of any pain in a boot.
PAIN: Final = (
    "Pain is told: a boot that hurts comes off, and is not worn in. If it still hurts without the boot, or"
    " comes back, see a doctor or podiatrist."
)

_NOT_FELT: Final = re.compile(
    r"\b(?:no|not|without|never|free of)\s+(?:any\s+)?(?=[a-z])\w+|\bpain-?(?:less|free)\b"
)
_PAIN: Final = re.compile(
    r"\b(?:pain(?:s|ful|ed)?|hurt\w*|ach(?:es?|ed|ing)|sores?|burn(?:s|ing)|cramp\w*)\b"
)
_NUMB: Final = re.compile(r"\b(?:numb(?:ness|s|ed)?|tingl\w*|pins and needles|can(?:no|')t feel)\b")
_NO_FEELING: Final = re.compile(r"\bno feeling\b")


def verdict_text(place: Place, verdict: Verdict) -> str:
    """Return one verdict in the trade's words.

    Examples
    --------
    >>> verdict_text("ball", "little"), verdict_text("toe", "right")
    ('bends behind the joint', 'right at the toe')
    """
    little, much = PLACE_WORDS[place]
    return {"little": little, "right": _RIGHT[place], "much": much}[verdict]


_RIGHT: Final[dict[Place, str]] = {
    "ball": "bends at the joint",
    "toe": "right at the toe",
    "breadth": "right across the ball",
    "girth": "right round the ball",
    "heel": "right at the heel",
}


def verdicts_texts(verdicts: Mapping[Foot, Mapping[Place, Verdict]]) -> dict[Foot, str]:
    """Return what was said of each foot in one line; a foot of which nothing was said is left out."""
    return {
        foot: ", ".join(verdict_text(place, told[place]) for place in PLACES if place in told)
        for foot in FEET
        if (told := verdicts.get(foot))
    }


def care_texts(*, pain: bool, pain_weeks: float, numbness: bool) -> list[str]:
    """Return whom to see about what was told; nothing is diagnosed.

    Parameters
    ----------
    pain, numbness
        Whether either was told of.
    pain_weeks
        For how long, 0 where that was not said.
    """
    found = [sentence(Reason("numbness"))] if numbness else []
    if pain_weeks > defaults()["caution"]["pain_weeks"]:
        found.append(sentence(Reason("pain", {"weeks": pain_weeks})))
    elif pain or pain_weeks > 0:
        found.append(PAIN)
    return found


def mentioned(note: str) -> tuple[bool, bool]:
    """Return whether a note mentions pain, and whether numbness; ``no pain`` mentions none.

    Examples
    --------
    >>> mentioned("toes go numb after an hour, no pain")
    (False, True)
    """
    plain = note.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    felt = _NOT_FELT.sub(" ", plain)
    numb = bool(_NUMB.search(felt)) or bool(_NO_FEELING.search(plain))
    return bool(_PAIN.search(felt)), numb
