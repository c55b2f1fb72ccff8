"""The pages know every command, option, exit code and error, and what they show is what is printed."""

from __future__ import annotations

import doctest
import importlib
import os
import pkgutil
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

import heelball
from heelball import errors
from heelball.scales.catalogue import size_scales

REPOSITORY = Path(__file__).resolve().parents[2]
DOCS = REPOSITORY / "docs"
COMMANDS = (DOCS / "commands.md").read_text(encoding="utf-8")
ERRORS = (DOCS / "errors.md").read_text(encoding="utf-8")

# A file is shown in a block whose first line is a comment with its name; a run, as typed and printed.
_FILE = re.compile(r"^```toml\n# (?P<name>\S+\.toml)\n.*?^```$", re.MULTILINE | re.DOTALL)
_BLOCK = re.compile(r"^```console\n(?P<runs>\$ heelball .*?)^```$", re.MULTILINE | re.DOTALL)
_RUN = re.compile(r"^\$ heelball (?P<words>.*)\n(?P<printed>(?:(?!\$ ).*\n)*)", re.MULTILINE)
PAGES = [page for page in sorted(DOCS.glob("*.md")) if _BLOCK.search(page.read_text(encoding="utf-8"))]


def commands() -> click.Group:
    """Return the command group; it is imported only when a test asks."""
    from heelball.cli.main import commands as group

    return group


def every_command(group: click.Group, path: str = "heelball") -> Iterator[tuple[str, click.Command]]:
    """Yield each command with the words it is called by, groups among them."""
    for name, command in group.commands.items():
        yield f"{path} {name}", command
        if isinstance(command, click.Group):
            yield from every_command(command, f"{path} {name}")


def section(page: str, heading: str) -> str:
    """Return what stands under a heading, up to the next of its level or a higher one."""
    found = re.search(rf"(?m)^(##+) {re.escape(heading)}$", page)
    if found is None:
        return ""
    rest = page[found.end() :]
    # A single # starts a comment of a file that is shown, never a heading within a page.
    following = re.search(rf"(?m)^#{{2,{len(found[1])}}} ", rest)
    return rest[: following.start()] if following else rest


def error_classes() -> Iterator[type[errors.HeelballError]]:
    """Yield every error a person may meet, wherever it is defined."""
    for module in pkgutil.walk_packages(heelball.__path__, "heelball."):
        importlib.import_module(module.name)
    waiting: list[type[errors.HeelballError]] = [errors.HeelballError]
    while waiting:
        one = waiting.pop()
        yield one
        waiting += one.__subclasses__()


def test_every_command_has_its_section_and_every_option_its_line() -> None:
    found = dict(every_command(commands()))
    assert {"heelball choose", "heelball bench token add", "heelball records erase"} <= found.keys()
    for words, command in found.items():
        text = section(COMMANDS, words)
        assert text, f"docs/commands.md has no section for {words}"
        # What is said of a command of the group says nothing of the group's own options.
        own = re.split(r"(?m)^##+ heelball ", text)[0]
        for parameter in command.params:
            wanted = (
                parameter.opts
                if isinstance(parameter, click.Option)
                else [parameter.make_metavar(_context())]
            )
            missing = [word for word in wanted if word not in own]
            assert not missing, f"docs/commands.md, {words}: {missing}"


def _context() -> click.Context:
    return click.Context(commands())


def test_no_option_stands_there_that_no_command_takes() -> None:
    group = commands()
    every = [group, *(command for _words, command in every_command(group))]
    known = {word for one in every for parameter in one.params for word in parameter.opts} | {"--help"}
    assert set(re.findall(r"--[a-z][a-z-]*", COMMANDS)) <= known
    for words, command in every_command(group):
        takes = {word for parameter in command.params for word in parameter.opts}
        shown = re.findall(rf"(?m)^{words} [^a-z].*$", section(COMMANDS, words))
        assert set(re.findall(r"--[a-z][a-z-]*", " ".join(shown))) <= takes, words


def test_every_scale_stands_in_the_list() -> None:
    listed = set(re.findall(r"`([a-z0-9.-]+)`", section(COMMANDS, "heelball convert")))
    assert set(size_scales()) <= listed


def test_every_error_has_its_section_with_a_remedy_and_its_code() -> None:
    for error in error_classes():
        text = section(ERRORS, error.__name__)
        assert text, f"docs/errors.md has no section for {error.__name__}"
        if error is not errors.HeelballError:
            assert "*Remedy:*" in text, error.__name__
            assert re.search(rf"^\| {error.exit_code} \|.*`{error.__name__}`", ERRORS, re.MULTILINE), (
                error.__name__
            )


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_a_page_shows_is_what_is_printed(page: Path, tmp_path: Path) -> None:
    text = page.read_text(encoding="utf-8")
    # The errors page borrows the tutorial's files, as a reader does.
    for shown in (*_FILE.finditer((DOCS / "tutorial.md").read_text(encoding="utf-8")), *_FILE.finditer(text)):
        file = tmp_path / shown["name"]
        file.parent.mkdir(exist_ok=True)
        file.write_text(shown[0].removeprefix("```toml\n").removesuffix("```"), encoding="utf-8")
    checker = doctest.OutputChecker()
    for run in (run for block in _BLOCK.finditer(text) for run in _RUN.finditer(block["runs"])):
        done = subprocess.run(
            [sys.executable, "-c", "from heelball.cli.main import main; main()", *shlex.split(run["words"])],
            cwd=tmp_path,
            env=os.environ | {"HEELBALL_DATA": str(tmp_path / "records")},
            capture_output=True,
            text=True,
        )
        printed = done.stdout + done.stderr
        assert checker.check_output(run["printed"], printed, doctest.ELLIPSIS), f"{run['words']}\n{printed}"
