"""What is declared, what is locked, and what is installed are one list."""

from __future__ import annotations

import re
import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
LOCKS = ("runtime", "test", "opencv410")

# One requirement of a lock: a pin, perhaps a marker, and its hashes on the lines below.
_PIN = re.compile(r"^(?P<name>[a-z0-9-]+)==(?P<version>[^ ;]+)(?: ; [^\\]+)? \\$")
_HASH = re.compile(r"^    --hash=sha256:[0-9a-f]{64}(?: \\)?$")


def locked(lock: str) -> set[tuple[str, str]]:
    lines = (REPOSITORY / "requirements" / f"{lock}.lock").read_text(encoding="utf-8").splitlines()
    return {(pin["name"], pin["version"]) for pin in map(_PIN.match, lines) if pin}


def asked(lines: list[str]) -> set[str]:
    return {line for line in lines if line and not line.startswith(("#", "-"))}


def test_runtime_in_asks_for_what_pyproject_declares() -> None:
    pyproject = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))
    project = pyproject["project"]
    extras = project["optional-dependencies"].values()
    declared = {*project["dependencies"], *(one for extra in extras for one in extra)}
    runtime = asked((REPOSITORY / "requirements" / "runtime.in").read_text(encoding="utf-8").splitlines())
    assert runtime == declared | set(pyproject["build-system"]["requires"])


@pytest.mark.parametrize("lock", LOCKS)
def test_every_line_of_a_lock_is_a_pin_or_a_hash(lock: str) -> None:
    lines = (REPOSITORY / "requirements" / f"{lock}.lock").read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not (_PIN.match(line) or _HASH.match(line))] == []
    assert [pin for pin, below in pairwise(lines) if _PIN.match(pin) and not _HASH.match(below)] == []


def test_the_tests_run_on_what_users_have() -> None:
    assert locked("runtime") <= locked("test")


def test_both_ends_of_opencv_are_tested_on_the_same_of_everything_else() -> None:
    declared = (REPOSITORY / "requirements" / "runtime.in").read_text(encoding="utf-8")
    lowest = re.search(r"^opencv-python-headless>=([0-9.]+),", declared, re.MULTILINE)
    assert lowest is not None
    (oldest,) = locked("opencv410") - locked("test")
    assert oldest[0] == "opencv-python-headless"
    assert oldest[1].startswith(f"{lowest[1]}.")


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_holds_what_was_asked_for(lock: str) -> None:
    lines = (REPOSITORY / "requirements" / f"{lock}.in").read_text(encoding="utf-8").splitlines()
    names = {re.split(r"[<>=[]", line)[0].replace("_", "-") for line in asked(lines)}
    assert names
    assert names <= {name for name, _ in locked(lock)}
