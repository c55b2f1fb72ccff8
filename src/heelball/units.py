"""The door for numbers and lengths: what people write becomes exact fractions and millimetres.

Inside Heelball every length is a bare float in mm; text is read and written only here.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import ceil, floor
from typing import Final

from heelball.errors import UnreadableText

#: Millimetres in one of each unit a length may be written in (exact by definition of the inch).
MILLIMETRES: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
}

_VULGAR: Final = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
# Blanks on both sides, so that a digit behind a fraction sign never joins its denominator. The
# fraction slash and the two unbreakable blanks come with text copied from a page.
_WRITTEN_AS: Final = {sign: f" {fraction} " for sign, fraction in _VULGAR.items()} | {
    "\N{FRACTION SLASH}": "/",
    "\N{NO-BREAK SPACE}": " ",
    "\N{NARROW NO-BREAK SPACE}": " ",
}
_MIXED: Final = re.compile(r"(?:(\d{1,6})(?:\s+|-))?(\d{1,3})/(\d{1,3})", re.ASCII)
_DECIMAL: Final = re.compile(r"\d{1,6}(?:[.,]\d{1,20})?|[.,]\d{1,20}", re.ASCII)
_THOUSANDS: Final = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)

#: So much of an unreadable text is shown in a sentence about it.
_SHOWN: Final = 40


def quoted(text: str) -> str:
    """Return `text` in quotation marks, cut where it is too long for a sentence.

    Examples
    --------
    >>> quoted("10 kg")
    "'10 kg'"
    """
    return repr(text) if len(text) <= _SHOWN else f"{text[:_SHOWN]!r}..."


def parse_number(text: str) -> Fraction:
    """Read a number as the trade writes it: ``10``, ``10 1/2``, ``10½``, ``10.5`` or ``10,5``.

    Parameters
    ----------
    text
        What was written; surrounding blanks do not count.

    Returns
    -------
    Fraction
        The exact value, zero or more.

    Raises
    ------
    UnreadableText
        Where the text is not a number, is negative, or has a comma that could stand for
        thousands as well as for decimals.

    Examples
    --------
    >>> parse_number("10 1/2")
    Fraction(21, 2)
    >>> parse_number("24,8")
    Fraction(124, 5)
    """
    plain = text.strip()
    for sign, written in _WRITTEN_AS.items():
        plain = plain.replace(sign, written)
    plain = plain.strip()
    if _THOUSANDS.fullmatch(plain):
        raise UnreadableText(
            f"{text!r} could be thousands or decimals",
            f"{plain.replace(',', '.')} or {plain.replace(',', '')}",
        )
    if _DECIMAL.fullmatch(plain):
        return Fraction(plain.replace(",", "."))
    mixed = _MIXED.fullmatch(plain)
    if mixed and int(mixed[3]) != 0 and int(mixed[2]) < int(mixed[3]):
        return Fraction(int(mixed[1] or 0)) + Fraction(int(mixed[2]), int(mixed[3]))
    raise UnreadableText(quoted(text), "a number such as 10, 10 1/2 or 10.5")


def parse_length(text: str, unit: str) -> Fraction:
    """Read a length written in `unit` and return it in mm, exactly.

    Parameters
    ----------
    text
        The number; the unit's own name may follow it.
    unit
        ``mm``, ``cm`` or ``in``.

    Returns
    -------
    Fraction
        The length [mm].

    Raises
    ------
    UnreadableText
        Where the number cannot be read, or another unit is written behind it.

    Examples
    --------
    >>> parse_length("10 5/8", "in")
    Fraction(2159, 8)
    """
    plain = text.strip()
    written = plain.removesuffix(unit).rstrip()
    try:
        return parse_number(written) * MILLIMETRES[unit]
    except UnreadableText:
        if _THOUSANDS.fullmatch(written):
            raise
        raise UnreadableText(quoted(text), f"a length in {_NAMED[unit]}, such as {_EXAMPLES[unit]}") from None


_EXAMPLES: Final = {"mm": "271", "cm": "27.1", "in": "10 5/8"}
_NAMED: Final = {"mm": "mm", "cm": "cm", "in": "inches"}


def range_text(low: int, high: int, unit: str) -> str:
    """Write what lengths [mm] are taken, in inches for whoever writes inches: no further than the ends.

    Examples
    --------
    >>> range_text(80, 400, "cm")
    '80 to 400 mm'
    >>> range_text(80, 400, "in")
    '3.2 to 15.7 inches'
    """
    if unit != "in":
        return f"{low} to {high} mm"
    tenth = MILLIMETRES["in"] / 10
    return f"{ceil(low / tenth) / 10:g} to {floor(high / tenth) / 10:g} inches"


def format_fraction(value: Fraction) -> str:
    """Write a number with its fraction as on a label, in ASCII: ``10 1/2``.

    Examples
    --------
    >>> format_fraction(Fraction(21, 2))
    '10 1/2'
    """
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    if rest == 0:
        return f"{sign}{whole}"
    part = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def format_mm(value: float) -> str:
    """Write a length in mm as a fitter reads it: one decimal, none where it would be zero.

    Examples
    --------
    >>> format_mm(4.04), format_mm(12.5)
    ('4', '12.5')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text
