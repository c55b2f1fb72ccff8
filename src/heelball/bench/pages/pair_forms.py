"""What the forms about a pair have in common: days, versions, labels and sentences beside fields."""

from __future__ import annotations

from datetime import date as Date

from starlette.requests import Request

from heelball.bench.forms import Form
from heelball.errors import InputError
from heelball.units import quoted
from heelball.work.arrival_check import BETWEEN


def today(request: Request) -> Date:
    """Return the day at the bench."""
    day: Date = request.app.state.settings.clock().date()
    return day


def seen(form: Form) -> int:
    """Return the version that a form was filled in from; one that none ever had where it is missing."""
    text = form.text("seen")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def day(form: Form, name: str, otherwise: Date | None) -> Date | None:
    """Return a day that was typed; `otherwise` where nothing was, None where it cannot be read."""
    text = form.text(name)
    if not text:
        return otherwise
    try:
        return Date.fromisoformat(text)
    except ValueError:
        form.wrong(name, quoted(text), "a day such as 2026-03-14")
        return None


def label(form: Form, name: str) -> tuple[str, str | None]:
    """Return size and width of a label that was chosen."""
    size, _, width = form.text(name).partition(BETWEEN)
    return size, width or None


def beside(form: Form, refused: InputError) -> None:
    """Put each sentence of an error beside its field."""
    for problem in refused.problems:
        form.wrong(problem.place, problem.found, problem.wanted)
