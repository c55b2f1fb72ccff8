"""The look: ink that can be read on its paper, and nothing fetched from elsewhere."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

import heelball.bench

BENCH = Path(heelball.bench.__file__).parent
STATIC = BENCH / "static"
STYLE = (STATIC / "style.css").read_text()


def colours(night: bool) -> dict[str, str]:
    """Return the named colours by day, or by night."""
    roots = re.findall(r":root \{([^}]*)\}", STYLE)
    found: dict[str, str] = {}
    for root in roots[: 2 if night else 1]:
        found |= dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", root))
    return found


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("night", [False, True])
@pytest.mark.parametrize(
    ("upper", "lower", "least"),
    [
        ("ink", "paper", 7),
        ("ink", "leaf", 7),
        ("thin", "paper", 4.5),
        ("thin", "leaf", 4.5),
        ("accent", "paper", 4.5),
        ("accent", "leaf", 4.5),
        ("on-accent", "accent", 4.5),
        ("edge", "paper", 3),
        ("edge", "leaf", 3),
    ],
)
def test_contrast_is_enough_by_day_and_by_night(night: bool, upper: str, lower: str, least: float):
    named = colours(night)
    assert contrast(named[upper], named[lower]) >= least


def test_night_is_another_day():
    assert set(colours(False)) == set(colours(True))
    assert all(colours(False)[name] != colours(True)[name] for name in colours(False))


def test_every_class_told_of_is_there():
    told, rules = STYLE.split("*/", 1)
    names = set(re.findall(r"(?<![\w/])\.([a-z][\w-]*)", told)) - {"css", "html"}
    assert {"ledger", "struck", "tap", "caution"} <= names
    # A word of its own needs no rule where it looks as everything does.
    assert {name for name in names if f".{name}" not in rules} == set()


def test_targets_are_large_enough():
    for name in (r"\.button", r"\.tap", r"\.head li a", r"\.mark", r"\.strip a", r"input:not\([^{]*"):
        rule = re.search(rf"^{name} \{{([^}}]*)\}}", STYLE, re.MULTILINE)
        assert rule, name
        least = re.search(r"min-height: (?:(\d+)px|([\d.]+)rem)", rule[1])
        assert least, name
        assert float(least[1] or 16 * float(least[2])) >= 44, name


def test_print_and_rest_are_asked_for():
    for wanted in (
        "@media print",
        "prefers-reduced-motion: reduce",
        "prefers-color-scheme: dark",
        "forced-colors",
    ):
        assert wanted in STYLE


@pytest.mark.parametrize(
    "path", sorted([*STATIC.iterdir(), *(BENCH / "templates").rglob("*.html")]), ids=lambda path: path.name
)
def test_nothing_comes_from_elsewhere(path: Path):
    text = path.read_text(encoding="utf-8")
    # Names of XML's languages are no addresses; in htmx they stand in quotes.
    elsewhere = re.findall(r"(?:https?:)?//(?!www\.w3\.org/)[a-z0-9-]+\.[a-z]{2,}", text)
    assert elsewhere == []
    if path.suffix == ".css":
        assert "@import" not in text
        assert "url(" not in text
    if path.suffix == ".html":
        assert not re.search(r"\sstyle=|<style|\son\w+=|hx-on|javascript:|js:", text)
        assert not re.search(r"<script(?![^>]*\ssrc=)", text)
        # Only a drawing of our own goes in as it is.
        assert not re.search(r"(?<!\.svg)\|safe", text.replace(" ", ""))


def test_htmx_is_the_one_that_was_taken():
    note = (STATIC / "htmx.txt").read_text()
    (told,) = re.findall(r"^[0-9a-f]{64}$", note, re.MULTILINE)
    script = (STATIC / "htmx.min.js").read_bytes()
    assert hashlib.sha256(script).hexdigest() == told
    (version,) = re.findall(r"htmx (\d+\.\d+\.\d+),", note)
    assert f'version:"{version}"'.encode() in script
    assert "Zero-Clause BSD" in (STATIC / "htmx.LICENSE.txt").read_text()
