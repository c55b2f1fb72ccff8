"""The ``heelball`` command: words in, lines out, and an exit code that says how it went.

Nothing heavy is imported here: each command imports its use case when it runs, so that help
and mistakes in the command line cost no more than starting Python.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Final

import click

from heelball import __version__
from heelball.cli.bench import bench
from heelball.cli.check import check
from heelball.cli.clock import now
from heelball.cli.printing import DONE, print_all
from heelball.cli.records import records
from heelball.cli.sheet import sheet
from heelball.errors import HeelballError, InternalFault, UsageError

#: Where somebody stopped the command.
STOPPED: Final = 130

_FILE: Final = click.Path(path_type=Path)
_JSON: Final = click.option("--json", "as_json", is_flag=True, help="Print one line of JSON each.")

_RUNS: Final = click.option(
    "--runs", type=_FILE, metavar="FILE", help="How lasts run, as `learn --out` wrote it."
)


@click.group(
    no_args_is_help=False, context_settings={"help_option_names": ["--help"], "max_content_width": 80}
)
@click.version_option(__version__, message="heelball %(version)s")
def commands() -> None:
    """Say which label of which boot to order for a foot, how sure, and why.

    A stiff boot bends in one place only: it has to bend where the foot does.

    Ends with 0 when done; 1 when done and somebody must look first: nothing
    offered serves a wearer, or a foot should be seen or measured again; 2 when
    the input was wrong; 3 where an extra is missing; 4 where the records
    cannot be used; 5 where a photograph was refused.
    """


@commands.command()
@click.argument("wearers", nargs=-1, required=True, type=_FILE, metavar="WEARER...")
@click.option(
    "--lasts", "lasts", required=True, type=_FILE, metavar="DIR", help="Folder of last files (TOML)."
)
@_JSON
@click.option("--all-labels", is_flag=True, help="With --json: every label of every last, with its loss.")
@click.option(
    "--svg", "drawing", type=_FILE, metavar="FILE", help="Draw both feet in the best boot. One wearer only."
)
@click.option(
    "--detail",
    type=click.IntRange(min=0),
    metavar="N",
    help="Lasts told in full, best first.  [3; with --json 20]",
)
@_RUNS
def choose(
    wearers: tuple[Path, ...],
    lasts: Path,
    as_json: bool,
    all_labels: bool,
    drawing: Path | None,
    detail: int | None,
    runs: Path | None,
) -> int:
    """Rank every last for each wearer: what to order, and what the trade rule says.

    A WEARER is a wearer file (TOML), or a CSV of readings of many.
    """
    if all_labels and not as_json:
        raise UsageError("--all-labels goes with --json.", "Add --json.")
    from heelball.work.choose import choose as tell

    told = tell(
        wearers,
        lasts,
        today=now().date(),
        detailed=detail,
        as_json=as_json,
        all_labels=all_labels,
        drawing=drawing,
        runs=runs,
    )
    return print_all(told, as_json)


@commands.command()
@click.argument("files", nargs=-1, required=True, type=_FILE, metavar="TRYONS")
@click.option("--lasts", required=True, type=_FILE, metavar="DIR", help="Folder of last files (TOML).")
@click.option(
    "--wearers",
    "wearers",
    multiple=True,
    type=_FILE,
    metavar="FILE...",
    help="Readings of those who tried on: wearer files or CSV.",
)
@click.option("--out", type=_FILE, metavar="FILE", help="Write how lasts run, for `choose --runs`.")
@click.option("--strict", is_flag=True, help="Refuse the file where a row is wrong or a wearer unmeasured.")
@_JSON
def learn(
    files: tuple[Path, ...],
    lasts: Path,
    wearers: tuple[Path, ...],
    out: Path | None,
    strict: bool,
    as_json: bool,
) -> int:
    """Learn from try-ons how each last really runs.

    TRYONS is a CSV: a row for each foot of one report, place by place little,
    right or much. A wearer who is not among the wearer files teaches too, as
    one who was never measured.
    """
    from heelball.work.learn import learn as tell

    # An option takes one word: the further files of `--wearers a b c` come as arguments.
    try_ons, *more = files
    if more and not wearers:
        raise UsageError(f"Two files of try-ons, {try_ons.name} and {more[0].name}.", "Put them into one.")
    told = tell(
        try_ons, lasts, (*wearers, *more), today=now().date(), out=out, strict=strict, as_json=as_json
    )
    for line in told.remarks:
        click.echo(f"heelball: {line}", err=True)
    return print_all([told.told], as_json)


@commands.command()
@click.argument("wearers", nargs=-1, required=True, type=_FILE, metavar="WEARER...")
@click.option(
    "--lasts", type=_FILE, metavar="DIR", help="Folder of last files: pairs that a wearer owns are weighed."
)
@_RUNS
@_JSON
def foot(wearers: tuple[Path, ...], lasts: Path | None, runs: Path | None, as_json: bool) -> int:
    """Say what is known of both feet, in mm and in the trade's terms."""
    from heelball.work.foot import describe

    told = describe(wearers, today=now().date(), as_json=as_json, lasts_folder=lasts, runs=runs)
    return print_all(told, as_json)


@commands.command()
@click.argument("lasts", nargs=-1, required=True, type=_FILE, metavar="LAST...")
@_JSON
def last(lasts: tuple[Path, ...], as_json: bool) -> int:
    """Say which foot each label of a last is built for, and how that is known."""
    from heelball.work.last import describe

    return print_all(describe(lasts, as_json=as_json), as_json)


@commands.command()
@click.argument("code", metavar="LAST")
@click.option("--lasts", required=True, type=_FILE, metavar="DIR", help="Folder of last files (TOML).")
@click.option(
    "--for", "sex", type=click.Choice(["men", "women"]), help="Where its labels are for all adults."
)
@_RUNS
@click.option("--html", type=_FILE, metavar="FILE", help="The page to publish.")
@click.option("--pdf", type=_FILE, metavar="FILE", help="The same on paper.")
@click.option("--csv", "table", type=_FILE, metavar="FILE", help="The table.")
@_JSON
def guide(
    code: str,
    lasts: Path,
    sex: str | None,
    runs: Path | None,
    html: Path | None,
    pdf: Path | None,
    table: Path | None,
    as_json: bool,
) -> int:
    """Make a size guide of one last, to publish.

    For each ball size and breadth read on the foot gauge, the label to order,
    over which lengths that holds, and who must be measured in person.
    """
    from heelball.work.guide import guide as tell

    told = tell(
        code,
        lasts,
        today=now().date(),
        sex="women" if sex == "women" else "men" if sex else None,
        runs=runs,
        html=html,
        pdf=pdf,
        table=table,
        as_json=as_json,
    )
    return print_all([told], as_json)


@commands.command()
@click.argument("value")
@click.option("--from", "source", required=True, metavar="SCALE", help="A size scale, or mm, cm, in.")
@click.option("--to", "target", required=True, metavar="SCALE", help="A size scale, or mm, cm, in.")
@_JSON
def convert(value: str, source: str, target: str, as_json: bool) -> int:
    """Convert a size through the foot it stands for.

    Where editions of a scale disagree, a low and a high are given too.
    """
    from heelball.work.convert import convert_lines, convert_text

    record = convert_text(value, source, target)
    if as_json:
        from heelball.work.figures_json import json_line

        click.echo(json_line(record))
    else:
        click.echo("\n".join(convert_lines(record)))
    return DONE


commands.add_command(bench)
commands.add_command(check)
commands.add_command(records)
commands.add_command(sheet)


def main() -> None:
    """Run the command the process was started with, and end with its exit code."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run the command and return its exit code; no traceback reaches a person.

    Parameters
    ----------
    arguments
        Words of the command line.
    """
    try:
        # Not commands.main(): it would print and exit by itself where we promise another code.
        with commands.make_context("heelball", list(arguments)) as context:
            code = commands.invoke(context)
        sys.stdout.flush()
    except HeelballError as error:
        return _failed(error.lines(), error.exit_code)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.ClickException as error:
        hint = f" See {_path_of(error)} --help." if isinstance(error, click.UsageError) else ""
        return _failed([f"{error.format_message()}{hint}"], UsageError.exit_code)
    except (KeyboardInterrupt, click.Abort):
        return STOPPED
    except BrokenPipeError:
        # Whoever read our output has seen enough; nothing more can be said there.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as fault:
        return _failed(
            [f"A fault of ours, not of your input: {type(fault).__name__}: {fault}"], InternalFault.exit_code
        )
    return code if isinstance(code, int) else DONE


def _path_of(error: click.UsageError) -> str:
    return error.ctx.command_path if error.ctx is not None else "heelball"


def _failed(lines: list[str], code: int) -> int:
    for line in lines:
        click.echo("heelball: " + " ".join(line.split()), err=True)
    return code


if __name__ == "__main__":
    main()
