"""What docs/api.md sends is answered as it says."""

from __future__ import annotations

import json
import re
import warnings
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

with warnings.catch_warnings():
    # Starlette would rather have a client that is not out yet for every Python we test on.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

from heelball.bench.app import make_app
from heelball.bench.settings import Settings
from heelball.records.store import open_records

PAGE = Path(__file__).resolve().parents[2] / "docs" / "api.md"
NOW = datetime(2026, 3, 28, 10, 20, tzinfo=UTC)

# A request and its body, a blank line, the status and the answer.
_EXAMPLE = re.compile(
    r"^```text\n(?P<method>[A-Z]+) (?P<path>/api/v1\S*)\n(?P<sent>.*?)\n\n"
    r"(?P<status>\d{3})\n(?P<answer>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)
#: Stands for any value; as a name, for whatever else an object holds.
_ANY = "…"
_NAME = re.compile(r"\{\w+\}")


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    records = open_records(tmp_path, now=NOW)
    with TestClient(
        make_app(Settings(data_folder=tmp_path, clock=lambda: NOW), records),
        base_url="http://127.0.0.1:4380",
    ) as client:
        yield client
    records.close()


def holds(shown: Any, found: Any, names: dict[str, str]) -> bool:
    """Whether an answer is what the page shows; a name in braces is learned where it first stands."""
    if shown == _ANY:
        return True
    if isinstance(shown, str) and _NAME.fullmatch(shown):
        return bool(names.setdefault(shown, found) == found)
    if isinstance(shown, dict):
        more = set(found) - set(shown) if isinstance(found, dict) else {"no object"}
        known = [key for key in shown if key != _ANY]
        return (
            (not more or _ANY in shown)
            and isinstance(found, dict)
            and all(key in found and holds(shown[key], found[key], names) for key in known)
        )
    if isinstance(shown, list):
        return (
            isinstance(found, list)
            and len(shown) == len(found)
            and all(holds(*pair, names) for pair in zip(shown, found, strict=True))
        )
    return bool(shown == found)


def test_what_the_page_sends_is_answered_as_it_shows(client: TestClient) -> None:
    examples = list(_EXAMPLE.finditer(PAGE.read_text(encoding="utf-8")))
    assert {one["status"] for one in examples} >= {"200", "201", "409", "422"}
    names: dict[str, str] = {}
    for one in examples:
        path, sent = (
            _NAME.sub(lambda name: names.get(name[0], name[0]), one[key]) for key in ("path", "sent")
        )
        answer = client.request(
            one["method"], path, content=sent.encode(), headers={"content-type": "application/json"}
        )
        assert str(answer.status_code) == one["status"], (path, answer.text)
        assert holds(json.loads(one["answer"]), answer.json(), names), (path, answer.text)


def test_every_address_of_the_page_is_described(client: TestClient) -> None:
    described = set(client.get("/api/v1/openapi.json").json()["paths"])
    told = re.findall(r"\b(?:GET|POST|PATCH|DELETE) (/api/v1[^\s`]*)", PAGE.read_text(encoding="utf-8"))
    patterns = [re.compile(re.sub(r"\\\{\w+\\\}", "[^/]+", re.escape(path))) for path in described]
    for path in {*told} - {"/api/v1/openapi.json"}:
        assert any(pattern.fullmatch(path) for pattern in patterns), path
