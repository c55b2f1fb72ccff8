"""The day as a control: what was typed into it, what it means, and what is carried from page to page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from heelball.bench.forms import Form
from heelball.errors import InputError
from heelball.show.lengths import Units
from heelball.work.day_control import Moment, read_moment

#: The control's fields, and what stands in them before anything was set.
DAY_FIELDS: Final = {"sock": "medium", "hours": "4", "heat": "cool", "insole": "0"}

#: The wearer's own day, or one moment of a day.
OWN: Final = "own"
MOMENT: Final = "moment"


# Buttons that leave the day as it is, by name.
_LEAVING: Final = ("look", "all", "more")


def moment_in(form: Form, units: Units) -> Moment | None:
    """Return the moment that a form sets, None for the wearer's own day; problems go beside the fields.

    A button that is not about the day, such as one that looks at another last, leaves it as it was.
    """
    leaves = any(form.text(name) for name in _LEAVING)
    asked = form.text("show") or (form.text("now") if leaves else "") or MOMENT
    if asked == OWN:
        return None
    try:
        return read_moment({name: form.text(name) for name in DAY_FIELDS}, units)
    except InputError as refused:
        for problem in refused.problems:
            form.wrong(problem.place, problem.found, problem.wanted)
        return None


def moment_asked(query: QueryParams, units: Units) -> Moment | None:
    """Return the moment that an address carries; None for the wearer's own day.

    Raises
    ------
    InputError
        Where what it carries cannot be read.
    """
    if query.get("show") != MOMENT:
        return None
    return read_moment({name: query.get(name, "") for name in DAY_FIELDS}, units)


def day_typed(form: Form | None) -> dict[str, str]:
    """Return what stands in the control's fields."""
    if form is None:
        return dict(DAY_FIELDS)
    return {name: form.text(name) if name in form else usual for name, usual in DAY_FIELDS.items()}


def carried(moment: Moment | None, typed: Mapping[str, str]) -> dict[str, str]:
    """Return the fields that take the day along to an order, to paper or to an export."""
    return {"show": OWN} if moment is None else {"show": MOMENT, **typed}


def address(**fields: object) -> str:
    """Return fields as the end of an address."""
    return urlencode(fields, doseq=True)
