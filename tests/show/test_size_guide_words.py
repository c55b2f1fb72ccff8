"""The words of a size guide: sure and unsure cells, what is read aloud, how the run is known."""

from __future__ import annotations

from datetime import date as Date
from fractions import Fraction

from heelball.fit.size_guide import Cell, Row, SizeGuide
from heelball.last.values import Label
from heelball.show.size_guide_words import GuideWords, guide_words
from tests.fittings import last

DAY = Date(2026, 3, 14)
RUNS = [(5.6, 1.3), (3.7, 1.1), (0.0, 1.0), (0.0, 2.4), (0.0, 2.4)]
NINE, HALF, TEN = (Label(Fraction(half, 2), "D") for half in (18, 19, 20))


def words(*cells: Cell, advice: float = 0, pairs: int | None = None) -> GuideWords:
    row = Row(Fraction(19, 2), cells, Fraction(9), Fraction(10))
    guide = SizeGuide(last(9, 10, advice, widths="D"), "men", "gauge-men", ("C", "D", "E"), (row,))
    return guide_words(guide, RUNS, pairs=pairs, day=DAY)


def test_a_cell_says_how_sure_it_is() -> None:
    said = words(Cell(None, 0.2, None), Cell(HALF, 0.6, NINE), Cell(TEN, 0.49, None))
    assert said.rows == (("9 1/2", "–", "9 1/2 D or 9 D", "10 D ?", "9 to 10"),)
    for must in ("A question mark", "A dash", "±"):
        assert must in said.doubt


def test_the_likeliest_cell_is_read_aloud() -> None:
    said = words(Cell(NINE, 0.4, None), Cell(HALF, 0.6, None), Cell(TEN, 0.5, None))
    assert said.example.startswith("If you read ball 9 1/2 and breadth D, order 9 1/2 D:")
    assert "60 %" in said.example


def test_how_the_run_is_known_and_who_is_to_be_measured() -> None:
    said = words(*[Cell(HALF, 0.6, None)] * 3, pairs=14)
    assert "14 pairs" in said.known
    assert "2026-03-14" in said.known
    assert any("diabetes" in one and "doctor" in one for one in said.who)
    assert any("not medical advice" in one for one in said.cannot)
    assert len(said.runs) == 5
