"""What a drawing needs, from a choice: each foot as it stands in the chosen boot."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import fmean

import numpy as np

from heelball.fit.answers import Answer, Choice
from heelball.fit.day import growth, states_of
from heelball.fit.wearer import PLACES, Place, Wearer
from heelball.foot.vector import FEET, Foot
from heelball.last.built_for import RUN_PLACES, basis_of, built_for, letters_of
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale
from heelball.show.drawing import draw
from heelball.show.figures import DrawnBoot, DrawnFoot
from heelball.show.labels import MEASURE_OF, label_text


def drawing_of(answer: Answer, choice: Choice, wearer: Wearer) -> str:
    """Return the drawing of both feet in the boot of a choice, as SVG.

    Parameters
    ----------
    answer, choice
        Whose feet, and one of the answer's choices.
    wearer
        The same wearer, for the day in the boot.
    """
    feet, boot = feet_in_boot(answer, choice, wearer)
    said = "order" if choice.order is not None else "none serves; least wrong"
    title = f"{answer.code} in {choice.last.code} by {choice.last.maker}: {said} {boot.label}"
    return draw(feet, boot, title=title)


def feet_in_boot(answer: Answer, choice: Choice, wearer: Wearer) -> tuple[list[DrawnFoot], DrawnBoot]:
    """Return both feet and the boot, so that boot less foot is the margin the choice speaks of.

    The feet are those of the mean state of the day. What is known of the last moves the gauge's
    offset a little, so the boot is what both feet and their margins put it at, on average.
    """
    last, label = choice.last, choice.label
    deduction = float(defaults()["boot"]["toe_deduction"][last.toe])
    in_boot: dict[Place, float] = {}
    on_foot: dict[tuple[Foot, Place], float] = {}
    grown = _mean_growth(wearer)
    nominal_heel = _nominal_heel(choice, wearer)
    for place in ("ball", "toe", "breadth", "heel"):
        feet = {foot: _known(answer, foot, place) + grown[place] for foot in FEET}
        margins = {foot: choice.by_place[foot][place] for foot in FEET}
        judged = {foot: verdict.mean for foot, verdict in margins.items() if verdict is not None}
        in_boot[place] = fmean(feet[foot] + judged[foot] for foot in judged) if judged else nominal_heel
        for foot in FEET:
            on_foot[foot, place] = in_boot[place] - judged[foot] if foot in judged else feet[foot]
    drawn = [
        DrawnFoot(
            foot,
            on_foot[foot, "toe"],
            on_foot[foot, "ball"],
            on_foot[foot, "breadth"],
            on_foot[foot, "heel"],
            heel_judged=choice.by_place[foot]["heel"] is not None,
        )
        for foot in FEET
    ]
    boot = DrawnBoot(
        last.code,
        label_text(label, last),
        in_boot["toe"] + deduction,
        in_boot["ball"],
        in_boot["breadth"],
        in_boot["heel"],
        last.toe,
        deduction,
    )
    return drawn, boot


def _known(answer: Answer, foot: Foot, place: Place) -> float:
    mean = answer.feet[foot][MEASURE_OF[place]].mean
    assert mean is not None, "an adult's measures are all known"
    return mean


def _mean_growth(wearer: Wearer) -> Mapping[Place, float]:
    states = states_of(wearer.day)
    grown = np.sum([state.share * growth(state) for state in states], axis=0)
    return dict(zip(PLACES, map(float, grown), strict=True))


def _nominal_heel(choice: Choice, wearer: Wearer) -> float:
    """Return the heel breadth a label is built for by its scale alone: where no heel is judged."""
    last, label = choice.last, choice.label
    basis = basis_of(last.label_scale, wearer.population)
    length = np.array(float(size_scale(last.label_scale).foot_length(label.size)))
    built = built_for(length, np.array(letters_of(label, last, basis)), basis)
    return float(built[RUN_PLACES.index("heel")])
