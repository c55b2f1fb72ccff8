"""What a hand adds to a foot when it draws round it, learnt from pairs of sheet and gauge readings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite, sqrt
from typing import Any, Final

import numpy as np
from attrs import field, frozen

from heelball.errors import UnreadableText
from heelball.package_data import defaults
from heelball.sheet.values import FOOT, Array

SCHEMA: Final = "heelball/sheet-calibration/1"

# The hand is never taken to be surer than this share of what was judged, however well pairs agree.
_LEAST_SHARE: Final = 0.25
_WIDEST: Final = 100.0


@frozen
class Pair:
    """One measure of one foot [mm], as the sheet said and as the foot gauge said."""

    what: str
    sheet: float
    gauge: float


@frozen
class HandOf:
    """What the hand does to one measure.

    Parameters
    ----------
    pairs
        How many it was learnt from.
    offset, offset_sd
        How much more the sheet says than the gauge, and how sure that is [mm].
    hand_sd
        How much the hand scatters from drawing to drawing [mm].
    """

    pairs: int
    offset: float
    offset_sd: float
    hand_sd: float


@frozen
class Calibration:
    """What the hand does to the measures that pairs were had of, by name."""

    measures: Mapping[str, HandOf] = field(factory=dict)


def calibration_from(pairs: Iterable[Pair], judged_sd: Mapping[str, float]) -> Calibration:
    """Return what pairs say of the hand, beside what was judged.

    The difference of a pair is normal, its mean and variance conjugate: no offset and the judged
    scatter count as a number of pairs seen before. What the gauge scatters is in every difference
    and is taken out at the end.

    Parameters
    ----------
    pairs
        In any order.
    judged_sd
        The hand's scatter by measure [mm], as it is taken where nothing was paired.
    """
    numbers = defaults()["sheet_calibration"]
    differences: dict[str, list[float]] = {}
    for pair in pairs:
        differences.setdefault(pair.what, []).append(pair.sheet - pair.gauge)
    return Calibration(
        {
            what: _learnt(np.array(differences[what]), judged_sd[what], numbers)
            for what in FOOT
            if what in differences
        }
    )


def _learnt(differences: Array, judged_sd: float, numbers: Mapping[str, float]) -> HandOf:
    before, gauge_variance = numbers["counts_as"], numbers["gauge_sd"] ** 2
    count = len(differences)
    mean = float(differences.mean())
    together = before + count
    squares = (
        before * (judged_sd**2 + gauge_variance)
        + float(((differences - mean) ** 2).sum())
        + before * count / together * mean**2
    )
    variance = squares / together
    hand_variance = max(variance - gauge_variance, (_LEAST_SHARE * judged_sd) ** 2)
    return HandOf(count, count * mean / together, sqrt(variance / together), sqrt(hand_variance))


def applied(calibration: Calibration, mean: Array, hand_cov: Array) -> tuple[Array, Array]:
    """Return a foot and the hand's covariance with what was learnt in the place of what was judged.

    How the measures go together stays as judged; only how far each scatters is replaced.

    Parameters
    ----------
    mean
        In the order of `FOOT`, as judged [mm].
    hand_cov
        The hand's share of its covariance, as judged [mm²].
    """
    moved, factor, added = mean.copy(), np.ones(len(FOOT)), np.zeros(len(FOOT))
    for i, what in enumerate(FOOT):
        learnt = calibration.measures.get(what)
        if learnt is not None:
            moved[i] -= learnt.offset
            factor[i] = learnt.hand_sd / np.sqrt(hand_cov[i, i])
            added[i] = learnt.offset_sd**2
    return moved, hand_cov * np.outer(factor, factor) + np.diag(added)


def as_dict(calibration: Calibration) -> dict[str, Any]:
    """Return a calibration as it is written."""
    return {
        "schema": SCHEMA,
        "measures": {
            what: {
                "pairs": one.pairs,
                "offset_mm": round(one.offset, 3),
                "offset_sd_mm": round(one.offset_sd, 3),
                "hand_sd_mm": round(one.hand_sd, 3),
            }
            for what, one in calibration.measures.items()
        },
    }


def from_dict(written: Any) -> Calibration:
    """Return a calibration that was written by `as_dict`.

    Raises
    ------
    UnreadableText
        Where it is not one.
    """
    if not isinstance(written, dict) or written.get("schema") != SCHEMA:
        raise UnreadableText("another kind of file", f"a calibration with the schema {SCHEMA}")
    measures = written.get("measures")
    if not isinstance(measures, dict) or not measures:
        raise UnreadableText("no measures", "the measures that pairs were had of")
    unknown = [what for what in measures if what not in FOOT]
    if unknown:
        raise UnreadableText(f"an unknown measure {unknown[0]!r}", f"measures of {', '.join(FOOT)}")
    return Calibration({what: _hand_of(what, measures[what]) for what in FOOT if what in measures})


def _hand_of(what: str, written: Any) -> HandOf:
    if not isinstance(written, dict):
        raise UnreadableText(f"{what} without its numbers", "pairs, offset_mm, offset_sd_mm and hand_sd_mm")
    pairs = written.get("pairs")
    if isinstance(pairs, bool) or not isinstance(pairs, int) or pairs < 1:
        raise UnreadableText(f"{what} from {pairs!r} pairs", "a whole number of pairs, at least 1")
    return HandOf(
        pairs,
        _millimetres(what, written, "offset_mm", -_WIDEST),
        _millimetres(what, written, "offset_sd_mm", 0.0),
        _millimetres(what, written, "hand_sd_mm", 0.0),
    )


def _millimetres(what: str, written: Mapping[str, Any], name: str, least: float) -> float:
    value = written.get(name)
    serves = isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)
    if not serves or not least <= value <= _WIDEST:  # type: ignore[operator]
        raise UnreadableText(f"{what} with {name} {value!r}", f"{least:g} to {_WIDEST:g} mm")
    return float(value)  # type: ignore[arg-type]
