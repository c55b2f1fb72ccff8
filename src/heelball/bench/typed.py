"""What a form holds, for a use case that reads it; and what the use case refuses, beside its field."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Mapping
from datetime import date as Date
from typing import Final

from heelball.bench.forms import Form
from heelball.bench.refusals import Refused
from heelball.errors import InputError
from heelball.show.mark_words import day_text

#: More than any row was ever written.
_GREATEST: Final = 2**31 - 1
_MOST_DIGITS: Final = len(str(_GREATEST))


def typed(form: Form) -> dict[str, str]:
    """Return what was typed, by field."""
    return {name: form.text(name) for name in form.values}


def blank_beside(values: Mapping[str, str]) -> Mapping[str, str]:
    """Return values for a fresh form; a field that none is known of is empty."""
    return defaultdict(str, values)


def day_of(text: str | None) -> str:
    """Return a kept day or time as a ledger writes the day; empty where there is none."""
    return day_text(Date.fromisoformat(text[:10])) if text else ""


def number_in(form: Form, name: str) -> int:
    """Return a whole number that the page itself put into the form: a version, or a change.

    Raises
    ------
    Refused
        Where it is none, as no page of ours sends it.
    """
    text = form.text(name)
    if not (text.isascii() and text.isdigit()) or len(text) > _MOST_DIGITS or int(text) > _GREATEST:
        raise Refused(422, "This form does not say what it was opened on.", "Load the page again.")
    return int(text)


def beside_fields(form: Form, wrong: InputError, fields: Container[str], otherwise: str) -> None:
    """Put each problem beside its field; what is about none of them beside `otherwise`."""
    for problem in wrong.problems:
        place = problem.place if problem.place in fields else otherwise
        form.wrong(place, problem.found, problem.wanted)
