"""Fixtures of open records, on SQLite and on a PostgreSQL server that is started for the tests.

A folder of tests that wants them imports them all into its ``conftest.py``, as
``tests/records/conftest.py`` does.
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Final

import pytest

from heelball.records.schema import metadata
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from tests.requirements import require

NOW: Final = datetime(2026, 11, 25, 18, 40, 5, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture
def now() -> datetime:
    """Return the time that the tests take for now, with its zone."""
    return NOW


@pytest.fixture
def author() -> Author:
    """Return the fitter who writes in the tests."""
    return Author("QB", NOW)


class Server:
    """A PostgreSQL server in a folder of its own, reached by a socket in it and by nothing else."""

    def __init__(self, programs: Path) -> None:
        self._programs = programs
        self._made = 0
        self.folder = Path(tempfile.mkdtemp(prefix="heelball-pg-"))
        if os.geteuid() == 0:
            # The server refuses to run as root.
            shutil.chown(self.folder, "postgres", "postgres")
        data = self.folder / "data"
        # A language's own order of letters, as on most servers: what is sorted must not hang on it.
        language = ("--locale-provider=icu", "--icu-locale=en-US", "-E", "UTF8")
        self._run("initdb", "-D", str(data), "-A", "trust", "-U", "fitter", "--no-sync", *language)
        # Waits for its input to end, as it does when this process does, killed or not.
        stop = shlex.join(self._command("pg_ctl", "-D", str(data), "-m", "immediate", "-w", "stop"))
        self._keeper = subprocess.Popen(
            ["/bin/sh", "-c", f"read -r _; {stop}; rm -rf {shlex.quote(str(self.folder))}"],
            cwd="/",
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        settings = f"-k {self.folder} -c listen_addresses= -c fsync=off"
        log = str(self.folder / "log")
        self._run("pg_ctl", "-D", str(data), "-o", settings, "-l", log, "-w", "start")

    def new_address(self) -> str:
        """Return the address of a new database with nothing in it."""
        self._made += 1
        database = f"records_{self._made}"
        self._run("createdb", "-h", str(self.folder), "-U", "fitter", database)
        return f"postgresql://fitter@/{database}?host={self.folder}"

    def stop(self) -> None:
        """Stop the server and take its folder away."""
        self._keeper.communicate(timeout=60)
        assert not self.folder.exists()

    def _command(self, program: str, *words: str) -> list[str]:
        command = [str(self._programs / program), *words]
        return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else command

    def _run(self, program: str, *words: str) -> None:
        command = self._command(program, *words)
        done = subprocess.run(command, cwd="/", capture_output=True, text=True, timeout=60)
        assert done.returncode == 0, f"{program}: {done.stdout}{done.stderr}"


#: One server for all folders of tests that import the fixture.
_started: list[Server] = []


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[Server]:
    """Return a running PostgreSQL server; skip (fail in CI) where Debian's is not installed."""
    if not _started:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
        require(found, "PostgreSQL", "apt-get install postgresql")
        _started.append(Server(found[-1].parent))
    yield _started[0]
    while _started:
        _started.pop().stop()


@pytest.fixture(scope="session")
def postgresql_database(postgresql_server: Server) -> Iterator[tuple[str, Records]]:
    """Return the address of a database with the tables of the records in it, and the records opened."""
    address = postgresql_server.new_address()
    opened = open_records(address, now=NOW)
    yield address, opened
    opened.close()


@pytest.fixture
def postgresql(postgresql_database: tuple[str, Records]) -> str:
    """Return the address of a database whose tables are there and empty."""
    address, opened = postgresql_database
    # All in one go, children first: emptying twenty small tables so takes a few milliseconds.
    names = [table.name for table in reversed(metadata.sorted_tables)]
    with opened.writing() as connection:
        connection.exec_driver_sql("; ".join(f'DELETE FROM "{name}"' for name in names))
    return address


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a closed file of empty records, to be copied: making one costs a tenth of a second."""
    opened = open_records(tmp_path_factory.mktemp("empty"), now=NOW)
    opened.close()
    assert opened.path is not None
    return opened.path


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def records(request: pytest.FixtureRequest, tmp_path: Path, empty_file: Path) -> Iterator[Records]:
    """Return empty records, once on SQLite and once on PostgreSQL."""
    if request.param == "sqlite":
        where: str | Path = tmp_path / "kept"
        (tmp_path / "kept").mkdir(0o700)
        shutil.copy(empty_file, where)
    else:
        where = str(request.getfixturevalue("postgresql"))
    opened = open_records(where, now=NOW)
    yield opened
    opened.close()
