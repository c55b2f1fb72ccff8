"""Width letters in the American order, and the quarters between them.

The same letters serve two scales that never mix: breadth on the foot gauge (3/16 in a letter)
and ball girth on a last (1/4 in a letter); see `gauge_breadth` and `last_width`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from heelball.errors import UnreadableText
from heelball.units import quoted

#: One step each, from narrow to wide (S36, S38).
LETTERS: Final = (
    "AAAAA", "AAAA", "AAA", "AA", "A", "B", "C", "D", "E", "EE", "EEE", "EEEE", "EEEEE", "EEEEEE",
)  # fmt: skip

_COUNTED: Final = re.compile(r"([2-6])([AE])", re.ASCII)
_WRITTEN: Final = re.compile(r"([A-E]+|[2-6][AE])\s*(.*)", re.ASCII)
_QUARTERS: Final = {
    "": Fraction(0), "1/4": Fraction(1, 4), "¼": Fraction(1, 4), ".25": Fraction(1, 4),
    "1/2": Fraction(1, 2), "½": Fraction(1, 2), ".5": Fraction(1, 2),
    "3/4": Fraction(3, 4), "¾": Fraction(3, 4), ".75": Fraction(3, 4),
}  # fmt: skip


def letter_index(letter: str) -> int:
    """Return how many letters `letter` stands above D.

    Parameters
    ----------
    letter
        As stamped; ``2E`` is read as ``EE``.

    Raises
    ------
    UnreadableText
        Where it is not a width letter.

    Examples
    --------
    >>> letter_index("D"), letter_index("B"), letter_index("2E")
    (0, -2, 2)
    """
    plain = letter.strip().upper()
    counted = _COUNTED.fullmatch(plain)
    if counted:
        plain = counted[2] * int(counted[1])
    if plain not in LETTERS:
        raise UnreadableText(quoted(letter), f"a width letter, one of {' '.join(LETTERS)}")
    return LETTERS.index(plain) - LETTERS.index("D")


def letter_at(index: int) -> str | None:
    """Return the letter standing `index` above D, or None beyond the ends."""
    place = index + LETTERS.index("D")
    return LETTERS[place] if 0 <= place < len(LETTERS) else None


def parse_letter(text: str) -> tuple[Fraction, Fraction]:
    """Read a letter and the quarters from it toward the next: ``C 3/4``.

    Returns
    -------
    tuple of Fraction
        Letters above D, and the step it was read to: 1/4 where quarters are written, else 1.

    Raises
    ------
    UnreadableText
        Where the letter or the quarter cannot be read.

    Examples
    --------
    >>> parse_letter("C 3/4")
    (Fraction(-1, 4), Fraction(1, 4))
    """
    written = _WRITTEN.fullmatch(text.strip().upper())
    if not written:
        raise UnreadableText(quoted(text), "a width letter such as D, or with quarters C 3/4")
    index = letter_index(written[1])
    quarter = _QUARTERS.get(written[2].strip())
    if quarter is None:
        raise UnreadableText(quoted(text), f"{written[1]} alone or with 1/4, 1/2 or 3/4")
    return index + quarter, Fraction(1, 4) if written[2] else Fraction(1)


def format_letter(position: Fraction | float, *, quarters: bool = True) -> str:
    """Write a position above D as a letter, to the nearest quarter: ``C 3/4``.

    Positions beyond the ends are written ``under AAAAA`` and ``over EEEEEE``.
    """
    fourths = round(Fraction(position) * 4) if quarters else 4 * round(Fraction(position))
    whole, rest = divmod(fourths, 4)
    letter = letter_at(whole)
    if letter is None:
        return f"under {LETTERS[0]}" if whole < 0 else f"over {LETTERS[-1]}"
    return letter + ("", " 1/4", " 1/2", " 3/4")[rest]
