"""Every address of the API asked for what its description allows, and for what it does not: no 5xx."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

from tests.bench.api.client import TestClient
from tests.bench.api.test_api import LAST, SIX, take, wearer

#: Cases of each kind an address in an ordinary run; `make slow` asks ten times as many.
FEW, MANY = 5, 50

CHECKS = [not_a_server_error, status_code_conformance, response_schema_conformance]


def something(api: TestClient) -> dict[str, str]:
    """Write down one of everything, so that more than the refusals is reached; return the ids."""
    one = wearer(api)
    reading = take(api, one, SIX)["readings"][0]
    last = api.post("/api/v1/lasts", json=LAST).json()
    about = f"/api/v1/lasts/{last['id']}"
    measured = {"size": "10", "width": "D", "flex_line_mm": "207"}
    ordered = {"last_id": last["id"], "size": "10", "width": "D"}
    pair = api.post(f"/api/v1/wearers/{one}/pairs", json=ordered).json()["id"]
    question = {"maker_id": last["maker_id"], "last_ids": [last["id"]]}
    mark = {"scale": "gauge-men", "what": "ball", "mark": "10", "measured_mm": 199}
    return {
        "wearer_id": one,
        "reading_id": reading["id"],
        "last_id": last["id"],
        "maker_id": last["maker_id"],
        "advice_id": api.post(f"{about}/advice", json={"order": "-1/2"}).json()["id"],
        "measured_id": api.post(f"{about}/measured", json=measured).json()["id"],
        "pair_id": pair,
        "letter_id": api.post("/api/v1/letters", json=question).json()["id"],
        "mark_id": api.post("/api/v1/gauge", json=mark).json()["id"],
    }


def fuzz(api: TestClient, cases: int) -> int:
    """Ask every operation; return how often something was done."""
    ids = something(api)
    described = schemathesis.openapi.from_dict(api.get("/api/v1/openapi.json").json())
    described.app = api.app
    operations: list[Any] = [found.ok() for found in described.get_all_operations()]  # type: ignore[union-attr]
    assert len(operations) > 25
    done = sum(fuzz_one(operation, ids, GenerationMode.POSITIVE, cases) for operation in operations)
    # Any text is a name in an address: only a body can be what the description does not allow.
    with_body = [operation for operation in operations if operation.body]
    return done + sum(fuzz_one(operation, ids, GenerationMode.NEGATIVE, cases) for operation in with_body)


def fuzz_one(operation: Any, ids: dict[str, str], mode: GenerationMode, cases: int) -> int:
    named = {each.name: ids[each.name] for each in operation.path_parameters}
    done = 0

    @settings(
        max_examples=cases,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(mode))
    def ask(case: Any) -> None:
        nonlocal done
        # As it came, with names of nothing; then of something that is there.
        for path in (case.path_parameters, named):
            case.path_parameters = path
            answer = case.call(base_url="http://127.0.0.1:4380")
            case.validate_response(answer, checks=CHECKS)
            done += answer.status_code < 400

    ask()
    return done


def test_nothing_that_is_asked_ends_in_a_fault_of_ours(api):
    assert fuzz(api, FEW) > 50


@pytest.mark.slow
def test_nothing_ends_in_a_fault_however_often_it_is_asked(api):
    assert fuzz(api, MANY) > 500
