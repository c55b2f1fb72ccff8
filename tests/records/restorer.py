"""A process that restores or exports and kills itself at the n-th call into the system.

``restorer.py restore PLACE FILE N`` and ``restorer.py export PLACE FILE N``, where N counts what the
process opens, renames, removes, makes or connects to from the start of the work on.
"""

from __future__ import annotations

import os
import signal
import sys
from datetime import UTC, datetime
from pathlib import Path

from heelball.work.records_backup import put_back
from heelball.work.records_export import export

NOW = datetime(2026, 11, 25, 17, 40, tzinfo=UTC)

COUNTED = (
    "open",
    "os.rename",
    "os.remove",
    "os.mkdir",
    "os.rmdir",
    "os.chmod",
    "sqlite3.connect",
    "shutil.copyfile",
)


def main() -> None:
    task, place, file, wanted = sys.argv[1:]
    count = 0

    def told(event: str, _arguments: object) -> None:
        nonlocal count
        if event in COUNTED:
            count += 1
            if count == int(wanted):
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(told)
    if task == "restore":
        put_back(place, Path(file), now=NOW)
    else:
        export(place, Path(file), now=NOW)
    # Only where it was not killed: how many calls there were.
    sys.stdout.write(f"{count}\n")


if __name__ == "__main__":
    main()
