"""The use case behind ``heelball sheet read``: photographs in, one line of readings each out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final, Literal

from attrs import frozen

from heelball.errors import InputError, PhotographError, Problem, UsageError
from heelball.sheet.values import FOOT, Circumstances, Refused
from heelball.show.page import Line, heading, items, paragraph, table
from heelball.work.documents import names_of
from heelball.work.figures_json import json_line
from heelball.work.new_file import check_folder, write_new_bytes
from heelball.work.sheet_bare import bare_line
from heelball.work.sheet_calibrate import read_calibration
from heelball.work.sheet_extra import need_reader
from heelball.work.sheet_json import MEASURE_WORDS, refused_line, sheet_line

#: A photograph's file may be so large [bytes]; larger ones are not opened.
LARGEST: Final = 100 * 1024 * 1024

_PICTURES: Final[dict[str, Literal["jpg", "png"]]] = {".jpg": "jpg", ".jpeg": "jpg", ".png": "png"}
_WITNESSES: Final = {"bar": "by the bars", "card": "by the card", "edges": "by the paper's edges"}


@frozen
class Asked:
    """What is asked of all photographs of one call.

    Parameters
    ----------
    told
        What the wearer told beside the sheet.
    girth, instep
        As read from the printed tape [mm].
    calibration
        A file of ``heelball sheet calibrate``.
    overlay
        Where the photograph with what was found on it is written.
    bare
        Whether a bare foot stands on the sheet and nothing was drawn.
    inner, outer
        The ball points that a person gave on a bare foot [pixels].
    """

    told: Circumstances
    girth: float | None = None
    instep: float | None = None
    calibration: Path | None = None
    overlay: Path | None = None
    bare: bool = False
    inner: tuple[float, float] | None = None
    outer: tuple[float, float] | None = None


@frozen
class _Way:
    """How photographs are read: of a drawn line, or of a bare foot."""

    read: Callable[[bytes, str], Any]
    line: Callable[..., dict[str, Any]]
    over: Callable[[Any, bytes, Literal["jpg", "png"]], bytes]
    together: Callable[[Sequence[Any]], Any]


@frozen
class ToldPhotograph:
    """What is printed of one photograph, and whether it was refused."""

    lines: tuple[Line, ...]
    refused: bool


def read_all(photos: Sequence[Path], asked: Asked, *, as_json: bool) -> Iterator[ToldPhotograph]:
    """Yield what is printed of each photograph in turn, then of several of one foot together.

    Raises
    ------
    InputError
        Where a file cannot be opened, before the first is read.
    UsageError
        Where one overlay is asked for and several photographs are named.
    MissingExtra
        Where what reads photographs is not installed.
    PhotographError
        After all else is told, where photographs of one foot contradict each other.
    """
    if asked.overlay is not None:
        if len(photos) > 1:
            raise UsageError(
                f"--overlay draws on exactly one photograph; here are {len(photos)}.", "Name one photograph."
            )
        if asked.overlay.suffix.lower() not in _PICTURES:
            raise InputError.at(
                "--overlay", f"a file ending in {asked.overlay.suffix or 'nothing'}", ".jpg or .png"
            )
        check_folder(asked.overlay, "--overlay")
    names = names_of(photos)
    _check_files(photos, names)
    need_reader()
    way = _bare(asked) if asked.bare else _drawn(asked)
    taken: dict[str, list[Any]] = {}
    for photo, name in zip(photos, names, strict=True):
        content = _content(photo, name)
        try:
            reading = way.read(content, name)
        except Refused as refused:
            yield _refused(name, refused, as_json=as_json)
            continue
        if asked.overlay is not None:
            kind = _PICTURES[asked.overlay.suffix.lower()]
            write_new_bytes(asked.overlay, way.over(reading, content, kind), "--overlay")
        taken.setdefault(reading.foot, []).append(reading)
        yield _told(way, reading, asked, as_json=as_json)
    contradicted: list[PhotographError] = []
    for readings in taken.values():
        if len(readings) > 1:
            photographs = [one.photo for one in readings]
            try:
                both = way.together(readings)
            except PhotographError as refused:
                contradicted.append(refused)
                continue
            yield _told(way, both, asked, as_json=as_json, photos=photographs)
    if contradicted:
        raise contradicted[0]


def _drawn(asked: Asked) -> _Way:
    calibration = None if asked.calibration is None else read_calibration(asked.calibration)
    from heelball.sheet.overlay import overlay_picture
    from heelball.sheet.reading import read_photograph, together

    return _Way(
        lambda content, name: read_photograph(content, name, asked.told, calibration),
        sheet_line,
        overlay_picture,
        together,
    )


def _bare(asked: Asked) -> _Way:
    from heelball.sheet.bare import read_bare
    from heelball.sheet.bare_overlay import bare_overlay
    from heelball.sheet.bare_together import bare_together

    return _Way(
        lambda content, name: read_bare(content, name, asked.told, asked.inner, asked.outer),
        bare_line,
        bare_overlay,
        bare_together,
    )


def _check_files(photos: Sequence[Path], names: Sequence[str]) -> None:
    problems = []
    for photo, name in zip(photos, names, strict=True):
        if photo.is_dir():
            problems.append(Problem(name, "a folder", "a photograph"))
        elif not photo.exists():
            problems.append(Problem(name, "no such file", "a photograph"))
    if problems:
        raise InputError(problems)


def _content(photo: Path, name: str) -> bytes:
    try:
        with photo.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as refused:
        raise InputError.at(name, (refused.strerror or "cannot be read").lower(), "a photograph") from None
    if len(content) > LARGEST:
        raise InputError.at(name, "more than 100 MB", "one photograph")
    return content


def _refused(name: str, refused: Refused, *, as_json: bool) -> ToldPhotograph:
    if as_json:
        return ToldPhotograph((Line(json_line(refused_line(name, refused))),), refused=True)
    lines = [*heading(f"{name}: not read"), *paragraph(refused.message, first="  ")]
    return ToldPhotograph((*lines, *paragraph(refused.remedy, first="  ")), refused=True)


def _told(
    way: _Way, reading: Any, asked: Asked, *, as_json: bool, photos: Sequence[str] = ()
) -> ToldPhotograph:
    record = way.line(reading, girth=asked.girth, instep=asked.instep)
    if photos:
        record |= {"combined": True, "photos": list(photos)}
    if as_json:
        return ToldPhotograph((Line(json_line(record)),), refused=False)
    return ToldPhotograph(tuple(_note(record, photos)), refused=False)


def _note(record: dict[str, Any], photos: Sequence[str]) -> list[Line]:
    title = ", ".join(photos) if photos else record["photo"]
    bare = record["drawn"] is None
    said = f"{'bare ' if bare else ''}{record['foot']} foot{', together' if photos else ''}"
    lines = heading(f"{title}: {said}")
    rows = [("", "" if bare else "the line, mm", "the foot, mm")]
    for name in FOOT:
        figure = record["foot_mm"][name]
        if figure is not None:
            drawn = "" if bare else f"{record['drawn'][name]:.1f}"
            rows.append((MEASURE_WORDS[name], drawn, _figure(figure)))
    for name, words in (("girth", "round the ball, by tape"), ("instep", "round the instep, by tape")):
        if record["tape"][name] is not None:
            rows.append((words, "", _figure(record["tape"][name])))
    lines += table([(row[0], row[2]) for row in rows] if bare else rows, right=(1, 2))
    scale = record["scale"]
    said = "± is one standard deviation."
    if scale["witness"] in _WITNESSES:
        proof = _WITNESSES[scale["witness"]]
        said += f" The print came out at {100 * scale['mean']:.1f} % of its size, {proof}."
    lines += paragraph(said, first="  ")
    lines += items(record["remarks"])
    return lines


def _figure(figure: dict[str, Any]) -> str:
    return f"{figure['mean_mm']:.1f} ±{figure['sd_mm']:.1f}"
