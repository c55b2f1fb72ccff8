"""The same work as JSON: what is written can be read back, and what is refused says why."""

from __future__ import annotations

import json
from datetime import timedelta

import attrs
import pytest

from heelball.fit.wearer import Signs
from heelball.records.store import Records
from heelball.work import bench_tokens
from tests.bench.api.client import TestClient
from tests.bench.conftest import BEGINNING

SIX = [
    {"foot": foot, "what": what, "scale": "gauge-men", "value": value}
    for foot, values in (("right", ("10", "10 1/2", "D")), ("left", ("10 1/2", "10 1/2", "D 1/4")))
    for what, value in zip(("length", "ball", "breadth"), values, strict=True)
]
LAST = {
    "code": "N7", "maker": "Northmoor", "label_scale": "us-men", "sizes": "6-13 by 1/2", "widths": "B, D, EE"
}  # fmt: skip


def wearer(api: TestClient, code: str = "W1") -> str:
    answer = api.post("/api/v1/wearers", json={"code": code, "name": "A. Person", "population": "men"})
    assert answer.status_code == 201, answer.text
    found: str = answer.json()["id"]
    return found


def take(api: TestClient, wearer_id: str, readings: list[dict], **more) -> dict:
    answer = api.post(f"/api/v1/wearers/{wearer_id}/sittings", json={"readings": readings, **more})
    assert answer.status_code == 201, answer.text
    found: dict = answer.json()
    return found


def test_six_readings_are_written_down_and_told_of_the_feet(api):
    one = wearer(api)
    written = take(api, one, SIX, load="standing", sock="thick", fitter="A")
    assert [reading["number"] for reading in written["readings"]] == [1, 2, 3, 4, 5, 6]
    assert written["sitting"]["fitter"] == "A"
    taken = api.get(f"/api/v1/wearers/{one}/readings").json()
    assert taken["readings"] == written["readings"]
    assert taken["sittings"] == [written["sitting"]]
    foot = api.get(f"/api/v1/wearers/{one}/foot").json()
    assert (foot["schema"], foot["wearer"]) == ("heelball/foot/1", "W1")
    assert foot["left"]["ball"]["terms"] == "10 1/2"


def test_a_correction_strikes_the_old_reading_through(api):
    one = wearer(api)
    first = take(api, one, [{**SIX[0], "value": "12"}])["readings"][0]
    take(api, one, [{**SIX[0], "kind": "correction", "of_id": first["id"]}], seen_number=1)
    readings = api.get(f"/api/v1/wearers/{one}/readings").json()["readings"]
    assert [bool(reading["corrected_by"]) for reading in readings] == [True, False]


def test_the_second_of_two_fitters_gets_both_versions(api):
    one = wearer(api)
    theirs = take(api, one, SIX[:1])["readings"]
    answer = api.post(f"/api/v1/wearers/{one}/sittings", json={"readings": SIX[:1], "seen_number": 0})
    assert answer.status_code == 409
    assert answer.json()["theirs"] == theirs
    assert answer.json()["yours"]["readings"][0]["value"] == "10"
    assert len(api.get(f"/api/v1/wearers/{one}/readings").json()["readings"]) == 1


def test_a_wearer_is_found_without_a_name_in_the_address(api):
    one = wearer(api)
    assert [
        w["id"] for w in api.post("/api/v1/wearers/search", json={"words": "pers"}).json()["wearers"]
    ] == [one]
    answer = api.patch(f"/api/v1/wearers/{one}", json={"seen": 1, "note": "works on slopes"})
    assert answer.json()["version"] == 2
    assert api.patch(f"/api/v1/wearers/{one}", json={"seen": 1, "note": "x"}).status_code == 409
    assert api.get(f"/api/v1/wearers/{one}").json()["note"] == "works on slopes"


def test_the_choice_is_that_of_the_core_and_moves_with_the_day(api):
    one = wearer(api)
    take(api, one, SIX)
    assert api.post(f"/api/v1/wearers/{one}/choice", json={}).json()["choices"] == []
    for code, maker in (("N7", "Northmoor"), ("Q2", "Quernmere")):
        api.post("/api/v1/lasts", json={**LAST, "code": code, "maker": maker})
    usual = api.post(f"/api/v1/wearers/{one}/choice", json={}).json()
    assert usual["schema"] == "heelball/choice/1"
    assert sorted(choice["last"] for choice in usual["choices"]) == ["N7", "Q2"]
    assert usual["choices"][0]["order"] == {"size": "10 1/2", "width": "D"}
    hot = {"moment": {"sock": "thick", "hours": 10, "heat": "hot", "insole": 3}, "listed": 1}
    swollen = api.post(f"/api/v1/wearers/{one}/choice", json=hot).json()["choices"]
    assert len(swollen) == 1
    assert swollen[0]["by_place"] != usual["choices"][0]["by_place"]


def test_a_letter_is_drafted_sent_and_answered(api):
    last = api.post("/api/v1/lasts", json=LAST).json()
    asked = {"maker_id": last["maker_id"], "last_ids": [last["id"]]}
    letter = api.post("/api/v1/letters", json=asked).json()
    assert "N7" in letter["text"]
    for step in ("sent", "answered"):
        body = {"seen": letter["version"], "step": step, "on": BEGINNING.date().isoformat()}
        letter = api.post(f"/api/v1/letters/{letter['id']}/steps", json=body).json()
        assert letter["state"] == step
    assert api.get("/api/v1/letters").json()["letters"] == [letter]


def test_a_pair_goes_from_order_to_kept(api):
    one = wearer(api)
    last = api.post("/api/v1/lasts", json=LAST).json()
    ordered = api.post(
        f"/api/v1/wearers/{one}/pairs", json={"last_id": last["id"], "size": "10 1/2", "width": "D"}
    )
    assert ordered.status_code == 201, ordered.text
    pair = ordered.json()
    for step, state in (("arrived", "arrived"), ("kept", "kept")):
        moved = api.post(
            f"/api/v1/pairs/{pair['id']}/steps",
            json={"seen": pair["version"], "step": step, "on": BEGINNING.date().isoformat()},
        )
        pair = moved.json()["pair"]
        assert pair["state"] == state
    told = {"on": BEGINNING.date().isoformat(), "verdicts": {"left": {"ball": "right", "toe": "little"}}}
    assert api.post(f"/api/v1/pairs/{pair['id']}/try-ons", json=told).status_code == 201
    kept = api.get(f"/api/v1/pairs/{pair['id']}/try-ons").json()["try_ons"]
    assert kept[0]["verdicts"] == told["verdicts"]
    assert api.get(f"/api/v1/wearers/{one}/pairs").json()["pairs"] == [pair]


def test_what_is_known_of_a_last_can_be_written_and_taken_back(api):
    last = api.post("/api/v1/lasts", json=LAST).json()
    labels = f"/api/v1/lasts/{last['id']}/labels"
    before = api.get(labels).json()
    advice = api.post(f"/api/v1/lasts/{last['id']}/advice", json={"order": "-1/2", "origin": "letter"}).json()
    assert api.get(labels).json() != before
    api.post(f"/api/v1/advice/{advice['id']}/withdraw", json={"seen": 1})
    assert api.get(labels).json() == before
    measured = {"size": "10", "width": "D", "flex_line_mm": "207"}
    assert api.post(f"/api/v1/lasts/{last['id']}/measured", json=measured).status_code == 201
    assert api.get(f"/api/v1/lasts/{last['id']}").json()["measured"][0]["flex_line_mm"] == 207


def test_health_is_kept_with_consent_alone_and_goes_when_consent_goes(api):
    one = wearer(api)
    url = f"/api/v1/wearers/{one}/health"
    assert api.post(url, json={"seen": 0, "consents": False, "diabetes": True}).status_code == 422
    assert (
        api.post(url, json={"seen": 0, "consents": True, "diabetes": True}).json()["signs"]["diabetes"]
        is True
    )
    kept = api.get(url).json()
    assert (kept["version"], kept["signs"]["diabetes"]) == (1, True)
    assert api.request("DELETE", url, json={}).status_code == 204
    assert api.get(url).status_code == 404
    assert api.post(url, json={"seen": 0, "consents": True}).json()["version"] == 1


@pytest.mark.parametrize(
    ("url", "body", "sentence"),
    [
        ("sittings", {"readings": [{**SIX[0], "value": "88"}]}, "Reading 1, value: 88 is off gauge-men"),
        ("sittings", {"readings": [{**SIX[0], "scale": "gauge-man"}]}, "wanted gauge-men"),
        ("sittings", {"readings": [SIX[2]]}, "letter D without a line or a size of the right foot"),
        ("sittings", {"readings": [{**SIX[0], "colour": "red"}]}, "colour"),
        ("sittings", {"readings": []}, "readings"),
        ("pairs", {"last_id": "none", "size": "10"}, "is not in the records"),
    ],
)
def test_bad_input_is_refused_in_a_sentence_and_nothing_is_written(api, url, body, sentence):
    one = wearer(api)
    answer = api.post(f"/api/v1/wearers/{one}/{url}", json=body)
    assert 400 <= answer.status_code < 500
    told = answer.json()
    assert sentence in " ".join([told["error"], *told["problems"]])
    assert api.get(f"/api/v1/wearers/{one}/readings").json() == {"sittings": [], "readings": []}


def test_a_day_that_does_not_add_up_is_refused(api):
    day = [{"name": "all", "share": 0.5}]
    answer = api.post("/api/v1/wearers", json={"code": "W1", "day": day})
    assert answer.status_code == 422
    assert "shares that sum to 1" in answer.json()["error"]


def test_what_the_pages_refuse_the_api_refuses(api):
    assert "code" in api.post("/api/v1/wearers", json={"code": "a\tb"}).json()["error"].lower()
    one = wearer(api)
    assert api.patch(f"/api/v1/wearers/{one}", json={"seen": 1, "code": "a\tb"}).status_code == 422
    last = api.post("/api/v1/lasts", json=LAST).json()
    ordered = {"last_id": last["id"], "size": "10 1/2", "width": "D"}
    pair = api.post(f"/api/v1/wearers/{one}/pairs", json=ordered).json()
    told = {"on": BEGINNING.date().isoformat(), "verdicts": {"left": {"ball": "right"}}}
    answer = api.post(f"/api/v1/pairs/{pair['id']}/try-ons", json=told)
    assert "still on order" in answer.json()["error"]
    tomorrow = (BEGINNING.date() + timedelta(days=1)).isoformat()
    mark = {"scale": "gauge-men", "what": "ball", "mark": "10", "measured_mm": 199, "on": tomorrow}
    assert "still to come" in api.post("/api/v1/gauge", json=mark).json()["error"]


def test_every_problem_is_listed_the_first_among_them(api):
    one = wearer(api)
    readings = [{**SIX[0], "value": "88"}, {**SIX[3], "value": "99"}]
    told = api.post(f"/api/v1/wearers/{one}/sittings", json={"readings": readings}).json()
    assert [problem[:9] for problem in told["problems"]] == ["Reading 1", "Reading 2"]
    assert told["error"] == told["problems"][0]


def test_a_refused_step_names_the_fields_that_were_sent(api):
    one = wearer(api)
    last = api.post("/api/v1/lasts", json=LAST).json()
    ordered = {"last_id": last["id"], "size": "10", "width": "D"}
    pair = api.post(f"/api/v1/wearers/{one}/pairs", json=ordered).json()
    url = f"/api/v1/pairs/{pair['id']}/steps"
    tomorrow = (BEGINNING.date() + timedelta(days=1)).isoformat()
    for step, on, field in (("arrived", tomorrow, "On: "), ("kept", BEGINNING.date().isoformat(), "Step: ")):
        told = api.post(url, json={"seen": 1, "step": step, "on": on}).json()
        assert told["error"].startswith(field)
        assert "_on" not in " ".join(told["problems"])


def test_every_sign_of_a_wearer_file_can_be_told(api):
    described = api.get("/api/v1/openapi.json").json()["components"]["schemas"]["HealthTold"]["properties"]
    assert {one.name for one in attrs.fields(Signs)} == set(described) - {"seen", "fitter", "consents"}


@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "text/plain", "multipart/form-data"])
def test_only_json_is_read(api, kind):
    body = json.dumps({"code": "W1"}).encode()
    assert api.post("/api/v1/wearers", content=body, headers={"content-type": kind}).status_code == 415


def test_a_cookie_is_not_accepted(api):
    answer = api.get("/api/v1/makers", headers={"cookie": "heelball-4380=anything"})
    assert answer.status_code == 400
    assert "cookies" in answer.json()["error"]


def test_on_a_network_a_token_is_asked_for(far_api, records: Records):
    assert far_api.get("/api/v1/makers").status_code == 401
    secret = bench_tokens.add(records, "shop", BEGINNING)
    for header, status in ((f"Bearer {secret}", 200), (f"Bearer {secret}x", 401), (f"Basic {secret}", 401)):
        assert far_api.get("/api/v1/makers", headers={"authorization": header}).status_code == status
    bench_tokens.revoke(records, "shop")
    assert far_api.get("/api/v1/makers", headers={"authorization": f"Bearer {secret}"}).status_code == 401


def test_on_a_network_no_address_of_the_api_answers_without_a_token(far_api):
    described = far_api.app.openapi()
    asked = 0
    for path, methods in described["paths"].items():
        for method in methods:
            answer = far_api.request(method, path.replace("{", "").replace("}", ""), json={})
            assert answer.status_code == 401, (method, path)
            asked += 1
    assert asked > 25


def test_a_pair_cannot_be_ordered_from_a_last_that_is_no_longer_had(api):
    one, last = wearer(api), api.post("/api/v1/lasts", json=LAST).json()
    retired = api.post(f"/api/v1/lasts/{last['id']}/retire", json={"seen": 1, "retired": True})
    assert retired.json()["retired"] is True
    asked = {"last_id": last["id"], "size": "10", "width": "D"}
    answer = api.post(f"/api/v1/wearers/{one}/pairs", json=asked)
    assert answer.status_code == 422
    assert "no longer had" in answer.json()["error"]
