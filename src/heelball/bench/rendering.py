"""Answers of pages: a template filled in, or the way to the next page."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from heelball.bench.frame import render


def page(
    request: Request, template: str, *, status: int = 200, private: bool = True, **context: Any
) -> HTMLResponse:
    """Return a page.

    Parameters
    ----------
    request
        The request it answers.
    template
        Name of the template; for htmx that of the part to swap in.
    status
        422 where a form comes back with its mistakes.
    private
        Whether it must not be kept by the browser: every page about a person.
    context
        What the template shows.
    """
    headers = {"Cache-Control": "no-store" if private else "no-cache"}
    return HTMLResponse(render(request.scope, template, **context), status, headers)


def see(url: str) -> Response:
    """Return the way to another page, to be looked at after a write."""
    return RedirectResponse(url, 303)


def wants_fragment(request: Request) -> bool:
    """Whether htmx asks, and takes a part of a page to swap in."""
    return "hx-request" in request.headers


def to_save(name: str, *, inline: bool = False) -> dict[str, str]:
    """Return the headers of a file that is handed over; the browser keeps no copy of its own.

    Parameters
    ----------
    name
        What the file is called, in plain letters: no name of a person.
    inline
        Whether the browser may show it instead.
    """
    how = "inline" if inline else "attachment"
    return {"Content-Disposition": f'{how}; filename="{name}"', "Cache-Control": "no-store"}
