"""What the records give back, as values: rows with their names, dates still as written."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Literal

from attrs import field, frozen

from heelball.fit.wearer import Place, Verdict
from heelball.foot.reading import Load, Method, ReadingOf
from heelball.foot.vector import Foot, Population

ReadingKind = Literal["new", "repeat", "correction"]
PairState = Literal["ordered", "arrived", "kept", "exchanged", "returned", "owned"]
LetterState = Literal["draft", "sent", "answered", "dropped"]


@frozen
class Author:
    """Who writes, by initials, and when (with zone)."""

    fitter: str
    at: datetime


@frozen
class KeptWearer:
    """A wearer as kept. `day` holds the states of a wearer file: name, share, sock, swelling, insole_mm."""

    id: str
    version: int
    code: str
    name: str
    population: Population
    day: tuple[Mapping[str, Any], ...]
    keeps_try_ons: bool
    note: str
    made_at: str
    changed_at: str


@frozen
class HealthAnswers:
    """What a wearer told of health, with consent: the signs of a wearer file."""

    wearer_id: str
    version: int
    consented_at: str
    signs: Mapping[str, Any]


@frozen
class Sitting:
    """One occasion of measuring: when (with zone), under which load, in which sock, by whom."""

    id: str
    version: int
    wearer_id: str
    at: str
    load: Load
    sock: str
    fitter: str
    note: str


@frozen
class KeptReading:
    """A reading as kept.

    `of_id` names the reading that a repeat repeats or a correction corrects; `corrected_by` the
    correction that struck this one through. `sheet_id` names the sheet that it was read from,
    whose line tells what of `sd_mm` it shares with the sheet's other readings. `stands` tells
    whether the posterior takes it.
    """

    id: str
    version: int
    wearer_id: str
    sitting_id: str
    number: int
    foot: Foot
    what: ReadingOf
    scale: str
    value: str
    line: str | None
    load: Load
    method: Method
    sd_mm: float | None
    kind: ReadingKind
    of_id: str | None
    withdrawn_at: str | None
    corrected_by: str | None = None
    sheet_id: str | None = None

    @property
    def stands(self) -> bool:
        """Whether it counts: neither corrected nor withdrawn."""
        return self.corrected_by is None and self.withdrawn_at is None


@frozen
class KeptSheet:
    """What a photograph of a drawn sheet told: `line` is an object of ``heelball/sheet-reading/1``.

    `agreed` tells whether the wearer let the picture be kept, `has_picture` whether one is.
    """

    id: str
    version: int
    wearer_id: str
    sitting_id: str
    foot: Foot
    line: Mapping[str, Any] = field(repr=False)
    agreed: bool
    has_picture: bool
    made_at: str


@frozen
class Draft:
    """What is being tapped in for a wearer: fields by name, and the version last seen."""

    wearer_id: str
    version: int
    changed_at: str
    fields: Mapping[str, str]


@frozen
class Maker:
    """A maker: a name and where to write to."""

    id: str
    version: int
    name: str
    address: str
    note: str


@frozen
class KeptAdvice:
    """One advice of a maker on a last, as written: with its origin and its date."""

    id: str
    version: int
    last_id: str
    basis: Literal["ball", "length", "label"]
    order_sizes: str | None
    scale: str | None
    rows: tuple[tuple[str, str], ...] | None
    origin: str
    on: str | None
    withdrawn_at: str | None


@frozen
class KeptMeasured:
    """What was measured on one pair of a last, or read from a drawing [mm]."""

    id: str
    version: int
    last_id: str
    size: str
    width: str | None
    inside_length_mm: float | None
    flex_line_mm: float | None
    ball_girth_mm: float | None
    sd_mm: float | None
    from_drawing: bool
    origin: str
    on: str | None
    withdrawn_at: str | None


@frozen
class KeptLast:
    """A last as kept, its fields as in a last file, with the advice and measured pairs that stand."""

    id: str
    version: int
    maker_id: str
    maker: str
    code: str
    label_scale: str
    sizes: str | None
    widths: Any
    width_scale: str
    reference_width: str | None
    stiffness: str
    toe: str
    closing: str
    heel_mm: float | None
    publishes_advice: bool | None
    exchange_days: int | None
    note: str
    retired: bool
    advice: tuple[KeptAdvice, ...] = ()
    measured: tuple[KeptMeasured, ...] = ()


@frozen
class KeptPair:
    """A pair from order to kept: dates as ``YYYY-MM-DD``; `answer` is what was said at the order."""

    id: str
    version: int
    wearer_id: str
    last_id: str
    size: str
    width: str | None
    state: PairState
    ordered_on: str | None
    due_on: str | None
    arrived_on: str | None
    send_back_by: str | None
    closed_on: str | None
    in_exchange_for: str | None
    answer: Mapping[str, Any] | None
    note: str


@frozen
class TryOn:
    """A report of how one pair fits; wearer and pair are None after an erase that it survived."""

    id: str
    version: int
    wearer_id: str | None
    pair_id: str | None
    last_id: str
    size: str
    width: str | None
    on: str
    hours: float | None
    sock: str | None
    swelling: str | None
    verdicts: Mapping[Foot, Mapping[Place, Verdict]]
    note: str


@frozen
class Letter:
    """A letter to a maker: the lasts it asks about, its text and how far it has come."""

    id: str
    version: int
    maker_id: str
    state: LetterState
    about: tuple[str, ...]
    text: str
    drafted_at: str
    sent_on: str | None
    answered_on: str | None
    note: str


@frozen
class KeptMark:
    """A ruler laid on the fitter's own gauge: what one of its marks truly denotes [mm]."""

    id: str
    version: int
    scale: str
    what: Literal["ball", "length", "breadth"]
    mark: str
    line: str | None
    measured_mm: float
    on: str | None
    fitter: str
    withdrawn_at: str | None


@frozen
class Change:
    """One write: the row before and after it, None where it was made or removed."""

    id: int
    at: str
    fitter: str
    table_name: str
    row_id: str
    wearer_id: str | None
    before: Mapping[str, Any] | None = field(repr=False)
    after: Mapping[str, Any] | None = field(repr=False)
    undone: bool = False
