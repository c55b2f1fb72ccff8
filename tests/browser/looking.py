"""Screens to look at pages on, the vendored accessibility checks, and where pictures go."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from playwright.sync_api import Page, ViewportSize

_REPOSITORY: Final = Path(__file__).resolve().parents[2]
_AXE: Final = Path(__file__).resolve().parents[1] / "vendor" / "axe.min.js"

#: Screenshots of every page, left for whoever wants to look; never committed.
ARTEFACTS: Final = _REPOSITORY / "artefacts" / "pages"

#: A phone held upright, and a desk.
SIZES: Final[dict[str, ViewportSize]] = {
    "phone": {"width": 390, "height": 844},
    "desk": {"width": 1280, "height": 900},
}


def complaints(page: Page) -> list[str]:
    """Return what the accessibility checks find wrong on a page (WCAG 2.2 A and AA)."""
    page.evaluate(_AXE.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate(
        "axe.run(document, {runOnly: {type: 'tag',"
        " values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}})"
    )
    return [
        f"{one['id']}: {one['help']}: {[node['html'][:160] for node in one['nodes']]}"
        for one in found["violations"]
    ]


def look(page: Page, name: str) -> None:
    """Leave pictures of a page by day and by night, and on paper's terms."""
    ARTEFACTS.mkdir(parents=True, exist_ok=True)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.screenshot(path=ARTEFACTS / f"{name}-{scheme}.png", full_page=True, caret="initial")
    page.emulate_media(color_scheme="light")
