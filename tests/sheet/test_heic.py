"""HEIC is decoded by a child that may use little, and what it answers is not believed unseen."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from heelball.errors import MissingExtra
from heelball.sheet import heic
from heelball.sheet.picture import open_in_colour, open_picture
from heelball.sheet.values import Refused
from tests.sheet.files import FOCAL_35, SIZE, scene, sound


def reason(content: bytes) -> str:
    with pytest.raises(Refused) as refusal:
        open_picture(content)
    return refusal.value.reason


def test_a_heic_is_read_upright_with_its_focal_length() -> None:
    picture = open_picture(sound()["heic"])
    assert picture.grey.shape == SIZE[::-1]
    assert np.abs(picture.grey - np.asarray(scene().convert("L")).astype(int)).mean() < 4
    assert picture.focal_px == pytest.approx(FOCAL_35 / np.hypot(36.0, 24.0) * np.hypot(*SIZE))


def test_its_colours_are_handed_over_too() -> None:
    colour = open_in_colour(sound()["heic"])
    assert colour.shape == (*SIZE[::-1], 3)
    assert np.abs(colour[..., ::-1] - np.asarray(scene().convert("RGB")).astype(int)).mean() < 6


def test_a_missing_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    with pytest.raises(MissingExtra) as missing:
        open_picture(sound()["heic"])
    assert missing.value.lines() == MissingExtra("pillow-heif", "heic").lines()


@pytest.mark.parametrize(
    ("width", "height", "expected"), [(10_000, 6_001, "too_large"), (900, 900, "too_small")]
)
def test_declared_sizes_are_refused_before_the_child_starts(
    width: int, height: int, expected: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(heic, "_ask_child", None)
    content = sound()["heic"]
    at = content.index(b"ispe") + 8
    lie = width.to_bytes(4, "big") + height.to_bytes(4, "big")
    assert reason(content[:at] + lie + content[at + 8 :]) == expected


def test_an_avif_is_no_photograph_that_is_read() -> None:
    content = sound()["heic"]
    assert reason(content[:8] + b"avif" + content[12:]) == "not_a_picture"


def test_a_picture_that_cannot_be_decoded_is_refused(capfd: pytest.CaptureFixture[str]) -> None:
    content = sound()["heic"]
    data = content.index(b"mdat") + 4
    assert reason(content[:data] + b"\xff" * (len(content) - data)) == "truncated"
    assert capfd.readouterr() == ("", "")


def test_the_child_is_ended_by_the_clock(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    sleeper = tmp_path / "sleeper"
    sleeper.write_text(f"#!{sys.executable}\nimport time\ntime.sleep(60)\n", encoding="utf-8")
    sleeper.chmod(0o755)
    monkeypatch.setattr(heic, "_WALL_CLOCK_SECONDS", 0.3)
    monkeypatch.setattr(sys, "executable", str(sleeper))
    assert reason(sound()["heic"]) == "truncated"


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no such limits")
def test_the_child_gives_up_memory_time_and_files(tmp_path: Path) -> None:
    file = tmp_path / "written"
    tries = f"""
from heelball.sheet.heic_child import close_files, limit
limit()
import resource
assert resource.getrlimit(resource.RLIMIT_CPU)[0] <= 20
try:
    bytearray(900_000_000)
except MemoryError:
    print("memory")
try:
    with open({str(file)!r}, "wb", buffering=0) as out:
        out.write(b"x")
except OSError:
    print("written")
close_files()
try:
    open({__file__!r})
except OSError:
    print("opened")
"""
    done = subprocess.run([sys.executable, "-I", "-c", tries], capture_output=True, text=True, check=False)
    assert (done.stdout.split(), done.stderr) == (["memory", "written", "opened"], "")
