"""Photographs of one sheet, read for the pages in a process of its own.

A photograph comes from anywhere, and opening one is work for a library of C. What such a file might
do, it does to a process that holds no records and ends with its answer; and that answer is plain
data, from which nothing is run.
"""

from __future__ import annotations

import json
import signal
from collections.abc import Sequence
from multiprocessing import get_context
from multiprocessing.connection import Connection
from threading import Timer
from typing import TYPE_CHECKING, Any, Final

from attrs import field, frozen

from heelball.errors import InternalFault, MissingExtra, PhotographError
from heelball.sheet.values import Circumstances, PlanPicture
from heelball.work.sheet_extra import need_reader

if TYPE_CHECKING:
    from heelball.sheet.reading import SheetReading

#: How long photographs may take before their process is ended [s]; a sound one takes less than one.
PATIENCE_S: Final = 30.0

#: Most of an answer's parts: a plan and a photograph are some hundred kB each [bytes].
_MOST_BYTES: Final = 32 * 1024 * 1024
# Where a plan's pixels stand on the paper.
_PLACE: Final = ("width", "height", "along_top", "across_left", "mm_per_px", "across_per_px")
# A tick is put on the line; so near must the line be to where it was wanted [mm].
_NEAR_ENOUGH: Final = 1.0


@frozen
class SeenSheet:
    """What was seen on one sheet.

    Parameters
    ----------
    line
        The reading as ``heelball/sheet-reading/1``.
    plan
        The paper from straight above, with what was found drawn on it.
    photograph
        The first photograph with the same drawn on it, encoded anew (JPEG).
    """

    line: dict[str, Any]
    plan: PlanPicture = field(repr=False)
    photograph: bytes = field(repr=False)


@frozen
class AskedSheet:
    """What is to be read: photographs of one sheet, and what was told beside it.

    Parameters
    ----------
    photographs
        The files, one at least.
    told
        What the wearer told.
    girth, instep
        Read from the printed tape [mm].
    ticks
        Where a fitter puts the two ticks, inner and outer: true mm along from the heel edge; None as seen.
    """

    photographs: tuple[bytes, ...] = field(repr=False)
    told: Circumstances
    girth: float | None = None
    instep: float | None = None
    ticks: tuple[float, float] | None = None


def read_apart(asked: AskedSheet) -> SeenSheet:
    """Return what is seen on a sheet, from a process that ends with it.

    Raises
    ------
    PhotographError
        Where no reading is taken: a photograph is refused, several do not agree, or none came to an end.
    MissingExtra
        Where what reads photographs is not installed.
    """
    need_reader()
    # Started afresh, not forked: the bench holds threads and open records.
    context = get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_answer, args=(theirs, asked), name="heelball sheet", daemon=True)
    process.start()
    theirs.close()
    clock = Timer(PATIENCE_S, process.kill)
    clock.start()
    try:
        parts = [ours.recv_bytes(_MOST_BYTES) for _ in range(3)]
    except (EOFError, OSError):
        parts = None
    finally:
        clock.cancel()
        clock.join()
        process.kill()
        process.join()
        process.close()
        ours.close()
    if parts is None:
        raise PhotographError(
            "Reading this photograph came to no end.", "Take it again, or send it as a plain JPEG."
        )
    return _taken(*parts)


def _taken(told: bytes, plan: bytes, photograph: bytes) -> SeenSheet:
    """Return an answer's parts as what was seen, or raise what they say."""
    answer = json.loads(told)
    match answer:
        case {"seen": line, "place": place}:
            return SeenSheet(line, PlanPicture(plan, **place), photograph)
        case {"missing": [part, extra]}:
            raise MissingExtra(part, extra)
        case {"refused": [message, remedy]}:
            raise PhotographError(message, remedy)
        case _:
            raise InternalFault(f"{answer['fault']} while a photograph was read.")


def _answer(pipe: Connection, asked: AskedSheet) -> None:
    # Ctrl-C goes to all processes of a terminal: the bench ends this one when it ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parts: dict[str, Any]
    plan = photograph = b""
    try:
        seen = _seen(asked)
        parts = {"seen": seen.line, "place": {name: getattr(seen.plan, name) for name in _PLACE}}
        plan, photograph = seen.plan.png, seen.photograph
    except MissingExtra as missing:
        parts = {"missing": missing.made_of}
    except PhotographError as refused:
        parts = {"refused": (refused.message, refused.remedy)}
    except MemoryError:
        parts = {"refused": ("This photograph is too large to be read here.", "Send a smaller one.")}
    except Exception as fault:  # whatever it is: the bench tells its person, its class and no more
        parts = {"fault": type(fault).__name__}
    for part in (json.dumps(parts).encode(), plan, photograph):
        pipe.send_bytes(part)


def _seen(asked: AskedSheet) -> SeenSheet:
    from heelball.sheet.overlay import overlay_picture, plan_picture
    from heelball.sheet.reading import read_photograph, together, with_ticks
    from heelball.work.sheet_json import sheet_line

    several = len(asked.photographs) > 1
    readings = []
    for number, content in enumerate(asked.photographs, start=1):
        # Never the file's own name: people put names of people into those.
        name = f"photograph {number}" if several else "photograph"
        reading = read_photograph(content, name, asked.told)
        readings.append(
            reading if asked.ticks is None else _near(with_ticks(reading, *asked.ticks), asked.ticks)
        )
    _of_one_foot(readings)
    reading = together(readings) if several else readings[0]
    line = sheet_line(reading, girth=asked.girth, instep=asked.instep)
    if several:
        line |= {"combined": True, "photos": [one.photo for one in readings]}
    return SeenSheet(line, plan_picture(reading), overlay_picture(reading, asked.photographs[0]))


def _near(reading: SheetReading, wanted: tuple[float, float]) -> SheetReading:
    """Return a reading whose ticks are where they were wanted.

    Raises
    ------
    PhotographError
        Where no line is level with one of them.
    """
    ticks = reading.seen.ticks
    for side, mm, found in zip(("inner", "outer"), wanted, (ticks.inner, ticks.outer), strict=True):
        if abs(float(found[0]) - mm) > _NEAR_ENOUGH:
            raise PhotographError(
                f"The line does not reach {mm:.0f} mm on the {side} side.", "Put the tick beside the line."
            )
    return reading


def _of_one_foot(readings: Sequence[SheetReading]) -> None:
    """Refuse photographs of both feet's sheets."""
    first, last = readings[0].foot, readings[-1].foot
    if first != last:
        raise PhotographError(
            f"This is the {last} foot's sheet, and the one looked at is the {first} foot's.",
            "Read it by itself.",
        )
