"""``heelball sheet``: print the sheet that a wearer draws on, and read photographs of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from heelball.errors import PhotographError, UnreadableText, UsageError

if TYPE_CHECKING:
    from heelball.sheet.marking import Paper

_FILE: Final = click.Path(path_type=Path)
_JSON: Final = click.option("--json", "as_json", is_flag=True, help="Print one line of JSON each.")


@click.group()
def sheet() -> None:
    """Measure by post: print a sheet, read photographs of it."""


@sheet.command(name="print")
@click.argument("wearer", required=False, type=_FILE, metavar="[WEARER]")
@click.option("--paper", type=click.Choice(["a4", "letter"]), required=True, help="What it is printed on.")
@click.option(
    "--foot",
    type=click.Choice(["left", "right", "both"]),
    default="both",
    show_default=True,
    help="Whose pages are wanted.",
)
@click.option(
    "--foot-length", type=float, metavar="MM", help="Of the longer foot: a long one needs two pages."
)
@click.option("--out", type=_FILE, metavar="FILE", help="The PDF to make.")
@click.option("--describe", is_flag=True, help="Print where every mark stands (JSON) instead.")
def print_(
    wearer: Path | None, paper: str, foot: str, foot_length: float | None, out: Path | None, describe: bool
) -> int:
    """Make the sheet that a foot is drawn on, with its proof of scale and what to do.

    One page holds most feet; for a long one, tell its length or name the
    wearer's file.
    """
    from heelball.work.sheet_print import chosen_feet, describe_sheet, length_told, print_sheet

    size: Paper = "letter" if paper == "letter" else "a4"
    length = length_told(wearer, foot_length, chosen_feet(foot))
    if describe:
        if out is not None:
            raise UsageError("--describe writes no file.", "Leave --out away, or --describe.")
        from heelball.work.figures_json import json_line

        click.echo(json_line(describe_sheet(size, foot, length)))
        return 0
    if out is None:
        raise UsageError("There is no file to write the sheet to.", "Name one with --out FILE.pdf.")
    for line in print_sheet(size, foot, length, out):
        click.echo(line, err=True)
    return 0


@sheet.command()
@click.argument("photos", nargs=-1, required=True, type=_FILE, metavar="PHOTO...")
@click.option("--bar", metavar="ALONG[,ACROSS]", help="The printed bars by a ruler, mm.")
@click.option("--card", type=float, metavar="PERCENT", help="The line that the card's edge meets.")
@click.option("--tool", type=click.Choice(["pencil", "pen", "felt-pen"]), help="What was drawn with.")
@click.option(
    "--load",
    type=click.Choice(["standing", "one", "seated"]),
    default="standing",
    show_default=True,
    help="On both feet, all on that foot, or seated.",
)
@click.option("--alone", is_flag=True, help="Nobody helped: every ± is doubled.")
@click.option("--girth", type=float, metavar="MM", help="Round the ball, by the printed tape.")
@click.option("--instep", type=float, metavar="MM", help="Round the instep, by the printed tape.")
@click.option("--calibration", type=_FILE, metavar="FILE", help="What `sheet calibrate` wrote.")
@click.option("--overlay", type=_FILE, metavar="FILE", help="Draw what was found over the photograph.")
@click.option("--bare", is_flag=True, help="A bare foot stands on the sheet: coarser than a line.")
@click.option("--inner", metavar="X,Y", help="With --bare: the big toe's joint, pixels.")
@click.option("--outer", metavar="X,Y", help="With --bare: the little toe's joint.")
@_JSON
def read(
    photos: tuple[Path, ...],
    bar: str | None,
    card: float | None,
    tool: str | None,
    load: str,
    alone: bool,
    girth: float | None,
    instep: float | None,
    calibration: Path | None,
    overlay: Path | None,
    bare: bool,
    inner: str | None,
    outer: str | None,
    as_json: bool,
) -> int:
    """Read photographs of sheets that were drawn on, or stood on.

    Each says one foot in mm, with how far to trust it. Several of one foot's
    sheet are told together too. Ends with 5 where any was refused; the others
    are told all the same.
    """
    from heelball.cli.paper import Paper
    from heelball.errors import InputError
    from heelball.work.sheet_bare import ball_points, check_bare
    from heelball.work.sheet_read import Asked, read_all
    from heelball.work.sheet_told import check_told, read_bar

    points = ball_points(inner, outer, bare=bare, photographs=len(photos))
    if bare:
        check_bare(tool=tool, calibrated=calibration is not None)
    try:
        bars = None if bar is None else read_bar(bar)
    except UnreadableText as refused:
        raise InputError([refused.at("--bar")]) from None
    told = check_told(tool=tool, load=load, alone=alone, bar=bars, card=card, girth=girth, instep=instep)
    paper = Paper(as_json)
    code = 0
    asked = Asked(told, girth, instep, calibration, overlay, bare, *points)
    for count, one in enumerate(read_all(photos, asked, as_json=as_json)):
        if count and not as_json:
            paper.blank()
        paper.put(one.lines)
        if one.refused:
            code = PhotographError.exit_code
    return code


@sheet.command()
@click.argument("pairs", type=_FILE, metavar="PAIRS.csv")
@click.option("--out", required=True, type=_FILE, metavar="FILE", help="The file to make (JSON).")
def calibrate(pairs: Path, out: Path) -> int:
    """Learn how a hand draws, from feet read on a sheet and on the gauge.

    PAIRS.csv has the columns wearer, foot, what, sheet_mm, gauge_mm. What is
    learnt takes the place of judgement in `sheet read --calibration FILE`.
    """
    from heelball.work.sheet_calibrate import calibrate_sheets, calibration_lines

    for line in calibration_lines(calibrate_sheets(pairs, out)):
        click.echo(line)
    return 0
