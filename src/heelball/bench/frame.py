"""The templates of the pages: read once, escaped always, and what every page finds in them."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.types import Scope

from heelball import __version__
from heelball.bench.static_files import FILES

_NAV: Final = (
    ("wearers", "Wearers"),
    ("lasts", "Lasts"),
    ("pairs", "Pairs"),
    ("letters", "Letters"),
    ("gauge", "Gauge"),
)
#: First step of the address -> where it stands in the navigation.
_UNDER: Final = {"makers": "lasts"}

environment: Final = Environment(
    loader=FileSystemLoader(Path(__file__).parent / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    auto_reload=False,
    cache_size=400,
)
environment.globals.update(static=FILES.address, nav=_NAV, version=__version__)


def own_path(path: str) -> str:
    """Return an address to lead to: the one given if it is on this bench, else the front door.

    Examples
    --------
    >>> own_path("/lasts"), own_path("//elsewhere.example"), own_path("https://elsewhere.example")
    ('/lasts', '/', '/')
    """
    # Browsers take two slashes, or one turned round, for the start of another site's name.
    own = path.startswith("/") and not path.startswith("//") and "\\" not in path and path.isprintable()
    return path if own else "/"


def render(scope: Scope, template: str, **context: Any) -> str:
    """Return a template filled in, with what the frame of every page needs.

    Parameters
    ----------
    scope
        The request: its session, where there is one, gives the token, the units and the initials.
    template
        Name of the template.
    context
        What it shows; may override what the frame needs.
    """
    state = scope.get("state", {})
    session = state.get("session")
    settings = scope["app"].state.settings
    step = scope["path"].strip("/").partition("/")[0]
    frame = {
        "csrf": session.csrf if session else "",
        "units": session.units if session else "mm",
        "fitter": session.fitter if session else "",
        "inside": session is not None and session.inside,
        "here": _UNDER.get(step, step),
        "back": own_path(scope["path"]) if scope["method"] == "GET" else "/",
        "insecure": settings.insecure,
        "on_network": settings.on_network,
        "form": None,
    }
    return environment.get_template(template).render(frame | context)
