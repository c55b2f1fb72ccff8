"""The day in the boot as a form asks it: each part with its share in per cent, sock, swelling and insole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.fit.wearer import SWELLINGS
from heelball.units import format_mm, parse_length, parse_number
from heelball.work.fields import ask_which, shown, written
from heelball.work.wearer_file import SIGNS, parse_sock

#: Parts of a day that the form has room for.
PARTS: Final = 4

#: How far shares may be from a whole day, as in a wearer file [per cent].
_WITHIN: Final = 0.1 + 1e-9
_THICKEST: Final = 20

#: The signs, as a wearer is asked about them; the urgent one first.
SIGN_WORDS: Final[Mapping[str, str]] = {
    "urgent": (
        "a wound with fever, black or cold skin, a hot red swollen foot, sudden loss of feeling, an injury"
    ),
    "diabetes": "diabetes",
    "numbness": "numbness or tingling",
    "wound": "an open or past wound",
    "circulation": "poor circulation",
    "deformity": "a foot out of shape",
    "orthosis": "an orthosis of their own",
    "changed": "a foot that has changed: pregnancy, growth, an injury that has healed",
}


def day_fields(day: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Return the parts of a kept day by the names of the form's fields.

    Examples
    --------
    >>> day_fields([{"name": "evening", "share": 0.25, "sock": "thick"}])["share_1"]
    '25'
    """
    fields: dict[str, str] = {}
    for number, part in enumerate(day, start=1):
        fields |= {
            f"name_{number}": str(part.get("name", "")),
            f"share_{number}": f"{100 * float(part['share']):.6g}",
            f"sock_{number}": written(part.get("sock", "medium")) or "medium",
            f"swelling_{number}": str(part.get("swelling", "ordinary")),
            f"insole_{number}": format_mm(float(part.get("insole_mm") or 0)),
        }
    return fields


def read_parts(typed: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return the parts of the day that were typed; a part without a name and a share is none.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    problems: list[Problem] = []
    parts: list[dict[str, Any]] = []
    total = 0.0
    for number in range(1, PARTS + 1):
        name, share = typed.get(f"name_{number}", ""), typed.get(f"share_{number}", "")
        if not name and not share:
            continue
        if not name:
            problems.append(Problem(f"name_{number}", "no name", "what to call this part of the day"))
        elif any(part["name"] == name for part in parts):
            problems.append(Problem(f"name_{number}", f"{shown(name)} twice", "a name of its own"))
        per_cent = _per_cent(share, f"share_{number}", problems)
        total += per_cent
        part = {"name": name, "share": per_cent / 100, "swelling": typed.get(f"swelling_{number}", "")}
        part["sock"] = _sock(typed.get(f"sock_{number}", ""), f"sock_{number}", problems)
        part["insole_mm"] = _insole(typed.get(f"insole_{number}", ""), f"insole_{number}", problems)
        if part["swelling"] not in SWELLINGS:
            problems.append(Problem(f"swelling_{number}", "nothing that is listed", "one of those listed"))
        parts.append(part)
    if parts and not problems and abs(total - 100) > _WITHIN:
        last = max(n for n in range(1, PARTS + 1) if typed.get(f"share_{n}"))
        problems.append(Problem(f"share_{last}", f"the shares come to {total:g} per cent", "100 in all"))
    if problems:
        raise InputError(problems)
    return parts


def _per_cent(text: str, place: str, problems: list[Problem]) -> float:
    try:
        ask_which(text)
        share = float(parse_number(text.removesuffix("%")))
    except UnreadableText as refused:
        problems.append(refused.at(place))
        return 0.0
    if not 0 < share <= 100:
        problems.append(Problem(place, f"{text} per cent", "more than 0 and at most 100"))
    return share


def _sock(text: str, place: str, problems: list[Problem]) -> str:
    try:
        parse_sock(text)
    except UnreadableText as refused:
        problems.append(refused.at(place))
    return text


def _insole(text: str, place: str, problems: list[Problem]) -> float:
    if not text:
        return 0.0
    try:
        ask_which(text)
        thickness = float(parse_length(text, "mm"))
    except UnreadableText as refused:
        problems.append(refused.at(place))
        return 0.0
    if thickness > _THICKEST:
        problems.append(Problem(place, f"{text} mm", f"0 to {_THICKEST} mm"))
    return thickness


def read_signs_form(typed: Mapping[str, str]) -> dict[str, Any]:
    """Return the signs that were ticked, and for how many weeks a foot has hurt.

    Raises
    ------
    InputError
        Where the weeks cannot be read; the place is the field's name.
    """
    signs: dict[str, Any] = {name: True for name in SIGNS if typed.get(name) == "yes"}
    text = typed.get("pain_weeks", "")
    if text:
        try:
            weeks = float(parse_number(text))
        except UnreadableText as refused:
            raise InputError([refused.at("pain_weeks")]) from None
        if weeks > 5000:
            raise InputError.at("pain_weeks", f"{text} weeks", "0 to 5000")
        signs |= {"pain_weeks": weeks} if weeks else {}
    return signs
