"""What a wearer tells of how a pair fits, read from what was written: unknown stays unknown."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from fractions import Fraction
from typing import Final, TypeVar

from attrs import frozen

from heelball.errors import InputError, Problem, UnreadableText
from heelball.fit.wearer import PLACES, SWELLINGS, VERDICTS, Place, Swelling, Verdict
from heelball.foot.vector import FEET, Foot
from heelball.records.values import KeptPair
from heelball.show.try_on_words import care_texts, mentioned
from heelball.units import parse_number, quoted
from heelball.work.fields import ask_which
from heelball.work.wearer_file import parse_sock

W = TypeVar("W", bound=str)

#: Ten years of working days: no pair is worn longer.
MOST_HOURS: Final = 30_000
MOST_WEEKS: Final = 5_000
_LONGEST_SOCK: Final = 20


@frozen
class ToldFit:
    """How one pair fits, as told on one day; None and left-out places are what was not said."""

    on: str
    hours: float | None
    sock: str | None
    swelling: Swelling | None
    verdicts: Mapping[Foot, Mapping[Place, Verdict]]
    note: str


def read_told(written: Mapping[str, str], pair: KeptPair, today: Date) -> ToldFit:
    """Return what was told of a pair.

    Parameters
    ----------
    written
        By field: ``on``, ``hours``, ``sock``, ``swelling``, ``note``, and for each foot and place
        ``left_ball`` and so on with ``little``, ``right``, ``much`` or nothing.
    pair
        The pair it is about.
    today
        The day this is written down.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    problems: list[Problem] = []
    text = {name: value.strip() for name, value in written.items()}
    on = _day(text.get("on", ""), pair, today, problems)
    hours = _number("hours", text.get("hours", ""), MOST_HOURS, "hours", problems)
    sock = text.get("sock") or None
    if sock is not None:
        try:
            parse_sock(sock)
        except UnreadableText as refused:
            problems.append(refused.at("sock"))
        if len(sock) > _LONGEST_SOCK:
            problems.append(Problem("sock", quoted(sock), "thin, medium, thick or mm"))
    swelling = _one_of("swelling", text.get("swelling", ""), SWELLINGS, problems)
    verdicts: dict[Foot, dict[Place, Verdict]] = {}
    for foot in FEET:
        for place in PLACES:
            name = f"{foot}_{place}"
            verdict = _one_of(name, text.get(name, ""), VERDICTS, problems)
            if verdict is not None:
                verdicts.setdefault(foot, {})[place] = verdict
    note = text.get("note", "")
    if not verdicts and not note and not problems:
        problems.append(Problem("verdicts", "nothing told of any place", "one place at least, or a note"))
    if problems:
        raise InputError(problems)
    return ToldFit(on, None if hours is None else float(hours), sock, swelling, verdicts, note)


def cautions(written: Mapping[str, str], note: str = "") -> list[str]:
    """Return whom to see about pain or numbness that was told, by the ticks or in the note.

    The ticks ``pain`` and ``numbness`` and the weeks ``pain_weeks`` are answered and not kept:
    health is kept only with consent, and never beside a try-on.

    Raises
    ------
    InputError
        Where the weeks cannot be read.
    """
    problems: list[Problem] = []
    weeks = _number("pain_weeks", written.get("pain_weeks", "").strip(), MOST_WEEKS, "weeks", problems)
    if problems:
        raise InputError(problems)
    pain, numbness = mentioned(note)
    return care_texts(
        pain=pain or bool(written.get("pain")),
        pain_weeks=float(weeks or 0),
        numbness=numbness or bool(written.get("numbness")),
    )


def _day(text: str, pair: KeptPair, today: Date, problems: list[Problem]) -> str:
    if not text:
        return today.isoformat()
    try:
        day = Date.fromisoformat(text)
    except ValueError:
        problems.append(Problem("on", quoted(text), f"a day such as {today}"))
        return ""
    if day > today:
        problems.append(Problem("on", f"{day}, which is still to come", f"a day up to {today}"))
    elif pair.arrived_on is not None and day < Date.fromisoformat(pair.arrived_on):
        problems.append(Problem("on", f"{day}, before the pair arrived", f"{pair.arrived_on} or later"))
    return day.isoformat()


def _number(name: str, text: str, most: int, unit: str, problems: list[Problem]) -> Fraction | None:
    if not text:
        return None
    try:
        ask_which(text)
        number = parse_number(text.removesuffix(unit).rstrip())
    except UnreadableText as refused:
        problems.append(refused.at(name))
        return None
    if number > most:
        problems.append(Problem(name, quoted(text), f"up to {most} {unit}"))
        return None
    return number


def _one_of(name: str, text: str, known: tuple[W, ...], problems: list[Problem]) -> W | None:
    for one in known:
        if one == text:
            return one
    if text:
        problems.append(Problem(name, quoted(text), f"one of {', '.join(known)}, or nothing"))
    return None
