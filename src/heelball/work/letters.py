"""Letters to makers at the bench: drafted from lasts, edited as text, sent, answered; never of a person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date as Date
from typing import Any, Final, Literal

from attrs import frozen

from heelball.errors import InputError, Problem
from heelball.records import lasts, letters, makers
from heelball.records.store import Records
from heelball.records.values import Author, KeptLast, Letter, Maker
from heelball.show.letter import publishes_nothing, worth_text
from heelball.work.csv_text import csv_text
from heelball.work.evidence_form import read_day_typed
from heelball.work.keeping import core_last
from heelball.work.letter_text import check_text, draft_text, worth_of
from heelball.work.what_was_done import Done, history_of, take_back

#: Nobody answers for more lasts than this at once.
MOST_ASKED: Final = 60

#: What a fitter edits of a letter.
_EDITED: Final = ("text", "note")

#: What can be done to a letter that is there.
Step = Literal["sent", "answered", "dropped"]


@frozen
class ListedLetter:
    """A letter in a list: whom it goes to, and for how many days it has been waiting."""

    letter: Letter
    maker: Maker
    waiting_days: int | None


@frozen
class MakerToAsk:
    """A maker with lasts that publish nothing and that no letter asks about yet."""

    maker: Maker
    lasts: tuple[KeptLast, ...]


@frozen
class LettersPage:
    """All letters by how far they have come, and who could be written to."""

    drafts: tuple[ListedLetter, ...]
    waiting: tuple[ListedLetter, ...]
    answered: tuple[ListedLetter, ...]
    dropped: tuple[ListedLetter, ...]
    to_ask: tuple[MakerToAsk, ...]


@frozen
class LetterPage:
    """One letter: maker, lasts it asks about that are still kept, history, and what answers are worth."""

    letter: Letter
    maker: Maker
    lasts: tuple[KeptLast, ...]
    history: tuple[Done, ...]
    worth: str


def letters_page(records: Records, today: Date) -> LettersPage:
    """Return all letters, and the makers whose lasts publish nothing."""
    with records.reading() as conn:
        known = {maker.id: maker for maker in makers.list_makers(conn)}
        written = letters.list_letters(conn)
        offered = lasts.list_lasts(conn, retired=False)
    listed = [ListedLetter(one, known[one.maker_id], _waiting(one, today)) for one in written]

    def of_state(state: str) -> tuple[ListedLetter, ...]:
        return tuple(one for one in listed if one.letter.state == state)

    asked = {(one.maker_id, code) for one in written if one.state in ("draft", "sent") for code in one.about}
    to_ask: dict[str, list[KeptLast]] = {}
    for last in offered:
        if (last.maker_id, last.code) not in asked and publishes_nothing(core_last(last)):
            to_ask.setdefault(last.maker_id, []).append(last)
    return LettersPage(
        of_state("draft"),
        of_state("sent"),
        tuple(reversed(of_state("answered"))),
        of_state("dropped"),
        tuple(MakerToAsk(known[maker_id], tuple(silent)) for maker_id, silent in to_ask.items()),
    )


def letters_csv(records: Records) -> str:
    """Return all letters as CSV, without their texts: to whom, about what, and how far they have come."""
    with records.reading() as conn:
        known = {maker.id: maker.name for maker in makers.list_makers(conn)}
        written = letters.list_letters(conn)
    rows = (
        [
            known[one.maker_id],
            ", ".join(one.about),
            one.state,
            one.drafted_at[:10],
            one.sent_on,
            one.answered_on,
        ]
        for one in written
    )
    return csv_text(["maker", "about", "state", "drafted", "sent", "answered"], rows)


def letter_page(records: Records, letter_id: str) -> LetterPage:
    """Return one letter with what it is about.

    Raises
    ------
    NotFound
        Where there is none.
    """
    with records.reading() as conn:
        letter = letters.find_letter(conn, letter_id)
        about = [last for code in letter.about if (last := lasts.find_by_code(conn, code)) is not None]
        maker = makers.find_maker(conn, letter.maker_id)
        history = history_of(conn, [("letters", letter_id)])
        # Only while it can still be asked otherwise.
        worth = worth_text(worth_of(conn, about)) if letter.state == "draft" and about else ""
    return LetterPage(letter, maker, tuple(about), history, worth)


def list_letters(records: Records, maker_id: str | None = None) -> list[Letter]:
    """Return all letters, or those to one maker, the longest waiting first."""
    with records.reading() as conn:
        return letters.list_letters(conn, maker_id=maker_id)


def draft_question(records: Records, maker_id: str, last_ids: Sequence[str], by: Author) -> Letter:
    """Draft the question to a maker about some of its lasts.

    Raises
    ------
    InputError
        Where no last is named, or too many are, or one is another maker's.
    NotFound
        Where the maker or a last is not kept.
    """
    if not last_ids:
        raise InputError.at("last", "no last", "at least one to ask about")
    if len(set(last_ids)) > MOST_ASKED:
        raise InputError.at("last", f"{len(set(last_ids))} lasts", f"{MOST_ASKED} at most in one letter")
    with records.reading() as conn:
        maker = makers.find_maker(conn, maker_id)
        about = [lasts.find_last(conn, last_id) for last_id in dict.fromkeys(last_ids)]
        # Worked out before anything is written, for it takes a moment in which others may write.
        worth = worth_of(conn, about)
    strange = [last.code for last in about if last.maker_id != maker_id]
    if strange:
        raise InputError.at("last", f"{', '.join(strange)} of another maker", f"lasts by {maker.name}")
    text = draft_text(maker, about, worth)
    with records.writing() as conn:
        return letters.add_letter(conn, maker_id, about=[last.code for last in about], text=text, by=by)


def edit_letter(records: Records, letter_id: str, seen: int, typed: Mapping[str, str], by: Author) -> Letter:
    """Change the text of a draft, or the note of any letter.

    Parameters
    ----------
    typed
        ``text``, ``note``; what is missing stays as it is.

    Raises
    ------
    InputError
        Where the text is empty or too long, names a kept wearer, or is out already.
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    changes = {name: _plain(typed[name]) for name in _EDITED if name in typed}
    with records.writing() as conn:
        letter = letters.find_letter(conn, letter_id)
        if changes.get("text", letter.text) != letter.text:
            check_text(conn, letter, changes["text"])
        return letters.change_letter(conn, letter_id, seen, changes, by=by)


def move_letter(
    records: Records, letter_id: str, seen: int, step: Step, typed: Mapping[str, str], by: Author
) -> Letter:
    """Mark a letter as sent or answered on a day, or drop it.

    Parameters
    ----------
    typed
        ``on``: the day, ``YYYY-MM-DD``; not for a letter that is dropped. ``text`` and ``note``
        where they were edited on the way.

    Raises
    ------
    InputError
        Where the day is missing or cannot be, or the text names a kept wearer; places are
        ``on`` and ``text``.
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    problems: list[Problem] = []
    on = read_day_typed(typed, "on", by.at.date(), problems)
    if on is None and not problems and step != "dropped":
        problems.append(Problem("on", "nothing", f"the day it was {step}, such as {by.at.date()}"))
    if problems:
        raise InputError(problems)
    changes: dict[str, Any] = {"state": step}
    changes |= {name: _plain(typed[name]) for name in _EDITED if name in typed}
    if step != "dropped":
        changes[f"{step}_on"] = on
    with records.writing() as conn:
        letter = letters.find_letter(conn, letter_id)
        if step == "sent":
            check_text(conn, letter, changes.get("text", letter.text))
        try:
            return letters.change_letter(conn, letter_id, seen, changes, by=by)
        except InputError as wrong:
            # The form has one day: that of the step.
            raise InputError(
                Problem("text" if one.place == "text" else "on", one.found, one.wanted)
                for one in wrong.problems
            ) from None


def undo_at_letter(records: Records, letter_id: str, change_id: int, by: Author) -> bool:
    """Take back a change to a letter; return whether it is still there."""
    with records.writing() as conn:
        return take_back(conn, change_id, [("letters", letter_id)], by).after is not None


def letter_to_hand_over(records: Records, letter_id: str) -> Letter:
    """Return a letter whose text names nobody, to be printed or sent.

    Raises
    ------
    InputError
        Where the text names a kept wearer.
    NotFound
        Where there is no such letter.
    """
    with records.reading() as conn:
        letter = letters.find_letter(conn, letter_id)
        check_text(conn, letter, letter.text)
        return letter


def _plain(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


def _waiting(letter: Letter, today: Date) -> int | None:
    if letter.state != "sent" or letter.sent_on is None:
        return None
    return (today - Date.fromisoformat(letter.sent_on)).days
