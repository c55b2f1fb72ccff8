"""Debian's Chromium, started once for all tests of a process: a second one cannot stand beside it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from tests.browser.served import served
from tests.requirements import require

if TYPE_CHECKING:
    from playwright.sync_api import Browser

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


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    path = shutil.which("chromium")
    require(path, "the program 'chromium'", "apt-get install chromium")
    # Chromium refuses its sandbox to root.
    root = ["--no-sandbox"] if os.geteuid() == 0 else []
    # Most tests have no need of it.
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=[*_QUIET, *root])
        yield browser
        browser.close()


@pytest.fixture
def bench_at(tmp_path: Path) -> Iterator[str]:
    """Return the address of a bench over fresh records."""
    with served(tmp_path) as address:
        yield address
