"""How lasts run, as learned: what a fitter reads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Gaussian
from heelball.last.values import Last
from heelball.learn.against_advice import Disagreement
from heelball.learn.runs import Doubt, LastRun, MakerRun, Runs, WearerFit
from heelball.show.labels import label_text, percent
from heelball.show.page import Line, heading, items, paragraph

#: What is said of a place that is more than its label says, that is less, and that is as it says.
RUN_WORDS: Final[dict[str, tuple[str, str, str]]] = {
    "ball": ("long in the ball", "short in the ball", "true in the ball"),
    "toe": ("long in the toe", "short in the toe", "true in the toe"),
    "breadth": ("wide at the joint", "narrow at the joint", "true at the joint"),
    "girth": ("roomy round the ball", "tight round the ball", "true round the ball"),
    "heel": ("wide in the heel", "narrow in the heel", "true in the heel"),
}

#: Likely mistakes told in full; the others are counted.
_TOLD: Final = 20


def run_text(place: str, mean: float, sd: float) -> str:
    """Return how a last runs at one place: ``3 mm long in the ball, ± 1.2``.

    A mean within its own sd is said as true to the label, the ± beside it.
    """
    more, less, true = RUN_WORDS[place]
    if abs(mean) < max(sd, 0.5):
        return f"{true}, ± {sd:.1f} mm"
    by = f"{abs(mean):.1f}".removesuffix(".0")
    return f"{by} mm {more if mean > 0 else less}, ± {sd:.1f}"


def pairs_text(pairs: int) -> str:
    """Return from how many pairs something is known."""
    if not pairs:
        return "from no pair of its own"
    return "from one pair" if pairs == 1 else f"from {pairs} pairs"


def places_texts(run: Gaussian) -> list[str]:
    """Return how a run is said, place by place, in the order of the places."""
    return [
        run_text(place, float(run.mean[i]), float(run.cov[i, i]) ** 0.5) for i, place in enumerate(PLACES)
    ]


def runs_note(
    runs: Runs, lasts: Mapping[str, Last], against: Sequence[Disagreement], try_ons: int
) -> list[Line]:
    """Return what was learned, as lines.

    Parameters
    ----------
    runs
        What was learned.
    lasts
        By code.
    against
        Which lasts disagree with what was held of them.
    try_ons
        How many were learned from.
    """
    lines = heading(f"How the lasts run, from {try_ons} try-ons")
    if not runs.settled:
        lines += paragraph("The computation did not come quite to rest: the figures are nearly so.")
    if runs.own_blocks:
        lines += paragraph(
            "So many lasts are held block by block: each ± is a little too small, for what lasts share."
        )
    for one in runs.lasts:
        if one.pairs:
            lines += _last(one)
    rest = [one.last for one in runs.lasts if not one.pairs]
    if rest:
        lines += paragraph(f"Nobody tried on {', '.join(rest)}: their makers' other lasts speak for them.")
    lines += list(_makers(runs.makers))
    lines += list(_against(against))
    lines += list(_doubtful(runs.doubtful, lasts))
    lines += list(_wearers(runs.wearers))
    lines += [Line(""), *paragraph(
        "± is one sd: two of three times the truth lies within it. What try-ons call right is"
        " judgement, not medicine; a foot that hurts goes to a clinician, not to another size."
    )]  # fmt: skip
    return lines


def _last(one: LastRun) -> list[Line]:
    lines = [Line(""), *heading(f"{one.last}, {one.maker}, {pairs_text(one.pairs)}")]
    lines += items(places_texts(one.run))
    return lines


def _makers(makers: Sequence[MakerRun]) -> Iterator[Line]:
    several = [one for one in makers if one.lasts > 1]
    if not several:
        return
    yield Line("")
    yield from heading("What a maker's lasts share")
    for one in several:
        yield from paragraph(
            f"{one.maker}, {one.lasts} lasts: {'; '.join(places_texts(one.run))}.", first="  - "
        )


def _against(against: Sequence[Disagreement]) -> Iterator[Line]:
    if not against:
        return
    yield Line("")
    yield from heading("Try-ons disagree with what was held of")
    yield from items(
        f"{one.last}: held to run {_by(one.place, one.before)}, runs {_by(one.place, one.learned)}"
        f" ({one.sds:.1f} sds apart)"
        for one in against
    )


def _by(place: str, mean: float) -> str:
    more, less, true = RUN_WORDS[place]
    if abs(mean) < 0.5:
        return true
    return f"{abs(mean):.1f} mm {more if mean > 0 else less}"


def _doubtful(doubtful: Sequence[Doubt], lasts: Mapping[str, Last]) -> Iterator[Line]:
    if not doubtful:
        return
    yield Line("")
    yield from heading("Look again at")
    yield from items(
        f"{one.try_on.place}: {one.try_on.wearer} in {one.try_on.last}"
        f" {label_text(one.try_on.label, lasts[one.try_on.last])}, {one.foot} {one.place}"
        f" “{one.try_on.verdicts[one.foot, one.place]}”: {percent(one.lapse)} likely a mistake"
        for one in doubtful[:_TOLD]
    )
    if len(doubtful) > _TOLD:
        yield from paragraph(f"and {len(doubtful) - _TOLD} more.")


def _wearers(wearers: Sequence[WearerFit]) -> Iterator[Line]:
    bare = [one for one in wearers if not one.measured and one.pairs]
    if not bare:
        return
    yield Line("")
    count = "One wearer was" if len(bare) == 1 else f"{len(bare)} wearers were"
    yield from paragraph(
        f"{count} never measured and taught through pairs alone; readings of theirs would sharpen every ±."
    )
