"""Typesetting by typst: a template of ours, data passed as JSON, so that markup in a name is only text."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import date as Date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from heelball.errors import InternalFault, MissingExtra

if TYPE_CHECKING:
    from types import ModuleType

PaperSize = Literal["a4", "letter"]

#: Stands for a sign that no face shipped with the typesetter has.
UNKNOWN_SIGN: Final = "?"

_TEMPLATES: Final = Path(__file__).parent
_PAPERS: Final[dict[PaperSize, str]] = {"a4": "a4", "letter": "us-letter"}

# An archival file that can be listened to. Of the first the standard asks that every sign has its
# form in a font that is within, so that none is missing in silence.
_STANDARDS: Final = ["a-2a", "ua-1"]
_NO_FORM: Final = "could not be displayed"

# Scripts whose letters the faces within typst have; of others it may have some.
_SCRIPTS: Final = ("LATIN ", "GREEK ", "CYRILLIC ", "HEBREW LETTER", "ARABIC LETTER", "COMBINING ")
_PLAIN: Final = re.compile("[ -~\u00a0-\u017f\u2013\u2014\u2018-\u201e\u2026\u2212]")
# Controls and what is no sign at all; of these, marks that turn the direction of writing go without a trace.
_NO_SIGN: Final = ("Cc", "Cf", "Co", "Cn", "Cs")


def typeset(template: str, told: Mapping[str, Any], *, day: Date, paper: PaperSize) -> bytes:
    """Return a PDF; the same values give the same bytes.

    Fonts are those within typst, embedded; nothing of the system or the network is used. Signs
    that these fonts lack are shown as ``?``.

    Parameters
    ----------
    template
        Name of a template beside this file, without its ending.
    told
        What the template shows: text, numbers, lists and mappings.
    day
        The day on the paper, and of the file.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    MissingExtra
        Where typst is not installed.
    InternalFault
        Where the template cannot be set.
    """
    typst = _typst()
    data = {**told, "paper": _PAPERS[paper], "day": [day.year, day.month, day.day]}
    refused = ""
    for sign in (_printable, _common, _plain):
        try:
            pdf: bytes = typst.compile(
                _TEMPLATES / f"{template}.typ",
                root=_TEMPLATES,
                ignore_system_fonts=True,
                sys_inputs={"told": json.dumps(_each(data, sign))},
                pdf_standards=_STANDARDS,
                timestamp=0,
            )
        except typst.TypstError as error:
            refused = str(error)
            if _NO_FORM not in refused:
                break
        else:
            return pdf
    raise InternalFault(f"The page {template!r} cannot be set: {refused}")


def _typst() -> ModuleType:
    try:
        import typst
    except ImportError:
        raise MissingExtra("typst", "bench") from None
    return typst


def _each(told: Any, sign: Callable[[str], str]) -> Any:
    """Return the data with every sign of every text passed through `sign`."""
    if isinstance(told, str):
        return "".join(map(sign, told))
    if isinstance(told, Mapping):
        return {key: _each(value, sign) for key, value in told.items()}
    if isinstance(told, (list, tuple)):
        return [_each(value, sign) for value in told]
    return told


def _printable(sign: str) -> str:
    kind = unicodedata.category(sign)
    if sign == "\n" or kind not in _NO_SIGN:
        return sign
    return "" if kind == "Cf" else UNKNOWN_SIGN


def _common(sign: str) -> str:
    """Return a sign of a script that the faces are known to have, and the figures and points beside it."""
    if _plain(sign) == sign or unicodedata.name(sign, "").startswith(_SCRIPTS):
        return sign
    return UNKNOWN_SIGN


def _plain(sign: str) -> str:
    return sign if sign == "\n" or _PLAIN.match(sign) else UNKNOWN_SIGN
