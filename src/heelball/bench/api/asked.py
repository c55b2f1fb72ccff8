"""What the API reads: the fields of a wearer file and a last file, and the steps of the records.

The words and numbers that only these files know are checked by their own readers; here stand the
shapes, and what a version is for: the one that the sender saw.
"""

from __future__ import annotations

from datetime import date as Date
from datetime import datetime
from typing import Annotated, Any, Literal, get_type_hints

import attrs
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, create_model

from heelball.fit.wearer import Place, Signs, Swelling, Verdict
from heelball.foot.reading import Load, Method, ReadingOf
from heelball.foot.vector import Foot, Population
from heelball.records.values import ReadingKind
from heelball.work.day_control import Heat, Sock
from heelball.work.told_fit import MOST_HOURS, MOST_WEEKS

Text = Annotated[str, Field(max_length=2000)]
Word = Annotated[str, Field(max_length=40)]
#: More than a letter about forty lasts.
Long = Annotated[str, Field(max_length=20_000)]
#: No row is ever written so often.
Version = Annotated[int, Field(ge=0, le=2**31 - 1)]
Millimetres = Annotated[float, Field(gt=0, le=1000)]


class Asked(BaseModel):
    """Anything the API reads; a field it does not know is refused."""

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)


class Write(Asked):
    """A write: who writes, by initials."""

    fitter: Annotated[str, Field(max_length=20, description="Who writes, by initials.")] = ""


class Change(Write):
    """A change: of what was seen."""

    seen: Annotated[Version, Field(description="The version that was seen; another one now is a 409.")]


class Sought(Asked):
    """What a search looks for, in names and codes."""

    words: Annotated[str, Field(max_length=200)] = ""


class DayPart(Asked):
    """One part of a day in the boot."""

    name: Annotated[str, Field(max_length=60)] = ""
    share: Annotated[float, Field(gt=0, le=1)]
    sock: Word = "medium"
    swelling: Swelling = "ordinary"
    insole_mm: Annotated[float, Field(ge=0, le=20)] = 0.0


class NewWearer(Write):
    """A wearer to be added."""

    code: Annotated[str, Field(min_length=1, max_length=40)]
    name: Annotated[str, Field(max_length=200)] = ""
    population: Population = "unstated"
    day: Annotated[list[DayPart], Field(max_length=24)] = []
    keeps_try_ons: bool = False
    note: Text = ""


class WearerChange(Change):
    """What to change of a wearer; what is left out stays."""

    code: Annotated[str, Field(min_length=1, max_length=40)] | None = None
    name: Annotated[str, Field(max_length=200)] | None = None
    population: Population | None = None
    day: Annotated[list[DayPart], Field(max_length=24)] | None = None
    keeps_try_ons: bool | None = None
    note: Text | None = None


class ReadingTaken(Asked):
    """One reading; `of_id` names the one that it repeats or corrects."""

    foot: Foot
    what: ReadingOf
    scale: Word
    value: Word
    line: Word | None = None
    load: Load | None = None
    method: Method | None = None
    sd_mm: Annotated[float, Field(gt=0, le=100)] | None = None
    kind: ReadingKind = "new"
    of_id: Word | None = None


class NewSitting(Write):
    """Readings of one occasion; `seen_number` is the number of the last reading that was seen."""

    at: AwareDatetime | None = None
    load: Load = "standing"
    sock: Word = ""
    note: Text = ""
    readings: Annotated[list[ReadingTaken], Field(min_length=1, max_length=60)]
    seen_number: Version = 0


def _signs() -> dict[str, Any]:
    """Return the signs of a wearer file as fields, from the one class that names them."""
    hints = get_type_hints(Signs)
    weeks = Annotated[float, Field(ge=0, le=MOST_WEEKS)]
    return {
        one.name: (weeks if hints[one.name] is float else bool, one.default) for one in attrs.fields(Signs)
    }


_Signs: Any = create_model("Signs", __base__=Asked, **_signs())


class HealthTold(Change, _Signs):  # type: ignore[misc]
    """What a wearer told of health, with consent."""

    consents: bool


class MomentAsked(Asked):
    """One moment of a day."""

    sock: Sock = "medium"
    hours: Annotated[float, Field(ge=0, le=24, description="Hours on the feet.")] = 4.0
    heat: Heat = "cool"
    insole: Annotated[float, Field(ge=0, le=20, description="Thickness of an added insole [mm].")] = 0.0


class Question(Asked):
    """What to order: for one moment, or the wearer's own day; how many lasts are answered for."""

    moment: MomentAsked | None = None
    listed: Annotated[int, Field(ge=1, le=20)] = 20


class NewMaker(Write):
    """A maker to be added."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    address: Text = ""
    note: Text = ""


class MakerChange(Change):
    """What to change of a maker; what is left out stays."""

    name: Annotated[str, Field(min_length=1, max_length=200)] | None = None
    address: Text | None = None
    note: Text | None = None


class LastTyped(Write):
    """A last's own fields as a fitter types them; empty is unknown. Lengths are in mm."""

    code: Word
    maker: Annotated[str, Field(max_length=200)]
    label_scale: Word
    sizes: Annotated[str, Field(max_length=400, examples=["6-12 by 1/2, 13, 14"])] = ""
    widths: Annotated[str, Field(max_length=400, examples=["B, D, EE"])] = ""
    width_scale: Word = ""
    reference_width: Word = ""
    stiffness: Word = ""
    toe: Word = ""
    closing: Word = ""
    heel_mm: Word = ""
    publishes_advice: Literal["", "yes", "no"] = ""
    exchange_days: Word = ""
    note: Text = ""


class LastChange(LastTyped, Change):
    """A last's own fields, all of them."""


class Retire(Change):
    """Whether a last is no longer had."""

    retired: bool


class AdviceTyped(Write):
    """What a maker says of a last: an order, or a table of one `reading: label` a line."""

    basis: Word = "ball"
    order: Word = ""
    table: Text = ""
    scale: Word = ""
    origin: Text = ""
    on: Word = ""


class MeasuredTyped(Write):
    """What was measured on one pair of a last [mm], or read from a drawing."""

    size: Word
    width: Word = ""
    inside_length_mm: Word = ""
    flex_line_mm: Word = ""
    ball_girth_mm: Word = ""
    from_drawing: Literal["", "yes"] = ""
    origin: Text = ""
    on: Word = ""


class LabelOrdered(Write):
    """A pair ordered: the last, and the label."""

    last_id: Word
    size: Word
    width: Word | None = None
    due_on: Date | None = None
    note: Text = ""


class PairStep(Change):
    """The next step of a pair's life; an exchange names the label ordered for it."""

    step: Literal["arrived", "kept", "returned", "exchanged"]
    on: Date
    size: Word | None = None
    width: Word | None = None
    due_on: Date | None = None


class NewTryOn(Write):
    """How a pair fits, foot by foot and place by place; what is not said is left out."""

    on: Date
    verdicts: dict[Foot, dict[Place, Verdict]] = {}
    hours: Annotated[float, Field(ge=0, le=MOST_HOURS, description="Hours worn.")] | None = None
    sock: Word | None = None
    swelling: Swelling | None = None
    note: Text = ""


class NewLetter(Write):
    """A question to a maker about some of its lasts, to be drafted."""

    maker_id: Word
    last_ids: Annotated[list[Word], Field(min_length=1, max_length=200)]


class LetterMove(Change):
    """What becomes of a letter; `on` is the day it was sent or answered."""

    step: Literal["edited", "sent", "answered", "dropped"]
    on: Date | None = None
    text: Long | None = None
    note: Text | None = None


class NewMark(Write):
    """A ruler laid on the fitter's own gauge."""

    scale: Word
    what: Literal["ball", "length", "breadth"]
    mark: Word
    line: Word | None = None
    measured_mm: Millimetres
    on: Date | None = None


class Conversion(Asked):
    """A size or a length to convert, as typed."""

    value: Word
    source: Word
    target: Word


def day_table(day: list[DayPart]) -> list[dict[str, Any]]:
    """Return a day as the tables of a wearer file; a part without a name is numbered by its reader."""
    return [{name: value for name, value in part.model_dump().items() if value != ""} for part in day]


def given(asked: Change) -> dict[str, Any]:
    """Return what of a change was said, as columns."""
    return {
        name: value
        for name, value in asked.model_dump(exclude={"seen", "fitter"}, exclude_unset=True).items()
        if value is not None
    }


def at_or(asked: datetime | None, now: datetime) -> datetime:
    """Return when something was, now where nothing is said."""
    return now if asked is None else asked
