"""The pairs a wearer owns, in ``heelball foot`` and ``heelball choose``, as a person runs them."""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from heelball.cli.main import run
from tests.work.bench import lasts_folder, wearer_toml, write

BARE = 'schema = "heelball/wearer/1"\ncode = "W2"\npopulation = "men"\n'


def owned(size: str, word: str = "right", last: str = "N7") -> str:
    """Return a pair as TOML: one word at ball, toe and breadth of both feet."""
    words = ", ".join(f'{place} = "{word}"' for place in ("ball", "toe", "breadth"))
    feet = "\n".join(f"{foot} = {{ {words} }}" for foot in ("left", "right"))
    return f'[[pair]]\nlast = "{last}"\nsize = "{size}"\nwidth = "D"\n{feet}\n'


@pytest.fixture
def lasts(tmp_path: Path) -> Path:
    return lasts_folder(tmp_path / "lasts")


@pytest.fixture
def told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Callable[..., str]:
    """Run a command for a wearer file of that text, and return what it printed."""

    def call(command: str, wearer: str, *words: str | Path) -> str:
        path = write(tmp_path / "w.toml", wearer)
        assert run([command, str(path), *map(str, words)]) == 0
        return capsys.readouterr().out

    return call


def foot_of(printed: str) -> dict[str, Any]:
    left: dict[str, Any] = json.loads(printed)["left"]
    return left


def test_a_foot_is_known_from_a_pair_alone(told: Callable[..., str], lasts: Path) -> None:
    feet = [
        foot_of(told("foot", BARE + owned(size), "--lasts", lasts, "--json"))["length"]
        for size in ("8", "13")
    ]
    bare = foot_of(told("foot", BARE + owned("13"), "--json"))["length"]
    assert feet[1]["mean_mm"] > feet[0]["mean_mm"] + 10
    assert all(one["sd_mm"] < bare["sd_mm"] for one in feet)


def test_without_lasts_the_pair_is_not_weighed_and_the_note_says_so(told: Callable[..., str]) -> None:
    out = " ".join(told("foot", BARE + owned("13")).split())
    assert "One pair told of is not weighed (N7): its last or label is not at hand" in out


def test_a_pair_weighed_alone_says_so_and_another_is_named(told: Callable[..., str], lasts: Path) -> None:
    pairs = owned("10") + owned("10", last="Z9")
    out = " ".join(told("foot", BARE + pairs, "--lasts", lasts).split())
    assert "Nothing was read: the feet are known from how a pair worn fits" in out
    assert "One pair told of is not weighed (Z9)" in out


def test_a_choice_by_a_pair_alone_follows_it(told: Callable[..., str], lasts: Path) -> None:
    sizes = []
    for size in ("8", "12"):
        record = json.loads(told("choose", BARE + owned(size), "--lasts", lasts, "--json"))
        choice = next(one for one in record["choices"] if one["last"] == "N7")
        assert 0 < choice["chance"] < 0.6
        assert choice["next_reading"]
        sizes.append(Fraction(sum(map(Fraction, choice["order"]["size"].split()))))
    assert sizes[1] > sizes[0] + 1


def test_readings_outweigh_a_pair_and_the_note_names_both(told: Callable[..., str], lasts: Path) -> None:
    read = wearer_toml("W1")
    plain = foot_of(told("foot", read, "--json"))["breadth"]
    worn = foot_of(told("foot", read + owned("10", "little"), "--lasts", lasts, "--json"))["breadth"]
    assert 0 < worn["mean_mm"] - plain["mean_mm"] < 2 * plain["sd_mm"]
    out = " ".join(told("foot", read + owned("10", "little"), "--lasts", lasts).split())
    assert "The pair worn is weighed beside the readings" in out
