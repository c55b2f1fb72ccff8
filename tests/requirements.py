"""What some tests need beyond Python: said in one line where it is missing, and never missing in CI."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

import pytest

_REPOSITORY: Final = Path(__file__).resolve().parents[1]


def require(condition: object, what: str, how: str) -> None:
    """Skip the test where `condition` is false; fail it instead where ``CI=true``.

    Parameters
    ----------
    condition
        Whether the thing needed is there.
    what
        The thing needed, as the subject of a sentence: ``the program 'units'``.
    how
        The command or step that brings it.
    """
    if condition:
        return
    line = f"{what} is missing; get it with: {how}"
    if os.environ.get("CI", "").lower() == "true":
        pytest.fail(line, pytrace=False)
    pytest.skip(line)


def shared(*parts: str) -> Path:
    """Return a file of the data that stands beside the repository; skip (fail in CI) where it is missing.

    The folder holding ``data/`` and ``reference/`` is named by ``HEELBALL_SHARED``, else
    ``../shared`` of the repository.
    """
    folder = Path(os.environ.get("HEELBALL_SHARED") or _REPOSITORY.parent / "shared")
    path = folder.joinpath(*parts)
    require(
        path.exists(),
        f"the shared file {'/'.join(parts)}",
        "set HEELBALL_SHARED to the folder that has data/ and reference/",
    )
    return path
