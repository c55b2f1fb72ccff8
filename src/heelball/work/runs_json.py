"""Learned runs as a record: what is printed, and all that `choose --runs` needs."""

from __future__ import annotations

from hashlib import sha256
from typing import Any, Final

from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Gaussian
from heelball.last.run import OFFSET_PLACES
from heelball.last.values import Last
from heelball.learn.habits import STIFFNESSES, Habits
from heelball.learn.runs import Doubt, LastRun, Runs, WearerFit
from heelball.work.figures_json import chance, label_record, mm

SCHEMA: Final = "heelball/runs/1"

#: Beliefs are written finer than figures for people: their covariances have to stay positive.
_FINE: Final = 9


def runs_record(runs: Runs, lasts: dict[str, Last]) -> dict[str, Any]:
    """Return learned runs as one record.

    Parameters
    ----------
    lasts
        By code, for the labels of doubtful reports.
    """
    return {
        "schema": SCHEMA,
        "gauge": _places(runs.offsets, OFFSET_PLACES),
        "lasts": [_last(one, lasts[one.last]) for one in runs.lasts],
        "makers": [{"maker": one.maker, "lasts": one.lasts, "run": _places(one.run)} for one in runs.makers],
        "wearers": [_wearer(one) for one in runs.wearers],
        "doubtful": [_doubt(one, lasts[one.try_on.last]) for one in runs.doubtful],
        "habits": _habits(runs.habits),
        "settled": runs.settled,
        "own_blocks": runs.own_blocks,
    }


def _places(one: Gaussian, places: tuple[str, ...] = PLACES) -> dict[str, dict[str, float | None]]:
    return {
        place: {"mean_mm": mm(float(one.mean[i])), "sd_mm": mm(float(one.cov[i, i]) ** 0.5)}
        for i, place in enumerate(places)
    }


def evidence_mark(last: Last) -> str:
    """Return a text that is another one once anything changed that a run was learned beside."""
    told = (last.label_scale, last.width_scale, last.toe, last.stiffness, last.advice, last.measured)
    return sha256(repr(told).encode()).hexdigest()[:16]


def _last(one: LastRun, last: Last) -> dict[str, Any]:
    return {
        "last": one.last,
        "maker": one.maker,
        "pairs": one.pairs,
        "run": _places(one.run),
        "evidence": evidence_mark(last),
        "belief": belief_record(one.belief),
    }


def belief_record(belief: Gaussian) -> dict[str, Any]:
    """Return a belief as it is written and read back."""
    return {
        "mean": [round(float(number), _FINE) for number in belief.mean],
        "cov": [[round(float(number), _FINE) for number in row] for row in belief.cov],
    }


def _wearer(one: WearerFit) -> dict[str, Any]:
    count = len(PLACES)
    feet = {
        foot: _places(
            Gaussian(one.foot.mean[at : at + count], one.foot.cov[at : at + count, at : at + count])
        )
        for at, foot in zip((0, count), FEET, strict=True)
    }
    return {
        "wearer": one.wearer,
        "measured": one.measured,
        "pairs": one.pairs,
        "foot": feet,
        "taste": _places(one.taste),
    }


def _doubt(one: Doubt, last: Last) -> dict[str, Any]:
    told = one.try_on
    return {
        "wearer": told.wearer,
        "last": told.last,
        **label_record(told.label, last),
        "date": told.day.isoformat() if told.day else None,
        "foot": one.foot,
        "place": one.place,
        "word": told.verdicts[one.foot, one.place],
        "chance": chance(one.chance),
        "lapse": chance(one.lapse),
        "at": told.place,
    }


def _habits(habits: Habits) -> dict[str, Any]:
    return {
        "half_width_mm": {
            stiffness: dict(zip(PLACES, map(mm, map(float, habits.half_width[i])), strict=True))
            for i, stiffness in enumerate(STIFFNESSES)
        },
        "taste_sd_mm": dict(zip(PLACES, map(mm, map(float, habits.taste_sd)), strict=True)),
        "scatter_sd_mm": dict(zip(PLACES, map(mm, map(float, habits.scatter_sd)), strict=True)),
        "lapse": chance(habits.lapse),
    }
