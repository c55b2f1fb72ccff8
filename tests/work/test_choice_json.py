"""The records: keys exactly as contracted, figures rounded, labels as stamped."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from heelball.fit.answers import Answer
from heelball.fit.choice import answer, describe_feet
from heelball.fit.wearer import PLACES, DayState
from heelball.foot.prior import offset_prior
from heelball.foot.reading import Reading
from heelball.foot.slips import Slip
from heelball.foot.vector import MEASURES
from heelball.last.description import describe
from heelball.work.choice_json import choice_record
from heelball.work.figures_json import chance, json_line, mm
from heelball.work.foot_json import foot_record
from heelball.work.last_file import read_last, read_lasts
from heelball.work.last_json import last_record
from tests.work.bench import KESTREL, NORTHMOOR, SMALL, lasts_folder, plain_wearer, write

DAY = (DayState("morning", 0.25, 1.0, "rest", 0.0), DayState("evening", 0.75, 3.0, "hot", 0.0))
TODAY = date(2026, 5, 1)
WEARER = plain_wearer(day=DAY)

CHOICE_KEYS = {
    "last",
    "maker",
    "order",
    "least_wrong",
    "chance",
    "loss",
    "by_place",
    "by_state",
    "trade_rule",
    "why",
    "runner_up",
    "deciding",
    "next_reading",
    "two_sizes",
    "cautions",
}
LABEL_KEYS = {"size", "width"}
VERDICT_KEYS = {"mean_mm", "sd_mm", "too_little", "right", "too_much"}


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    return answer(WEARER, read_lasts(lasts_folder(tmp_path_factory.mktemp("bench") / "lasts")), today=TODAY)


@pytest.fixture(scope="module")
def record(found: Answer) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(json_line(choice_record(found, WEARER)))
    return read


def numbers(value: Any, key: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(value, dict):
        for name, part in value.items():
            yield from numbers(part, name)
    elif isinstance(value, list):
        for part in value:
            yield from numbers(part, key)
    elif isinstance(value, float):
        yield key, value


def test_the_keys_of_a_choice(record: dict[str, Any]) -> None:
    assert record.keys() == {
        "schema",
        "wearer",
        "foot",
        "slips",
        "referral",
        "choices",
        "remarks",
        "made_pair",
    }
    assert record["schema"] == "heelball/choice/1"
    assert record["wearer"] == "W1"
    assert record["foot"].keys() == {"left", "right"}
    for foot in record["foot"].values():
        assert tuple(foot) == MEASURES
        assert all(figure.keys() == {"mean_mm", "sd_mm"} for figure in foot.values())
    assert len(record["choices"]) == 3
    for choice in record["choices"]:
        assert choice.keys() == CHOICE_KEYS
        assert choice["trade_rule"].keys() == {"order", "steps", "also"}
        assert all(step.keys() == {"text"} for step in choice["trade_rule"]["steps"])
        assert choice["deciding"].keys() == {"foot", "place"}
        assert choice["runner_up"].keys() == {"size", "width", "chance", "loss", "tips_when"}
        for by_place in (choice["by_place"], *(state["by_place"] for state in choice["by_state"])):
            assert by_place.keys() == {"left", "right"}
            for verdicts in by_place.values():
                assert tuple(verdicts) == PLACES
                assert verdicts["heel"] is None, "no heel was read"
                assert all(verdicts[place].keys() == VERDICT_KEYS for place in PLACES[:-1])
        assert [state["name"] for state in choice["by_state"]] == ["morning", "evening"]
        assert all(state.keys() == {"name", "share", "chance", "by_place"} for state in choice["by_state"])
        for text in (*choice["why"], *choice["cautions"]):
            assert text[-1] in ".?"


def test_an_order_or_what_is_least_wrong(record: dict[str, Any]) -> None:
    first, last = record["choices"][0], record["choices"][-1]
    assert (first["last"], first["order"]) == ("N7", {"size": "10", "width": "D"})
    assert first["least_wrong"] is None
    assert (last["last"], last["order"]) == ("S1", None)
    assert last["least_wrong"] == {"size": "6", "width": None}
    assert record["made_pair"] is None, "a last serves"


def test_figures_are_rounded_and_places_sum_to_one(record: dict[str, Any], found: Answer) -> None:
    for key, value in numbers(record):
        assert math.isfinite(value)
        assert value == round(value, 2 if key.endswith("_mm") else 4), key
    verdict = record["choices"][0]["by_place"]["left"]["ball"]
    assert abs(verdict["too_little"] + verdict["right"] + verdict["too_much"] - 1) < 2e-4
    exact = found.choices[0].by_place["left"]["ball"]
    assert exact is not None
    assert verdict["mean_mm"] == round(exact.mean, 2)
    assert verdict["right"] == round(exact.right, 4)


def test_what_is_not_a_number_is_null() -> None:
    assert (mm(math.nan), chance(math.inf), mm(None)) == (None, None, None)
    assert str(mm(-0.001)) == "0.0"
    with pytest.raises(ValueError, match="JSON"):
        json_line({"loss": math.nan})


def test_every_label_is_listed_when_asked(found: Answer) -> None:
    record = choice_record(found, WEARER, all_labels=True)
    first = record["choices"][0]
    assert first.keys() == CHOICE_KEYS | {"labels"}
    assert len(first["labels"]) == 45, "15 sizes of three widths"
    assert all(label.keys() == LABEL_KEYS | {"loss"} for label in first["labels"])
    assert min(label["loss"] for label in first["labels"]) == first["loss"]


def test_a_read_heel_is_judged(tmp_path: Path) -> None:
    wearer = plain_wearer(heel=True)
    record = choice_record(answer(wearer, read_lasts(lasts_folder(tmp_path / "lasts", NORTHMOOR))), wearer)
    assert record["choices"][0]["by_place"]["right"]["heel"].keys() == VERDICT_KEYS


def test_when_nothing_serves_a_made_pair_is_described(tmp_path: Path) -> None:
    record = choice_record(answer(WEARER, read_lasts(lasts_folder(tmp_path / "lasts", SMALL))), WEARER)
    assert record["made_pair"] == record["foot"]
    assert record["choices"][0]["why"][0].startswith("No label offered serves; 6 is least wrong")


def test_two_sizes_name_a_label_for_each_foot(tmp_path: Path) -> None:
    wearer = plain_wearer()
    right = tuple(
        evolve(reading, value={"10": "12", "10 1/2": "12 1/2"}.get(reading.value, reading.value))
        for reading in wearer.readings
        if reading.foot == "right"
    )
    wearer = evolve(wearer, readings=(*(r for r in wearer.readings if r.foot == "left"), *right))
    record = choice_record(answer(wearer, read_lasts(lasts_folder(tmp_path / "lasts", NORTHMOOR))), wearer)
    two = record["choices"][0]["two_sizes"]
    assert two.keys() == {"left", "right", "loss"}
    assert float(two["right"]["size"].split()[0]) > float(two["left"]["size"].split()[0])
    assert two["left"].keys() == LABEL_KEYS
    assert record["choices"][0]["trade_rule"]["also"], "a whole size apart: each foot's own order too"


def test_a_slip_names_its_readings(found: Answer) -> None:
    wearer = plain_wearer()
    slip = Slip((1, 3), "left-for-right", 4.00004, (wearer.readings[3], wearer.readings[1]))
    record = choice_record(evolve(found, slips=(slip,)), wearer)
    assert record["slips"] == [
        {
            "reading": 1,
            "readings": [1, 3],
            "likely": "left-for-right",
            "odds": 4.0,
            "text": "Were right length 10 on gauge-men and right heel-to-ball 10 1/2 on gauge-men left and"
            " right exchanged? Odds 4 to 1 for it.",
        }
    ]


def test_a_child_is_referred_and_offered_nothing(tmp_path: Path) -> None:
    wearer = evolve(
        plain_wearer(), population="unstated", readings=(Reading("left", "length", "gauge-child", "12C"),)
    )
    record = choice_record(answer(wearer, read_lasts(lasts_folder(tmp_path / "lasts"))), wearer)
    assert record["choices"] == []
    assert [told.keys() for told in record["referral"]] == [{"reason", "text"}]
    assert "child" in record["referral"][0]["text"]
    assert record["foot"]["right"]["girth"] == {"mean_mm": None, "sd_mm": None}


def test_the_record_of_feet() -> None:
    record = json.loads(json_line(foot_record(describe_feet(WEARER, today=TODAY), WEARER)))
    assert record.keys() == {"schema", "wearer", "left", "right", "slips", "remarks"}
    assert record["schema"] == "heelball/foot/1"
    assert tuple(record["left"]) == MEASURES
    assert all(measure.keys() == {"mean_mm", "sd_mm", "terms"} for measure in record["left"].values())
    terms = {measure: figure["terms"] for measure, figure in record["left"].items()}
    assert terms == {"length": "10", "ball": "10 1/2", "breadth": "C 3/4", "girth": None, "heel": None}
    assert "Each foot bends like a 10 1/2, measures a 10." in record["remarks"]


def test_feet_in_mm_of_no_stated_population_are_said_on_both_gauges() -> None:
    readings = (
        Reading("left", "length", "mm", "262", method="ruler"),
        Reading("left", "ball", "mm", "194", method="ruler"),
    )
    wearer = evolve(WEARER, population="unstated", readings=readings)
    terms = foot_record(describe_feet(wearer), wearer)["left"]["length"]["terms"]
    assert "gauge-men" in terms
    assert "gauge-women" in terms


def test_the_record_of_a_last(tmp_path: Path) -> None:
    last = read_last(
        write(tmp_path / "K2.toml", KESTREL + '[[measured]]\nsize = "43"\nflex_line_mm = 205.0\n')
    )
    record = json.loads(json_line(last_record(describe(last, "unstated", offset_prior()))))
    assert record.keys() == {"schema", "last", "maker", "labels", "remarks"}
    assert (record["schema"], record["last"], record["maker"]) == ("heelball/last/1", "K2", "Kestrel Bench")
    assert len(record["labels"]) == 10
    first = record["labels"][0]
    assert first.keys() == {"size", "width", "built_for", "from"}
    assert (first["size"], first["width"]) == ("39", None)
    assert set(first["built_for"]) == set(MEASURES)
    assert all(figure.keys() == {"mean_mm", "sd_mm"} for figure in first["built_for"].values())
    assert first["from"] == ["the size scale, European", "the flex line measured on a pair"]
