"""``heelball records``: back up, put back, look over, take out, bring in, erase."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import click

from heelball.cli.clock import now
from heelball.errors import RecordsError, UsageError

_FILE: Final = click.Path(path_type=Path)
_RECORDS: Final = click.option(
    "--records", "where", metavar="PATH-or-URL", help="The records.  [in the user's data folder]"
)
_CODE: Final = "CODE"


def _print(lines: Iterable[str]) -> int:
    for line in lines:
        click.echo(line)
    return 0


@click.group()
def records() -> None:
    """Keep the records: back up, put back, look over, take out, bring in, erase."""


@records.command()
@click.option(
    "--to", type=_FILE, metavar="FILE", help="The file to make.  [in the folder backups beside the records]"
)
@_RECORDS
def backup(to: Path | None, where: str | None) -> int:
    """Back the records up, while they may be in use."""
    from heelball.work.records_backup import back_up

    return _print(back_up(where, to, now=now()))


@records.command()
@click.argument("backup", type=_FILE, metavar="FILE")
@_RECORDS
def restore(backup: Path, where: str | None) -> int:
    """Put a backup in the place of the records.

    What is there is backed up first. Whoever was erased since the backup was
    made is erased from it again. No bench may be running.
    """
    from heelball.work.records_backup import put_back

    return _print(put_back(where, backup, now=now()))


@records.command()
@_RECORDS
def check(where: str | None) -> int:
    """Look the records over, and print what is wrong, one line each.

    Ends with 4 where anything is.
    """
    from heelball.work.records_check import check as look_over

    checked = look_over(where, now=now())
    _print(checked.problems or ["Nothing is wrong with the records."])
    _remark(checked.remarks)
    return RecordsError.exit_code if checked.problems else 0


@records.command()
@click.option("--out", type=_FILE, metavar="FILE", help="Write how lasts run too, for `choose --runs`.")
@_RECORDS
def learn(out: Path | None, where: str | None) -> int:
    """Learn from every try-on in the records how each last runs.

    What is learned is kept, and answers are given by it from then on. It holds
    nothing of any wearer.
    """
    from heelball.cli.printing import print_all
    from heelball.work.records_learn import learn_here

    done = learn_here(where, now=now(), out=out)
    _remark(done.remarks)
    return print_all([done.told], as_json=False)


@records.command()
@click.argument("to", type=_FILE, metavar="DIR|FILE")
@click.option(
    "--format",
    "format_",
    type=click.Choice(["toml", "csv", "parquet"]),
    help="TOML is one file, the others a folder.  [toml for a name ending so, else csv]",
)
@click.option("--wearer", metavar=_CODE, help="Only what this wearer takes away.")
@click.option("--health", is_flag=True, help="The health answers consented to, and nothing else.")
@_RECORDS
def export(to: Path, where: str | None, **options: Any) -> int:
    """Take the records out as files that `import` reads, health answers apart."""
    from heelball.work.records_export import export as take_out

    return _print(take_out(where, to, **options, now=now()))


@records.command(name="import")
@click.argument("paths", nargs=-1, required=True, type=_FILE, metavar="PATH...")
@_RECORDS
def import_(paths: tuple[Path, ...], where: str | None) -> int:
    """Bring files in, all of them or nothing.

    A PATH is an export in any format, a wearer file, a CSV of readings, a last
    file, or a folder of them.
    """
    from heelball.work.records_import import bring_in

    return _print(bring_in(where, paths, now=now()))


@records.command()
@click.argument("code", required=False, metavar=_CODE)
@click.option("--yes", is_flag=True, help="Do not ask for the code again.")
@click.option(
    "--finish", is_flag=True, help="Take out of the files what an erase beside a bench had to leave."
)
@_RECORDS
def erase(code: str | None, yes: bool, finish: bool, where: str | None) -> int:
    """Erase a wearer from the records, for good.

    Try-ons stay, without anything that leads to the wearer, only where the
    wearer agreed to that.
    """
    from heelball.work import records_erase

    if finish == (code is not None):
        raise UsageError("Erase takes the code of a wearer, or --finish.", "Give one of them.")
    if code is None:
        return _print(records_erase.finish_erasing(where, now=now()))
    records_erase.find_erasable(where, code, now=now())
    if not yes and click.prompt("Nothing brings it back. Type the code again", err=True) != code:
        raise UsageError("That is another code; nothing was erased.", "Type the same code again.")
    done = records_erase.erase(where, code, now=now())
    _print(done.lines)
    if done.unfinished is not None:
        raise done.unfinished
    return 0


def _remark(lines: Iterable[str]) -> None:
    for line in lines:
        click.echo(f"heelball: {line}", err=True)
