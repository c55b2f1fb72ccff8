"""A size guide for one last: what to order for each ball size and breadth read on the foot gauge."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final, Literal

from attrs import frozen

from heelball.fit.answers import Choice
from heelball.fit.choice import feet_of
from heelball.fit.composing import Composing
from heelball.fit.known_run import KnownRun
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import Wearer
from heelball.foot.reading import Reading, ReadingOf
from heelball.foot.vector import FEET
from heelball.last.built_for import ONE_SIZE, nominal_length
from heelball.last.values import Label, Last
from heelball.package_data import defaults
from heelball.scales.catalogue import GAUGE_OF, size_scale
from heelball.scales.letters import format_letter
from heelball.units import format_fraction

Sex = Literal["men", "women"]

#: Letters a guide has columns for, by their place above D: B is -2.
_LETTERS: Final = range(-4, 6)

#: Readings beyond the offer that are tried, and how far a length may lie from its ball size [sizes].
_BEYOND: Final = Fraction(3, 2)

_HALF: Final = Fraction(1, 2)


@frozen
class Cell:
    """What to order for one pair of readings.

    Parameters
    ----------
    order
        The label; None where none serves, or hardly.
    chance
        That all is right all over with the label of least loss.
    in_doubt
        Another label whose loss is hardly more; None where there is none.
    """

    order: Label | None
    chance: float
    in_doubt: Label | None


@frozen
class Row:
    """One ball size: a cell for each letter, and over which length readings its orders hold.

    Parameters
    ----------
    ball
        The reading on the gauge.
    cells
        In the order of the guide's letters.
    shortest, longest
        Length readings from and to which each cell's order stays the best, or hardly worse than it.
    """

    ball: Fraction
    cells: tuple[Cell, ...]
    shortest: Fraction
    longest: Fraction


@frozen
class SizeGuide:
    """A guide for one last and one population.

    Parameters
    ----------
    last
        The last.
    sex, gauge
        For whom, and the scale of the gauge that is read.
    letters
        Breadth letters, a column each.
    rows
        By ball size, rising.
    """

    last: Last
    sex: Sex
    gauge: str
    letters: tuple[str, ...]
    rows: tuple[Row, ...]


def size_guide(last: Last, sex: Sex, known: Mapping[str, KnownRun] | None = None) -> SizeGuide:
    """Return the guide of a last: every reading for which some label of it serves.

    Both feet are taken to read alike, standing, in an ordinary day; the length to read as the ball.

    Parameters
    ----------
    last
        With everything known of it.
    sex
        For whom; the population of its label scale, or either where that is for all adults.
    known
        Runs learned from try-ons, by the last's code.

    Raises
    ------
    InputError
        Where the last is numbered on a child's scale.
    """
    shelves = Shelves([last], known)
    gauge = size_scale(GAUGE_OF[sex])
    lengths = [nominal_length(label.size, last.label_scale) for label in last.labels]
    zero = float(gauge.foot_length(Fraction(0)))
    low = _half((min(lengths) - zero) / ONE_SIZE) - _BEYOND
    high = _half((max(lengths) - zero) / ONE_SIZE) + _BEYOND
    letters = [format_letter(Fraction(letter), quarters=False) for letter in _LETTERS]
    sizes = [low + _HALF * i for i in range(int((high - low) / _HALF) + 1)]
    sizes = [size for size in sizes if size > 0]
    table = [[_cell(shelves, _wearer(sex, size, size, letter)) for letter in letters] for size in sizes]
    columns = [j for j in range(len(letters)) if any(row[j].order for row in table)]
    some = range(columns[0], columns[-1] + 1) if columns else range(0)
    rows = []
    for size, cells in zip(sizes, table, strict=True):
        kept = tuple(cells[j] for j in some)
        orders = {
            letter: cell.order
            for letter, cell in zip(letters[some.start : some.stop], kept, strict=True)
            if cell.order
        }
        if orders:
            rows.append(Row(size, kept, *_lengths(shelves, sex, size, orders)))
    return SizeGuide(last, sex, GAUGE_OF[sex], tuple(letters[j] for j in some), tuple(rows))


def _half(sizes: float) -> Fraction:
    return Fraction(round(2 * sizes), 2)


def _lengths(
    shelves: Shelves, sex: Sex, ball: Fraction, orders: Mapping[str, Label]
) -> tuple[Fraction, Fraction]:
    """Return the ends of the unbroken stretch of lengths, about the ball size, that keeps all orders."""

    def end(step: Fraction) -> Fraction:
        length = ball
        while abs(length + step - ball) <= _BEYOND and length + step > 0:
            if not all(
                _keeps(_choice(shelves, _wearer(sex, ball, length + step, letter)), order)
                for letter, order in orders.items()
            ):
                break
            length += step
        return length

    return end(-_HALF), end(_HALF)


def _keeps(choice: Choice, order: Label) -> bool:
    """Return whether an order is still the best, or hardly worse than it."""
    loss = next(one.loss for one in choice.labels if one.label == order)
    return choice.order is not None and loss - choice.loss <= _named("in_doubt")


def _wearer(sex: Sex, ball: Fraction, length: Fraction, letter: str) -> Wearer:
    read: tuple[tuple[ReadingOf, str, str | None], ...] = (
        ("length", format_fraction(length), None),
        ("ball", format_fraction(ball), None),
        ("breadth", letter, format_fraction(ball)),
    )
    return Wearer(
        "guide",
        sex,
        tuple(Reading(foot, what, GAUGE_OF[sex], value, line) for foot in FEET for what, value, line in read),
    )


def _cell(shelves: Shelves, wearer: Wearer) -> Cell:
    choice = _choice(shelves, wearer)
    order = choice.order if choice.chance >= _named("least") else None
    other = choice.runner_up
    near = order is not None and other is not None and other.loss - choice.loss <= _named("in_doubt")
    return Cell(order, choice.chance, other.label if near and other is not None else None)


def _choice(shelves: Shelves, wearer: Wearer) -> Choice:
    """Return what `answer` chooses from the one last, without the search for slips of the gauge."""
    composing = Composing.of(wearer, feet_of(wearer), ())
    chunks = shelves.chunks(wearer.population)
    (found,) = (
        choice
        for shelf, ranking in composing.ranked(chunks, detailed=False)
        for choice in composing.choices(shelf, ranking, detailed=False)
    )
    return found


def _named(name: str) -> float:
    return float(defaults()["guide"][name])
