"""How a last runs beside its labels, in words with figures beside them."""

from __future__ import annotations

from typing import Final

from heelball.last.beside_labels import BesideLabels
from heelball.last.description import Figure
from heelball.show.lengths import Units, length_text

#: Nearer to its label than this, a last runs as labelled [mm].
_AS_LABELLED: Final = 0.5

#: What is said of each measure that is more, and that is less.
_WORDS: Final[dict[str, tuple[str, str]]] = {
    "ball": ("bends {} ahead of its labels", "bends {} behind its labels"),
    "length": ("{} long", "{} short"),
    "breadth": ("{} wide across", "{} narrow across"),
    "girth": ("{} roomy round the ball", "{} close round the ball"),
    "heel": ("{} wide at the heel", "{} narrow at the heel"),
}
_AS_SAID: Final = {
    "ball": "bends where its labels say",
    "length": "as long as labelled",
    "breadth": "as wide across as labelled",
    "girth": "as roomy round the ball as labelled",
    "heel": "as wide at the heel as labelled",
}
#: What a list has room for: where it bends, and how long it is.
_FIRST: Final = ("ball", "length")


def in_one_line(runs: BesideLabels, units: Units = "mm") -> str:
    """Return where a last bends and how long it is, as a line of a list."""
    if not runs.told:
        return "Only its labels speak: no advice, no pair measured."
    said = "; ".join(_said(measure, runs.by[measure], units) for measure in _FIRST)
    return f"{said[:1].upper()}{said[1:]}."


def place_by_place(runs: BesideLabels, units: Units = "mm") -> list[tuple[str, str]]:
    """Return what is said of each measure, and its ±, in the order of the places."""
    return [
        (_words(measure, runs.by[measure].mean, units), f"±{length_text(runs.by[measure].sd, units)}")
        for measure in _WORDS
    ]


def _said(measure: str, figure: Figure, units: Units) -> str:
    return f"{_words(measure, figure.mean, units)} (±{length_text(figure.sd, units)})"


def _words(measure: str, by: float, units: Units) -> str:
    if abs(by) < _AS_LABELLED:
        return _AS_SAID[measure]
    return _WORDS[measure][by < 0].format(length_text(abs(by), units))
