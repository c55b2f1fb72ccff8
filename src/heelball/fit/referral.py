"""When to stop, refer, or measure again before ordering (MODEL 8, fit-facts section 12).

Says what was seen and whom to see; never diagnoses.
"""

from __future__ import annotations

from collections.abc import Sequence

from heelball.fit.answers import Reason
from heelball.fit.trade_rule import raw_marks
from heelball.fit.wearer import Signs, Wearer
from heelball.foot.gates import Rarity, rarities
from heelball.foot.reading import Reading
from heelball.foot.vector import Foot, Population
from heelball.last.built_for import ONE_SIZE
from heelball.package_data import defaults

#: Signs that by themselves call for a clinician or a trained footwear professional first.
_ALONE = ("numbness", "wound", "circulation", "deformity")


def referrals(wearer: Wearer) -> tuple[Reason, ...]:
    """Return what calls for someone else, or another measuring, before anything is ordered."""
    return (*_from_signs(wearer.signs), *_from_rarity(wearer))


def _from_signs(signs: Signs) -> list[Reason]:
    found = []
    if signs.urgent:
        found.append(Reason("urgent"))
    long_pain = signs.pain_weeks > defaults()["caution"]["pain_weeks"]
    told = [name for name in (*_ALONE, "orthosis", "changed") if getattr(signs, name)]
    if signs.pain_weeks > 0:
        told.append("pain")
    if signs.diabetes and told:
        found.append(Reason("diabetes-with-signs", {"signs": told}))
    else:
        found += [Reason(name) for name in _ALONE if getattr(signs, name)]
    if long_pain and not (signs.diabetes and told):
        found.append(Reason("pain", {"weeks": signs.pain_weeks}))
    return found


def asks_about_signs(signs: Signs) -> bool:
    """Return whether diabetes stands alone, so that the other signs must be asked about."""
    return (
        signs.diabetes
        and not any(getattr(signs, name) for name in (*_ALONE, "orthosis", "changed"))
        and (signs.pain_weeks <= 0)
    )


def _from_rarity(wearer: Wearer) -> list[Reason]:
    """Return rarities of heel-to-ball and of left against right: measure again, then advise."""
    limit = defaults()["gates"]["length_over_ball_sizes"]
    over: dict[Foot, float] = {}
    for way in raw_marks(wearer).ways:
        for foot, marks in way.feet.items():
            if marks.length is not None and marks.ball is not None:
                over[foot] = max(over.get(foot, 0.0), (marks.length - marks.ball) / ONE_SIZE)
    found = [
        Reason("length-over-ball", {"foot": foot, "sizes": sizes})
        for foot, sizes in over.items()
        if sizes > limit + 1e-6
    ]
    found += [
        Reason("feet-apart", {"what": rarity.what, "apart": rarity.value, "limit": rarity.high})
        for rarity in rarities(wearer.readings, wearer.population)
        if rarity.kind == "left-right"
    ]
    return found


def queried(readings: Sequence[Reading], population: Population) -> tuple[Reason, ...]:
    """Return ratios of a foot that few feet have: a question, not a referral."""
    return tuple(_question(r) for r in rarities(readings, population) if r.kind == "ratio")


def _question(rarity: Rarity) -> Reason:
    facts = {
        "foot": rarity.foot,
        "what": rarity.what,
        "other": rarity.other,
        "ratio": rarity.value,
        "low": rarity.low,
        "high": rarity.high,
    }
    return Reason("rare-ratio", facts)
