"""A size guide: each cell is what the choice says of feet that read so."""

from __future__ import annotations

from fractions import Fraction

import pytest

from heelball.errors import InputError
from heelball.fit.answers import Choice
from heelball.fit.known_run import KnownRun
from heelball.fit.size_guide import Cell, SizeGuide, size_guide
from heelball.last.values import Label, Last
from heelball.learn.one_more import belief_of
from tests.fittings import alike, chosen, last, wearer, written

SMALL = last(9, 10, 0, widths="C D E")


@pytest.fixture(scope="module")
def guide() -> SizeGuide:
    return size_guide(SMALL, "men")


def cell(guide: SizeGuide, ball: str, letter: str) -> Cell:
    row = next(one for one in guide.rows if written(one.ball) == ball)
    return row.cells[guide.letters.index(letter)]


def said(ball: str, letter: str, what: Last = SMALL, length: str | None = None) -> Choice:
    return chosen(wearer(*alike(length or ball, ball, letter, line=ball)), what)


@pytest.mark.parametrize(("ball", "letter"), [("9 1/2", "D"), ("10", "C"), ("10", "E")])
def test_feet_that_read_a_label_take_that_very_label(guide: SizeGuide, ball: str, letter: str) -> None:
    found = cell(guide, ball, letter)
    assert found.order == Label(sum((Fraction(part) for part in ball.split()), Fraction(0)), letter)


def test_each_cell_is_what_is_chosen_for_such_feet(guide: SizeGuide) -> None:
    for row in guide.rows:
        for letter, one in zip(guide.letters, row.cells, strict=True):
            choice = said(written(row.ball), letter)
            hardly = choice.chance < 0.25
            assert one.order == (None if hardly else choice.order)
            assert one.chance == pytest.approx(choice.chance, abs=1e-9)
            near = choice.runner_up is not None and choice.runner_up.loss - choice.loss <= 0.08
            if one.order is None or not near:
                assert one.in_doubt is None
            else:
                assert choice.runner_up is not None
                assert one.in_doubt == choice.runner_up.label


def test_only_readings_that_some_label_serves_have_lines_and_columns(guide: SizeGuide) -> None:
    assert [row.ball for row in guide.rows] == sorted(row.ball for row in guide.rows)
    assert all(any(one.order for one in row.cells) for row in guide.rows)
    for column in (0, -1):
        assert any(row.cells[column].order for row in guide.rows)
    half = Fraction(1, 2)
    for beyond in (guide.rows[0].ball - half, guide.rows[-1].ball + half):
        assert all(said(written(beyond), letter).chance < 0.25 for letter in guide.letters)


def test_feet_well_beyond_the_offer_are_to_be_measured_in_person() -> None:
    few = size_guide(last(9, 10, 0, widths="D"), "men")
    assert all(one.order is None or one.chance >= 0.25 for row in few.rows for one in row.cells)
    assert not any(cell(few, "10", letter).order for letter in few.letters if letter not in "CDE")


def test_the_lengths_of_a_line_keep_each_of_its_orders_or_hardly_lose_by_it(guide: SizeGuide) -> None:
    half = Fraction(1, 2)
    for row in guide.rows:
        assert row.shortest <= row.ball <= row.longest
        orders = {
            letter: one.order for letter, one in zip(guide.letters, row.cells, strict=True) if one.order
        }

        def lost(length: Fraction, ball: Fraction = row.ball, orders: dict[str, Label] = orders) -> float:
            choices = {letter: said(written(ball), letter, length=written(length)) for letter in orders}
            return max(
                next(one.loss for one in choices[letter].labels if one.label == order) - choices[letter].loss
                if choices[letter].order
                else float("inf")
                for letter, order in orders.items()
            )

        assert max(lost(row.shortest), lost(row.longest)) <= 0.08
        if row.longest - row.ball < Fraction(3, 2):
            assert lost(row.longest + half) > 0.08
        if row.ball - row.shortest < Fraction(3, 2):
            assert lost(row.shortest - half) > 0.08


def test_advice_moves_the_table_and_learned_runs_stand_in_its_place() -> None:
    half_down = last(9, 10, -0.5, widths="C D E")
    assert cell(size_guide(half_down, "men"), "10", "D").order == Label(Fraction(19, 2), "D")
    known = {SMALL.code: KnownRun(belief_of(half_down), 12)}
    assert cell(size_guide(SMALL, "men", known), "10", "D").order == Label(Fraction(19, 2), "D")


def test_women_read_the_womens_gauge() -> None:
    hers = last(7, 8, 0, widths="A B C", scale="us-women")
    guide = size_guide(hers, "women")
    assert guide.gauge == "gauge-women"
    assert cell(guide, "7 1/2", "B").order == Label(Fraction(15, 2), "B")


def test_a_childs_last_has_none() -> None:
    with pytest.raises(InputError, match="an adults' scale"):
        size_guide(last(10, 11, widths=None, scale="us-child"), "men")
