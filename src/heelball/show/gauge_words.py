"""What rulers on the fitter's own gauge say of it, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from heelball.last.description import Figure
from heelball.show.lengths import Units, length_text

#: Nearer to the formula than this, a slide is as the formula says [mm].
_AS_SAID: Final = 0.25

_SLIDES: Final = {"ball": "A ball size", "length": "A length size", "breadth": "A width letter"}


def gauge_texts(
    denotes: Mapping[str, Figure], unmeasured: Mapping[str, Figure], units: Units = "mm"
) -> list[str]:
    """Return a sentence for each slide of the gauge.

    Parameters
    ----------
    denotes
        By slide: how much more than our formula a mark denotes, and how sure that is [mm].
    unmeasured
        The same before any ruler was laid on it.
    units
        What lengths are shown in.
    """
    return [_text(what, denotes[what], unmeasured[what], units) for what in _SLIDES]


def _text(what: str, known: Figure, before: Figure, units: Units) -> str:
    subject, sure = _SLIDES[what], f"±{length_text(known.sd, units)}"
    if known.sd >= before.sd:
        return f"{subject} has not been measured: it may denote {sure} other than reckoned."
    if abs(known.mean) < _AS_SAID:
        return f"{subject} denotes what is reckoned, {sure}."
    side = "more" if known.mean > 0 else "less"
    return f"{subject} denotes {length_text(abs(known.mean), units)} {side} than is reckoned, {sure}."


def difference_text(more: float, units: Units = "mm") -> str:
    """Return how far a ruler was from what is reckoned of one mark."""
    if abs(more) < _AS_SAID:
        return "as reckoned"
    return f"{length_text(abs(more), units)} {'more' if more > 0 else 'less'} than reckoned"
