"""A bench served by the command itself, in a process of its own, on loopback."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

_ADDRESS: Final = re.compile(r"https?://[^\s]+")


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port: int = door.getsockname()[1]
        return port


@contextmanager
def served(folder: Path, *options: str) -> Iterator[str]:
    """Yield the address of a bench over the records in `folder`; it must stop cleanly when told to."""
    environment = {**os.environ, "HEELBALL_DATA": str(folder), "PYTHONUNBUFFERED": "1"}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", "heelball.cli.main", "bench", "--port", str(free_port()), *options]
    with (folder / "bench.log").open("w") as log:
        process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=log, text=True, env=environment, cwd=folder
        )
        assert process.stdout is not None
        try:
            line = process.stdout.readline()
            found = _ADDRESS.search(line)
            assert found, f"no address in {line!r}; {(folder / 'bench.log').read_text()}"
            yield found.group().rstrip("/.")
        finally:
            process.send_signal(signal.SIGTERM)
            code = process.wait(timeout=20)
            process.stdout.close()
    assert code == 0, (folder / "bench.log").read_text()
