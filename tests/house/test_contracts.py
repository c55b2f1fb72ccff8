"""The import contracts of pyproject.toml: one way, a pure core, no cycles."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
LINT_IMPORTS = Path(sys.executable).with_name("lint-imports")


def lint(house: Path) -> subprocess.CompletedProcess[str]:
    """Run the contracts on the package under `house`, whatever is installed."""
    return subprocess.run(
        [LINT_IMPORTS, "--no-logo", "--no-cache"],
        cwd=house,
        env={"PYTHONPATH": str(house / "src")},
        capture_output=True,
        text=True,
    )


def test_contracts_hold() -> None:
    kept = lint(REPOSITORY)
    assert kept.returncode == 0, kept.stdout + kept.stderr


@pytest.mark.parametrize(
    ("file", "line"),
    [
        pytest.param("units.py", "import heelball.foot.vector", id="upward"),
        pytest.param("foot/vector.py", "import heelball.last.values", id="between siblings"),
        pytest.param("foot/vector.py", "import pathlib", id="a file in the core"),
        pytest.param("fit/wearer.py", "def f():\n    import random", id="hidden in a function"),
        pytest.param("scales/size_scale.py", "import heelball.scales.catalogue", id="a cycle"),
        pytest.param("bench/pages/home.py", "import heelball.records.wearers", id="a page at the rows"),
        pytest.param("spare.py", "", id="a room without a place"),
    ],
)
def test_contracts_break_when_a_rule_is_broken(tmp_path: Path, file: str, line: str) -> None:
    shutil.copytree(REPOSITORY / "src", tmp_path / "src", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(REPOSITORY / "pyproject.toml", tmp_path)
    with (tmp_path / "src/heelball" / file).open("a", encoding="utf-8") as module:
        module.write(f"\n{line}\n")
    assert lint(tmp_path).returncode == 1
