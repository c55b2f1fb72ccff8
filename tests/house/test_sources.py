"""Every source named in the code stands in docs/references.md, where a reader can look it up."""

from __future__ import annotations

import re
from pathlib import Path

from heelball.scales.catalogue import size_scales

REPOSITORY = Path(__file__).resolve().parents[2]
REFERENCES = REPOSITORY / "docs" / "references.md"

# S3, S42: size scales. A key opens the line that describes its source, whatever the mark-up.
_KEY = re.compile(r"\bS\d{1,2}\b")
_ENTRY = re.compile(r"^[\s>*#|`(\[-]*(S\d{1,2})\b", re.MULTILINE)


def entries() -> set[str]:
    return set(_ENTRY.findall(REFERENCES.read_text(encoding="utf-8")))


def test_every_scale_names_sources_that_are_listed() -> None:
    named = {scale.name: set(_KEY.findall(scale.source)) for scale in size_scales().values()}
    assert [name for name, keys in named.items() if not keys] == []
    listed = entries()
    assert {name: keys - listed for name, keys in named.items() if keys - listed} == {}


def test_every_key_in_the_code_is_listed() -> None:
    listed = entries()
    files = [path for end in ("*.py", "*.toml", "*.csv") for path in (REPOSITORY / "src").rglob(end)]
    named = {path.name: set(_KEY.findall(path.read_text(encoding="utf-8"))) for path in files}
    assert {name: keys - listed for name, keys in named.items() if keys - listed} == {}
