"""A bench over fresh records, with a clock that stands still until it is moved."""

from __future__ import annotations

import re
import traceback
import warnings
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

with warnings.catch_warnings():
    # Starlette would rather have a client that is not out yet for every Python we test on.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

from httpx import Response

from heelball.bench import refusals
from heelball.bench.app import make_app
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
            found = re.search(r'name="csrf" value="([^"]+)"', self.get("/settings").text)
            assert found, "no form with a token on the page"
            self._token = found[1]
        return self._token

    def renew(self) -> None:
        """Read the token anew, as after a log-in."""
        self._token = ""


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


@pytest.fixture
def bench(settings: Settings, records: Records, clock: Clock) -> Iterator[Bench]:
    """Return a bench on loopback: no log-in."""
    app = make_app(settings, records)
    with TestClient(app, base_url="http://127.0.0.1:4380", raise_server_exceptions=True) as client:
        yield Bench(client, clock, records)
