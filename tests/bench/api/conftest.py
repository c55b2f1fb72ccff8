"""A program at the API: no cookie, JSON alone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from attrs import evolve

from heelball.bench.app import make_app
from heelball.bench.settings import Settings
from heelball.records.store import Records
from tests.bench.api.client import TestClient


@pytest.fixture
def api(settings: Settings, records: Records) -> Iterator[TestClient]:
    with TestClient(make_app(settings, records), base_url="http://127.0.0.1:4380") as client:
        yield client


@pytest.fixture
def far_api(settings: Settings, records: Records) -> Iterator[TestClient]:
    """Return the API of a bench that listens on a network."""
    on_network = evolve(settings, on_network=True, host="192.0.2.7", passphrase_hash="none fits")
    with TestClient(make_app(on_network, records), base_url="http://192.0.2.7:4380") as client:
        yield client
