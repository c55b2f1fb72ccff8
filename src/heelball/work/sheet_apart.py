"""A photograph of a sheet, read for the pages in a process of its own.

A photograph comes from anywhere, and opening one is work for a library of C. What such a file might
do, it does to a process that holds no records and ends with the answer.
"""

from __future__ import annotations

import signal
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any, Final

from attrs import frozen

from heelball.errors import HeelballError, InternalFault, MissingExtra, PhotographError
from heelball.sheet.values import Circumstances, PlanPicture, Refused
from heelball.work.sheet_extra import need_reader

#: How long a photograph may take before its process is ended [s]; a sound one takes less than one.
PATIENCE_S: Final = 30.0


@frozen
class SeenSheet:
    """What was seen in one photograph.

    Parameters
    ----------
    line
        The reading as ``heelball/sheet-reading/1``.
    plan
        The paper from straight above, with what was found drawn on it.
    photograph
        The photograph with the same drawn on it, encoded anew (JPEG).
    """

    line: dict[str, Any]
    plan: PlanPicture
    photograph: bytes


@frozen
class AskedSheet:
    """What is to be read: the file, and what was told beside it.

    Parameters
    ----------
    ticks
        Where a fitter puts the two ticks, inner and outer: true mm along from the heel edge; None as seen.
    girth, instep
        Read from the printed tape [mm].
    """

    content: bytes
    name: str
    told: Circumstances
    girth: float | None = None
    instep: float | None = None
    ticks: tuple[float, float] | None = None


def read_apart(asked: AskedSheet) -> SeenSheet:
    """Return what is seen in a photograph, from a process that ends with it.

    Raises
    ------
    Refused
        Where no reading is taken from it.
    MissingExtra
        Where what reads photographs is not installed.
    PhotographError
        Where reading it came to no end.
    """
    # Started afresh, not forked: the bench holds threads and open records.
    context = get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_read, args=(theirs, asked), name="heelball sheet", daemon=True)
    process.start()
    theirs.close()
    try:
        answer = ours.recv() if ours.poll(PATIENCE_S) else None
    except (EOFError, OSError):
        answer = None
    finally:
        process.kill()
        process.join()
        process.close()
        ours.close()
    if answer is None:
        raise PhotographError(
            "Reading this photograph came to no end.", "Take it again, or send it as a plain JPEG."
        )
    if isinstance(answer, SeenSheet):
        return answer
    kind, made_of = answer
    raise kind(*made_of)


def _read(pipe: Connection, asked: AskedSheet) -> None:
    # Ctrl-C goes to all processes of a terminal: the bench ends this one when it ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    pipe.send(_answer(asked))


def _answer(asked: AskedSheet) -> SeenSheet | tuple[type[HeelballError], tuple[Any, ...]]:
    """Return the answer, or what its refusal is made of: errors do not travel between processes."""
    try:
        return _seen(asked)
    except Refused as refused:
        return Refused, (refused.reason, refused.message, refused.remedy)
    except MissingExtra as missing:
        return MissingExtra, missing.made_of
    except HeelballError as error:
        return HeelballError, (error.message, error.remedy)
    except Exception as fault:  # whatever it is, the bench tells its person
        return InternalFault, (f"{type(fault).__name__} while a photograph was read.",)


def _seen(asked: AskedSheet) -> SeenSheet:
    need_reader()
    from heelball.sheet.overlay import overlay_picture, plan_picture
    from heelball.sheet.reading import read_photograph, with_ticks
    from heelball.work.sheet_json import sheet_line

    reading = read_photograph(asked.content, asked.name, asked.told)
    if asked.ticks is not None:
        reading = with_ticks(reading, *asked.ticks)
    return SeenSheet(
        sheet_line(reading, girth=asked.girth, instep=asked.instep),
        plan_picture(reading),
        overlay_picture(reading, asked.content),
    )
