"""A reading's mark as it stands in a table: what was read, with its line or its unit."""

from __future__ import annotations

from datetime import date as Date
from datetime import datetime

from heelball.foot.reading import Reading
from heelball.units import MILLIMETRES

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov", "Dec")


def mark_text(reading: Reading) -> str:
    """Return a mark in few words.

    Examples
    --------
    >>> mark_text(Reading("right", "breadth", "gauge-men", "C 3/4", "10 1/2"))
    'C 3/4 at line 10 1/2'
    >>> mark_text(Reading("right", "girth", "mm", "248"))
    '248 mm'
    """
    if reading.scale in MILLIMETRES:
        return f"{reading.value} {reading.scale}"
    return reading.value if reading.line is None else f"{reading.value} at line {reading.line}"


def line_question(letter: Reading, ball: Reading) -> str:
    """Return the question about a letter whose line is far from its foot's ball size.

    Examples
    --------
    >>> ball = Reading("right", "ball", "gauge-men", "10")
    >>> line_question(Reading("right", "breadth", "gauge-men", "C", "14"), ball)
    'Was the right breadth C read at line 14? The ball size of that foot is 10.'
    """
    return (
        f"Was the {letter.foot} breadth {letter.value} read at line {letter.line}?"
        f" The ball size of that foot is {ball.value}."
    )


def day_text(day: Date) -> str:
    """Return a day as a ledger writes it.

    Examples
    --------
    >>> day_text(Date(2026, 5, 3))
    '3 May 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def time_text(at: datetime) -> str:
    """Return a time of day as a ledger writes it.

    Examples
    --------
    >>> time_text(datetime(2026, 5, 3, 17, 30))
    '17:30'
    """
    return f"{at:%H:%M}"
