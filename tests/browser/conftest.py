"""Debian's Chromium, the vendored accessibility checks, and where screenshots go."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright

from tests.browser.served import served
from tests.requirements import require

_REPOSITORY: Final = Path(__file__).resolve().parents[2]
_AXE: Final = Path(__file__).resolve().parents[1] / "vendor" / "axe.min.js"

#: Screenshots of every page, left for whoever wants to look; never committed.
ARTEFACTS: Final = _REPOSITORY / "artefacts" / "pages"

#: Nothing but the bench is asked for anything.
_QUIET: Final = [
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-domain-reliability",
    "--disable-client-side-phishing-detection",
    "--metrics-recording-only",
    "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1 , EXCLUDE localhost",
]

#: A phone held upright, and a desk.
SIZES: Final[dict[str, ViewportSize]] = {
    "phone": {"width": 390, "height": 844},
    "desk": {"width": 1280, "height": 900},
}


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    path = shutil.which("chromium")
    require(path, "the program 'chromium'", "apt-get install chromium")
    # Chromium refuses its sandbox to root.
    root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=[*_QUIET, *root])
        yield browser
        browser.close()


@pytest.fixture
def bench_at(tmp_path: Path) -> Iterator[str]:
    """Return the address of a bench over fresh records."""
    with served(tmp_path) as address:
        yield address


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
