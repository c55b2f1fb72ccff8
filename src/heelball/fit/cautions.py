"""What to be told beside an order: of the maker, the boot, the wearer's readings (MODEL 8)."""

from __future__ import annotations

from datetime import date as Date

from heelball.fit.answers import PlaceVerdict, Reason
from heelball.fit.referral import asks_about_signs, queried
from heelball.fit.wearer import Wearer
from heelball.foot.posterior import FeetPosterior
from heelball.last.run import Contradiction
from heelball.last.values import Last
from heelball.package_data import defaults


def wearer_cautions(wearer: Wearer, today: Date | None, feet: FeetPosterior) -> tuple[Reason, ...]:
    """Return what holds for every boot of this wearer.

    Parameters
    ----------
    today
        The day readings are held against for their age; None leaves age out.
    feet
        What is known of the feet, and how many of the wearer's pairs told of them.
    """
    found = list(queried(wearer.readings, wearer.population))
    if asks_about_signs(wearer.signs):
        found.append(Reason("ask-about-signs"))
    if wearer.signs.orthosis:
        found.append(Reason("orthosis"))
    if wearer.signs.changed:
        found.append(Reason("changed"))
    months = defaults()["caution"]["reading_months"]
    dates = [reading.date for reading in wearer.readings if reading.date is not None]
    if today is not None and dates and _months(max(dates), today) > months:
        found.append(Reason("old-readings", {"date": max(dates), "months": months}))
    unheard = feet.unheard
    if feet.pairs:
        found.append(Reason("pairs-weighed", {"pairs": feet.pairs, "alone": not wearer.readings}))
    else:
        unheard = tuple(pair.last for pair in wearer.pairs)
    if unheard:
        found.append(Reason("pairs-not-weighed", {"pairs": len(unheard), "lasts": sorted(set(unheard))}))
    return tuple(found)


def _months(then: Date, now: Date) -> int:
    return (now.year - then.year) * 12 + now.month - then.month - (now.day < then.day)


def last_cautions(last: Last, contradictions: tuple[Contradiction, ...]) -> tuple[Reason, ...]:
    """Return what holds for every label of a last."""
    found = []
    if not last.advice or last.terms.publishes_advice is False:
        found.append(
            Reason("no-advice", {"maker": last.maker, "last": last.code, "measured": bool(last.measured)})
        )
    if last.terms.exchange_days == 0:
        found.append(Reason("no-exchanges", {"maker": last.maker}))
    if last.toe == "hard-cap":
        found.append(Reason("hard-cap"))
    if last.heel_height is not None and last.heel_height > defaults()["caution"]["heel_height"]:
        found.append(Reason("high-heel", {"heel": last.heel_height}))
    if last.closing == "pull-on":
        found.append(Reason("pull-on"))
    for one in contradictions:
        facts = {
            "kind": one.kind,
            "label": one.label,
            "found": one.found,
            "expected": one.expected,
            "sd": one.sd,
        }
        found.append(Reason("contradiction", facts | {"last": last.code, "scale": last.label_scale}))
    return tuple(found)


def leather_caution(places: list[PlaceVerdict]) -> tuple[Reason, ...]:
    """Return the word on leather where girth or breadth is likelier snug than right.

    Leather gives there over weeks, never in length or at the flex line; it is told, not charged.
    """
    return (Reason("leather"),) if any(place.too_little > place.right for place in places) else ()
