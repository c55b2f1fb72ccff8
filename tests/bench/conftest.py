"""A bench over fresh records, with a clock that stands still until it is moved."""

from __future__ import annotations

import re
import traceback
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi.routing import APIRoute

with warnings.catch_warnings():
    # Starlette would rather have a client that is not out yet for every Python we test on.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

from httpx import Response

from heelball.bench import ranking, refusals
from heelball.bench.app import make_app
from heelball.bench.pages import ROUTERS
from heelball.bench.settings import Settings
from heelball.records.store import Records, open_records

#: When every test begins.
BEGINNING = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)


class Clock:
    """A clock that a test moves by hand."""

    def __init__(self) -> None:
        self.now = BEGINNING

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **by: float) -> None:
        self.now += timedelta(**by)


class Bench:
    """One browser at a bench: it keeps its cookie, and sends its forms with their token.

    Answers are httpx responses; a redirect is followed unless ``follow=False``.
    """

    def __init__(self, client: TestClient, clock: Clock, records: Records) -> None:
        self.client = client
        self.clock = clock
        self.records = records
        self._token = ""

    def get(self, url: str, *, follow: bool = True, **more: Any) -> Response:
        answer: Response = self.client.get(url, follow_redirects=follow, **more)
        return answer

    def post(
        self, url: str, fields: Mapping[str, Any] | None = None, *, follow: bool = True, **more: Any
    ) -> Response:
        data = {"csrf": self.token} | dict(fields or {})
        answer: Response = self.client.post(url, data=data, follow_redirects=follow, **more)
        return answer

    @property
    def token(self) -> str:
        """The token of this browser's session, read off a page as a browser would."""
        if not self._token:
            self.renew("/settings")
        return self._token

    def renew(self, url: str) -> None:
        """Read the token off a page anew, as before and after a log-in."""
        found = re.search(r'name="csrf" value="([^"]+)"', self.get(url).text)
        assert found, "no form with a token on the page"
        self._token = found[1]

    def pages(self) -> list[tuple[str, str]]:
        """Return method and address of every page, a word standing for each name in its address."""
        return [
            (method, re.sub(r"\{(\w+)[^}]*\}", r"\1", route.path))
            for router in ROUTERS
            for route in router.routes
            if isinstance(route, APIRoute)
            for method in sorted(route.methods or ())
        ]


@pytest.fixture(autouse=True)
def _faults_are_seen(monkeypatch: pytest.MonkeyPatch):
    """Print what a page raised: the page itself never tells, and a failing test should."""
    told = refusals.refusal

    def tell(scope: Any, status: int, *words: Any, **more: Any) -> Any:
        if status == 500:
            traceback.print_exc()
        return told(scope, status, *words, **more)

    monkeypatch.setattr(refusals, "refusal", tell)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def records(tmp_path: Path, clock: Clock) -> Iterator[Records]:
    kept = open_records(tmp_path / "records", now=clock())
    yield kept
    kept.close()


@pytest.fixture
def settings(tmp_path: Path, clock: Clock) -> Settings:
    return Settings(data_folder=tmp_path / "data", clock=clock)


Open = Callable[[Settings], Bench]


@pytest.fixture
def open_bench(records: Records, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Iterator[Open]:
    """Return what starts a bench set as told, with a browser of its own, over the same records."""
    # The process that ranks starts where a page asks for it: most tests never do.
    monkeypatch.setattr(ranking, "_AFTER", 3600)
    with ExitStack() as running:

        def start(set_as: Settings) -> Bench:
            app = make_app(set_as, records)
            scheme = "https" if set_as.secure else "http"
            client = TestClient(app, base_url=f"{scheme}://127.0.0.1:{set_as.port}")
            return Bench(running.enter_context(client), clock, records)

        yield start


@pytest.fixture
def bench(open_bench: Open, settings: Settings) -> Bench:
    """Return a bench on loopback: no log-in."""
    return open_bench(settings)
