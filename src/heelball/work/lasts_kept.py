"""Lasts and makers at the bench: what is kept of them, and how each last runs."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from typing import Final

from attrs import frozen
from sqlalchemy import Connection

from heelball.gaussian.normal import Gaussian
from heelball.last.beside_labels import BesideLabels, beside_labels
from heelball.last.description import LastFacts, describe
from heelball.last.values import Last
from heelball.records import gauge_marks, lasts, makers, run_evidence
from heelball.records.found import folded
from heelball.records.refused import NotFound
from heelball.records.store import Records
from heelball.records.values import KeptAdvice, KeptLast, KeptMeasured, Maker
from heelball.scales.catalogue import size_scale
from heelball.work.gauge import offsets
from heelball.work.keeping import core_last, core_mark, last_table
from heelball.work.last_file import SCHEMA
from heelball.work.runs_kept import RunsInForce, runs_in_force
from heelball.work.toml_text import toml_text
from heelball.work.what_was_done import Done, Row, history_of

#: How many lasts a page shows at most; who wants fewer types one more letter.
MOST_SHOWN: Final = 40


@frozen
class ListedLast:
    """A last in a list, and how it runs; None where it is not judged."""

    kept: KeptLast
    last: Last
    runs: BesideLabels | None


@frozen
class FoundLasts:
    """Lasts that were looked for: those shown, and how many there are."""

    shown: tuple[ListedLast, ...]
    count: int


@frozen
class LastPage:
    """Everything the bench knows of one last.

    Parameters
    ----------
    kept, last
        As kept, and as the core reads it.
    facts, runs
        Which foot each label is built for, and how it runs beside its labels; None of a child's
        last, which is not judged.
    withdrawn_advice, withdrawn_pairs
        What counts no longer.
    history
        What was done to it, the last first.
    learned
        What try-ons in the records taught of it; None where nothing was ever learned.
    """

    kept: KeptLast
    last: Last
    facts: LastFacts | None
    runs: BesideLabels | None
    withdrawn_advice: tuple[KeptAdvice, ...]
    withdrawn_pairs: tuple[KeptMeasured, ...]
    history: tuple[Done, ...]
    learned: RunsInForce | None


def find_lasts(
    records: Records, words: str = "", *, retired: bool = False, most: int = MOST_SHOWN
) -> FoundLasts:
    """Return the lasts that have every one of `words` in their code or their maker's name.

    Parameters
    ----------
    words
        What was typed; nothing finds all. Case and accents make no difference.
    retired
        Those that are no longer had, instead of the others.
    most
        How many are described at most.
    """
    with records.reading() as conn:
        known = lasts.list_lasts(conn, retired=retired)
        own = _offsets(conn)
    parts = folded(words).split()
    found = [last for last in known if all(part in folded(f"{last.code} {last.maker}") for part in parts)]
    return FoundLasts(tuple(_listed(last, own) for last in found[:most]), len(found))


def lasts_of_maker(records: Records, maker_id: str) -> tuple[Maker, tuple[ListedLast, ...], tuple[Done, ...]]:
    """Return a maker with its lasts and history.

    Raises
    ------
    NotFound
        Where there is none.
    """
    with records.reading() as conn:
        maker = makers.find_maker(conn, maker_id)
        own = _offsets(conn)
        listed = tuple(_listed(last, own) for last in lasts.list_lasts(conn, maker_id=maker_id))
        return maker, listed, history_of(conn, [("makers", maker_id)])


def list_makers(records: Records) -> list[Maker]:
    """Return all makers by name."""
    with records.reading() as conn:
        return makers.list_makers(conn)


def last_page(records: Records, last_id: str) -> LastPage:
    """Return everything that is known of one last.

    Raises
    ------
    NotFound
        Where there is none.
    """
    with records.reading() as conn:
        kept = lasts.find_last(conn, last_id)
        own = _offsets(conn)
        advice = run_evidence.list_advice(conn, last_id)
        measured = run_evidence.list_measured(conn, last_id)
        history = history_of(conn, rows_of_last(last_id, advice, measured))
        last = core_last(kept)
        learned = runs_in_force(conn, [last])
    judged = _judged(last)
    return LastPage(
        kept,
        last,
        describe(last, "unstated", own) if judged else None,
        beside_labels(last, "unstated", own) if judged else None,
        tuple(one for one in advice if one.withdrawn_at is not None),
        tuple(one for one in measured if one.withdrawn_at is not None),
        history,
        learned,
    )


def kept_last(records: Records, last_id: str) -> KeptLast:
    """Return one last, or raise NotFound."""
    with records.reading() as conn:
        return lasts.find_last(conn, last_id)


def find_advice(records: Records, last_id: str, advice_id: str) -> tuple[KeptLast, KeptAdvice]:
    """Return a last and one of its advices, or raise NotFound."""
    with records.reading() as conn:
        advice = run_evidence.find_advice(conn, advice_id)
        check_of(last_id, advice)
        return lasts.find_last(conn, last_id), advice


def find_measured(records: Records, last_id: str, pair_id: str) -> tuple[KeptLast, KeptMeasured]:
    """Return a last and one of its measured pairs, or raise NotFound."""
    with records.reading() as conn:
        pair = run_evidence.find_measured(conn, pair_id)
        check_of(last_id, pair)
        return lasts.find_last(conn, last_id), pair


def last_toml(kept: KeptLast) -> str:
    """Return a last as its file, which reads back as the same last.

    Note, origins and days stay in the records: a last file has no place for them.
    """
    return toml_text({"schema": SCHEMA, **last_table(kept)})


def lasts_zip(records: Records, maker_id: str | None = None) -> bytes:
    """Return the files of all lasts that can be had, or of one maker's, in one ZIP file.

    The same lasts give the same bytes.
    """
    with records.reading() as conn:
        known = lasts.list_lasts(conn, maker_id=maker_id, retired=False)
    packed = io.BytesIO()
    taken: set[str] = set()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as folder:
        for last in known:
            stem = file_stem(last.code)
            while stem.lower() in taken:
                stem += "-"
            taken.add(stem.lower())
            folder.writestr(zipfile.ZipInfo(f"{stem}.toml"), last_toml(last))
    return packed.getvalue()


def file_stem(code: str) -> str:
    """Return a code as the name of a file on any system, without its ending.

    Examples
    --------
    >>> file_stem("../N 7")
    '-N-7'
    """
    stem = re.sub(r"[^A-Za-z0-9._-]", "-", code).lstrip(".").rstrip(".")
    return stem or "last"


def rows_of_last(last_id: str, advice: Sequence[KeptAdvice], measured: Sequence[KeptMeasured]) -> list[Row]:
    """Return the rows of a last and of what is known of it, for its history."""
    return [
        ("lasts", last_id),
        *(("advice", one.id) for one in advice),
        *(("measured_pairs", one.id) for one in measured),
    ]


def check_of(last_id: str, part: KeptAdvice | KeptMeasured) -> None:
    """Refuse what is known of one last under the address of another: raise NotFound."""
    if part.last_id != last_id:
        raise NotFound("What was asked for of this last")


def _judged(last: Last) -> bool:
    """Return whether feet can be held against a last: nothing is known of children's."""
    return size_scale(last.label_scale).population != "child"


def _offsets(conn: Connection) -> Gaussian:
    return offsets([core_mark(mark) for mark in gauge_marks.list_marks(conn)])


def _listed(kept: KeptLast, own: Gaussian) -> ListedLast:
    last = core_last(kept)
    return ListedLast(kept, last, beside_labels(last, "unstated", own) if _judged(last) else None)
