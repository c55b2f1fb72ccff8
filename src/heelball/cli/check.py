"""``heelball check``: a pair that arrived, for the wearer it was ordered for."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from heelball.cli.clock import now
from heelball.cli.printing import print_all

_FILE: Final = click.Path(path_type=Path)
_FIT: Final = "PLACE=WORD,..."


@click.command()
@click.argument("wearer", type=_FILE, metavar="WEARER")
@click.option("--last", required=True, metavar="CODE", help="The last it is made on.")
@click.option("--size", required=True, metavar="SIZE", help="The size stamped on it.")
@click.option("--width", metavar="WIDTH", help="The width stamped on it, where there is one.")
@click.option("--lasts", required=True, type=_FILE, metavar="DIR", help="Folder of last files (TOML).")
@click.option("--flex-line", metavar="MM", help="From the inside heel to where it bends; or as 8 1/8 in.")
@click.option("--inside-length", metavar="MM", help="From the inside heel to the inside end, by a stick.")
@click.option("--left", metavar=_FIT, help="How the left one fits, such as ball=right,toe=little.")
@click.option("--right", metavar=_FIT, help="How the right one fits.")
@click.option("--days-left", type=int, metavar="N", help="Until it can no longer go back; 0: it cannot.")
@click.option("--runs", type=_FILE, metavar="FILE", help="How lasts run, as `learn --out` wrote it.")
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
def check(
    wearer: Path,
    last: str,
    size: str,
    width: str | None,
    lasts: Path,
    flex_line: str | None,
    inside_length: str | None,
    left: str | None,
    right: str | None,
    days_left: int | None,
    runs: Path | None,
    as_json: bool,
) -> int:
    """Say of a pair that arrived: keep it, adjust it, or exchange it.

    Places are ball, toe, breadth, girth and heel, words little, right and
    much; what is not known is left out. It says too what the pair teaches of
    its last.
    """
    from heelball.work.check import PairTyped
    from heelball.work.check import check as tell

    pair = PairTyped(last, size, width, flex_line, inside_length, {"left": left, "right": right}, days_left)
    told = tell(wearer, lasts, pair, today=now().date(), runs=runs, as_json=as_json)
    return print_all([told], as_json)
