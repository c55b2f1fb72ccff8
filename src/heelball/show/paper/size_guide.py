"""A size guide on paper."""

from __future__ import annotations

from datetime import date as Date

from attrs import asdict

from heelball.show.paper.typesetting import PaperSize, typeset
from heelball.show.size_guide_words import GuideWords


def guide_pdf(words: GuideWords, drawing: str, *, day: Date, paper: PaperSize = "a4") -> bytes:
    """Return a size guide as PDF.

    Parameters
    ----------
    words
        The guide in words.
    drawing
        How the last runs, an ``svg`` element.
    day, paper
        See `typeset`.

    Raises
    ------
    MissingExtra
        Where typst is not installed.
    """
    told = {**asdict(words), "date": day.isoformat(), "drawing": drawing}
    return typeset("size_guide", told, day=day, paper=paper)
