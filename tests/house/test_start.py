"""Starting stays cheap: what is heavy is imported only by what uses it."""

from __future__ import annotations

import subprocess
import sys

# Says which of the heavy modules are loaded once the lines before it have run.
_REPORT = "\nprint(*[m for m in {heavy!r} if m in sys.modules], file=sys.stderr)"


def loaded_after(lines: str, heavy: tuple[str, ...]) -> list[str]:
    """Return which of `heavy` a fresh interpreter has loaded after running `lines`."""
    run = subprocess.run(
        [sys.executable, "-c", "import sys\n" + lines + _REPORT.format(heavy=heavy)],
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stderr
    return run.stderr.split()


def test_help_is_printed_without_numpy() -> None:
    lines = """
from heelball.cli.main import main
sys.argv = ["heelball", "--help"]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
"""
    assert loaded_after(lines, ("numpy", "scipy", "rich")) == []


def test_no_room_imports_special_functions_or_statistics_at_its_door() -> None:
    lines = """
import importlib, pkgutil, heelball
for module in pkgutil.walk_packages(heelball.__path__, "heelball."):
    importlib.import_module(module.name)
"""
    assert loaded_after(lines, ("scipy.stats", "scipy.special", "rich")) == []


def test_a_loaded_module_is_seen() -> None:
    assert loaded_after("import json, csv", ("csv", "json", "sqlite3")) == ["csv", "json"]
