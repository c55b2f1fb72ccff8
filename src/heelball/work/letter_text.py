"""What a letter to a maker says: drafted from lasts, and never naming anyone who is kept as a wearer."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.learn.question import IN_ANY_ORDER, Question, worth_asking, worth_of_all
from heelball.records import lasts, makers, wearers
from heelball.records.found import folded
from heelball.records.values import KeptLast, Letter, Maker
from heelball.scales.catalogue import size_scale
from heelball.show.letter import letter_text
from heelball.units import quoted
from heelball.work.keeping import core_last
from heelball.work.runs_kept import known_runs

#: A letter is no book [characters]: some pages, which a question about sixty lasts fills.
LONGEST_TEXT: Final = 20_000

#: What is put behind a name to tell whose something is.
_OWNED: Final = re.compile(r"['\N{RIGHT SINGLE QUOTATION MARK}]s\b", re.IGNORECASE)


def draft_text(maker: Maker, about: Sequence[KeptLast], worth: Sequence[Question]) -> str:
    """Return the first draft of the question to a maker, under its address where that is known."""
    text = letter_text(maker.name, [core_last(last) for last in about], worth)
    address = maker.address.replace("\r\n", "\n").strip()
    return f"{maker.name}\n{address}\n\n{text}" if address else text


def worth_of(conn: Connection, about: Sequence[KeptLast]) -> tuple[Question, ...]:
    """Return what each answer about some lasts is worth by the runs in force; children's are not judged."""
    told = [core_last(last) for last in about]
    judged = [last for last in told if size_scale(last.label_scale).population != "child"]
    return (
        worth_of_all(judged, partial(worth_asking, known=known_runs(conn, judged)))
        if judged
        else IN_ANY_ORDER
    )


def check_text(conn: Connection, letter: Letter, text: str) -> None:
    """Refuse a text that is no letter, or that names a kept wearer.

    Parameters
    ----------
    letter
        Whose text it is to be: what its draft says of its lasts cannot mean a person.
    text
        As it is to be kept, sent or handed over.

    Raises
    ------
    InputError
        At ``text``: where it is empty, too long, or names a wearer by name or code.
    """
    if not text:
        raise InputError.at("text", "nothing", "the letter")
    if len(text) > LONGEST_TEXT:
        raise InputError.at("text", f"{len(text)} characters", f"{LONGEST_TEXT} at most")
    about = [last for code in letter.about if (last := lasts.find_by_code(conn, code)) is not None]
    named = list(
        _named(conn, text, draft_text(makers.find_maker(conn, letter.maker_id), about, IN_ANY_ORDER))
    )
    if named:
        found = f"it names {quoted(named[0])}, who is kept here as a wearer"
        raise InputError.at("text", found, "a letter about lasts, never about a person")


def _named(conn: Connection, text: str, draft: str) -> Iterator[str]:
    """Yield the names and codes of wearers that stand in a text as whole words.

    What stands in the draft as often is a last's or a maker's name, or a plain word of the
    letter: it cannot mean a person, since drafts are made of lasts alone.
    """
    wanted, drafted = (f" {folded(_OWNED.sub('', one))} " for one in (text, draft))
    for wearer in wearers.list_wearers(conn):
        for name in (wearer.name, wearer.code):
            plain = folded(name)
            if plain and _times(plain, wanted) > _times(plain, drafted):
                yield name


def _times(words: str, text: str) -> int:
    """Return how often words stand in a text, whole; neighbours may share the blank between them."""
    return text.replace(" ", "  ").count(f" {words.replace(' ', '  ')} ")
