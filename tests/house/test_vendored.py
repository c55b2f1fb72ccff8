"""What is vendored for the tests is what its table says it is."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

VENDOR = Path(__file__).resolve().parents[1] / "vendor"


def test_the_checksum_is_that_of_the_file() -> None:
    table = (VENDOR / "README.md").read_text(encoding="utf-8")
    told = dict(re.findall(r"^\| `([^`]+)` .* `([0-9a-f]{64})` \|$", table, re.MULTILINE))
    assert told.keys() == {path.name for path in VENDOR.glob("*.js")}
    for name, checksum in told.items():
        assert hashlib.sha256((VENDOR / name).read_bytes()).hexdigest() == checksum
