"""Two fitters at one thing: the second sees both versions side by side and chooses, field by field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from attrs import frozen
from starlette.requests import Request
from starlette.responses import HTMLResponse

from heelball.bench.forms import Form
from heelball.bench.rendering import page, wants_fragment
from heelball.records.refused import Conflict

#: What a form carries beside what was typed.
_CARRIED: Final = ("csrf", "seen")


@frozen
class Differing:
    """One field as it is kept now and as the second fitter wanted it."""

    name: str
    label: str
    theirs: str
    mine: str
    said: str


def conflict_page(
    request: Request,
    conflict: Conflict,
    form: Form,
    labels: Mapping[str, str],
    again: str,
    *,
    theirs: Mapping[str, str] | None = None,
    said: Mapping[str, str] | None = None,
) -> HTMLResponse:
    """Return the page that shows both versions and lets the fitter choose; nothing has been written.

    What is chosen is sent to the address that the form was sent to, as the same form would be.

    Parameters
    ----------
    request
        The request whose write was refused.
    conflict
        What is kept now, and its version.
    form
        What the second fitter sent.
    labels
        What each field is called, by its name in the form, in the order to show them.
    again
        Where to go to leave everything as it is kept now.
    theirs
        What is kept now as the form would write it; by default the fields of the kept value.
    said
        How what is kept now is shown, where that is not how the form would write it.
    """
    now = _as_written(conflict.theirs, labels) if theirs is None else theirs
    words = said or {}
    differing = [
        Differing(name, label, now.get(name, ""), form.text(name), words.get(name, now.get(name, "")))
        for name, label in labels.items()
        if now.get(name, "") != form.text(name)
    ]
    asked = {one.name for one in differing}
    same = [
        (name, value)
        for name in form.values
        if name not in asked and name not in _CARRIED
        for value in form.texts(name)
    ]
    return page(
        request,
        "_conflict.html" if wants_fragment(request) else "conflict.html",
        status=409,
        action=request.url.path,
        again=again,
        differing=differing,
        same=same,
        seen=conflict.theirs.version,
    )


def _as_written(kept: Any, labels: Mapping[str, str]) -> dict[str, str]:
    """Return the fields of a kept value as a form would write them."""
    return {name: _text(getattr(kept, name, None)) for name in labels}


def _text(value: object) -> str:
    if value is None or value is False:
        return ""
    return "yes" if value is True else str(value)
