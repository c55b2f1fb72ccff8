"""``heelball bench``: start it, set its passphrase, hand out tokens for the JSON API."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from heelball.cli.clock import now
from heelball.errors import MissingExtra

if TYPE_CHECKING:
    from heelball.records.store import Records

_FILE: Final = click.Path(path_type=Path)
_PORT: Final = 4380
_RECORDS: Final = click.option(
    "--records", metavar="PATH-or-URL", help="The records.  [in the user's data folder]"
)


@click.group(invoke_without_command=True)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=_PORT,
    show_default=True,
    metavar="N",
    help="Where to listen; 0 for any free port.",
)
@_RECORDS
@click.option(
    "--listen", metavar="ADDRESS", help="Listen on a network: an address of this machine, or 0.0.0.0."
)
@click.option("--tls-cert", type=_FILE, metavar="FILE", help="Certificate (PEM).  [one signed by itself]")
@click.option("--tls-key", type=_FILE, metavar="FILE", help="Its key (PEM).")
@click.option("--insecure", is_flag=True, help="On a network without encryption; each page says so.")
@click.option("--host-name", "host_names", multiple=True, metavar="NAME", help="A further name to answer to.")
@click.pass_context
def bench(context: click.Context, /, **options: Any) -> int:
    """Open the bench: pages to work at, on this machine unless told.

    Prints the address and serves until it is stopped. On a network it asks for
    the passphrase, and its pages go out under TLS.
    """
    context.obj = options["records"]
    if context.invoked_subcommand is not None:
        return 0
    with _pages_installed():
        from heelball.bench.serve import Wanted, serve
    serve(Wanted(**options), clock=now, say=click.echo, remark=_remark)
    return 0


@bench.command()
def passphrase() -> int:
    """Set the passphrase that a bench on a network opens with.

    Asked for twice at a terminal; else one line is read from standard input.
    A bench that is running takes it when it is started next, and every log-in
    made with the old one ends then.
    """
    with _pages_installed():
        from heelball.bench.passphrase import set_passphrase
    from heelball.records.where import data_folder

    if sys.stdin.isatty():
        given = click.prompt("Passphrase", hide_input=True, confirmation_prompt="Once more")
    else:
        given = sys.stdin.readline().rstrip("\r\n")
    set_passphrase(data_folder(), given)
    click.echo("The passphrase is set.")
    return 0


@bench.group()
def token() -> None:
    """Hand out, list or revoke tokens for the JSON API on a network."""


@token.command()
@click.argument("name")
@_RECORDS
@click.pass_context
def add(context: click.Context, name: str, records: str | None) -> int:
    """Make a token called NAME and print it: this once, it is kept nowhere."""
    from heelball.work import bench_tokens

    with _opened(context, records) as kept:
        click.echo(bench_tokens.add(kept, name, now()))
    return 0


@token.command("list")
@_RECORDS
@click.pass_context
def list_(context: click.Context, records: str | None) -> int:
    """List the tokens, when they were made and when last used."""
    from heelball.work import bench_tokens

    with _opened(context, records) as kept:
        for one in bench_tokens.listed(kept):
            used = f"last used {one.used_at[:10]}" if one.used_at else "never used"
            click.echo(f"{one.name}: made {one.made_at[:10]}, {used}")
    return 0


@token.command()
@click.argument("name")
@_RECORDS
@click.pass_context
def revoke(context: click.Context, name: str, records: str | None) -> int:
    """Revoke the token called NAME: nobody gets in with it any more."""
    from heelball.work import bench_tokens

    with _opened(context, records) as kept:
        bench_tokens.revoke(kept, name)
    click.echo(f"Revoked: {name}")
    return 0


def _remark(text: str) -> None:
    # Only the address goes to standard output, so that a script can read it.
    click.echo(text, err=True)


@contextmanager
def _opened(context: click.Context, records: str | None) -> Iterator[Records]:
    from heelball.records.store import open_records

    kept = open_records(records or context.obj, now=now())
    try:
        yield kept
    finally:
        kept.close()


@contextmanager
def _pages_installed() -> Iterator[None]:
    try:
        yield
    except ModuleNotFoundError as missing:
        if (missing.name or "").partition(".")[0] == "heelball":
            raise
        raise MissingExtra("The bench", "bench") from missing
