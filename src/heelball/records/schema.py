"""The tables of the records, the same on SQLite and PostgreSQL.

Times are text in ISO 8601 with their offset, dates are text ``YYYY-MM-DD``: both read the same from
either database, and a time keeps the zone it was written down in (so only dates sort as text).
Every row that a fitter can change carries a version, raised at each write.
"""

from __future__ import annotations

import secrets
from typing import Any, Final

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

#: Names of constraints are spelled out, so that a migration can find them on either database.
metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

_ID: Final = String(20)
_LETTERS: Final = "abcdefghjkmnpqrstuvwxyz23456789"


def new_id() -> str:
    """Return a random name for a row: 16 signs of 31, nothing to be guessed or read aloud wrong."""
    return "".join(secrets.choice(_LETTERS) for _ in range(16))


def _key() -> Column[Any]:
    return Column("id", _ID, primary_key=True)


def _version() -> Column[Any]:
    return Column("version", Integer, nullable=False, default=1)


def _of(table: str, *, name: str | None = None, nullable: bool = False, gone: str = "CASCADE") -> Column[Any]:
    """Return a column that names a row of another table."""
    key = ForeignKey(f"{table}.id", ondelete=gone)
    return Column(name or f"{table.removesuffix('s')}_id", _ID, key, nullable=nullable, index=True)


wearers: Final = Table(
    "wearers",
    metadata,
    _key(),
    _version(),
    Column("code", String(40), nullable=False, unique=True),
    Column("name", Text, nullable=False, default=""),
    # What search looks in: name and code, case and accents folded; sorted as it stands, whatever
    # language a server is set up for.
    Column("sought", Text().with_variant(Text(collation="C"), "postgresql"), nullable=False, default=""),
    Column("population", String(10), nullable=False),
    # States of the day as in a wearer file: name, share, sock, swelling, insole_mm.
    Column("day", JSON, nullable=False),
    # Agreed that try-ons stay, without identity, after an erase.
    Column("keeps_try_ons", Boolean, nullable=False, default=False),
    Column("note", Text, nullable=False, default=""),
    Column("made_at", String(40), nullable=False),
    Column("changed_at", String(40), nullable=False),
)

# Apart from the wearer, so that nothing that is exported for learning ever has it beside it.
health_answers: Final = Table(
    "health_answers",
    metadata,
    Column("wearer_id", _ID, ForeignKey("wearers.id", ondelete="CASCADE"), primary_key=True),
    _version(),
    Column("consented_at", String(40), nullable=False),
    # The signs of a wearer file.
    Column("signs", JSON, nullable=False),
)

sittings: Final = Table(
    "sittings",
    metadata,
    _key(),
    _version(),
    _of("wearers"),
    Column("at", String(40), nullable=False),
    Column("load", String(10), nullable=False),
    Column("sock", String(20), nullable=False, default=""),
    Column("fitter", String(20), nullable=False, default=""),
    Column("note", Text, nullable=False, default=""),
)

# What a photograph of a drawn sheet told, as it was written down: never changed, but for its picture.
sheets: Final = Table(
    "sheets",
    metadata,
    _key(),
    _version(),
    _of("wearers"),
    _of("sittings"),
    Column("foot", String(10), nullable=False),
    # The object heelball/sheet-reading/1: its readings' shared errors are worked out from it.
    Column("line", JSON, nullable=False),
    Column("agreed", Boolean, nullable=False, default=False),
    # Never in `changes`: what is forgotten here is kept nowhere else.
    Column("picture", LargeBinary, nullable=True),
    Column("made_at", String(40), nullable=False),
    CheckConstraint("picture IS NULL OR agreed", name="agreed"),
)

readings: Final = Table(
    "readings",
    metadata,
    _key(),
    _version(),
    _of("wearers"),
    _of("sittings"),
    # The order they were taken in, counted through all sittings of the wearer.
    Column("number", Integer, nullable=False),
    Column("foot", String(10), nullable=False),
    Column("what", String(10), nullable=False),
    Column("scale", String(20), nullable=False),
    Column("value", String(40), nullable=False),
    Column("line", String(40), nullable=True),
    Column("load", String(10), nullable=False),
    Column("method", String(10), nullable=False),
    Column("sd_mm", Float, nullable=True),
    Column("kind", String(10), nullable=False),
    # The reading that a repeat repeats or a correction corrects.
    Column("of_id", _ID, ForeignKey("readings.id", ondelete="CASCADE"), nullable=True, index=True),
    # Set where the fitter undid it; a corrected reading is known by the one that names it.
    Column("withdrawn_at", String(40), nullable=True),
    # The sheet that it was read from.
    _of("sheets", nullable=True),
    CheckConstraint("kind IN ('new', 'repeat', 'correction')", name="kind"),
    CheckConstraint("(kind = 'new') = (of_id IS NULL)", name="named"),
    Index("uq_readings_number", "wearer_id", "number", unique=True),
)

# What is being tapped in and not yet written down: one draft a wearer, whatever device it is on.
drafts: Final = Table(
    "drafts",
    metadata,
    Column("wearer_id", _ID, ForeignKey("wearers.id", ondelete="CASCADE"), primary_key=True),
    _version(),
    Column("changed_at", String(40), nullable=False),
    Column("fields", JSON, nullable=False),
)

makers: Final = Table(
    "makers",
    metadata,
    _key(),
    _version(),
    Column("name", String(200), nullable=False, unique=True),
    Column("address", Text, nullable=False, default=""),
    Column("note", Text, nullable=False, default=""),
)

lasts: Final = Table(
    "lasts",
    metadata,
    _key(),
    _version(),
    _of("makers", gone="RESTRICT"),
    Column("code", String(40), nullable=False, unique=True),
    Column("label_scale", String(20), nullable=False),
    # As in a last file: text, and a list or table of texts, or null.
    Column("sizes", Text, nullable=True),
    Column("widths", JSON(none_as_null=True), nullable=True),
    Column("width_scale", String(10), nullable=False),
    Column("reference_width", String(20), nullable=True),
    Column("stiffness", String(10), nullable=False),
    Column("toe", String(10), nullable=False),
    Column("closing", String(10), nullable=False),
    Column("heel_mm", Float, nullable=True),
    Column("publishes_advice", Boolean, nullable=True),
    Column("exchange_days", Integer, nullable=True),
    Column("note", Text, nullable=False, default=""),
    # No longer had: kept for the pairs on it, left out of the ranking.
    Column("retired", Boolean, nullable=False, default=False),
)

advice: Final = Table(
    "advice",
    metadata,
    _key(),
    _version(),
    _of("lasts"),
    Column("basis", String(10), nullable=False),
    Column("order_sizes", String(20), nullable=True),
    Column("scale", String(20), nullable=True),
    # Pairs of texts, gauge reading and label, instead of order_sizes; or null.
    Column("rows", JSON(none_as_null=True), nullable=True),
    Column("origin", Text, nullable=False, default=""),
    Column("on", String(10), nullable=True),
    Column("withdrawn_at", String(40), nullable=True),
)

measured_pairs: Final = Table(
    "measured_pairs",
    metadata,
    _key(),
    _version(),
    _of("lasts"),
    Column("size", String(20), nullable=False),
    Column("width", String(20), nullable=True),
    Column("inside_length_mm", Float, nullable=True),
    Column("flex_line_mm", Float, nullable=True),
    Column("ball_girth_mm", Float, nullable=True),
    Column("sd_mm", Float, nullable=True),
    Column("from_drawing", Boolean, nullable=False, default=False),
    Column("origin", Text, nullable=False, default=""),
    Column("on", String(10), nullable=True),
    Column("withdrawn_at", String(40), nullable=True),
)

pairs: Final = Table(
    "pairs",
    metadata,
    _key(),
    _version(),
    _of("wearers"),
    _of("lasts", gone="RESTRICT"),
    Column("size", String(20), nullable=False),
    Column("width", String(20), nullable=True),
    Column("state", String(10), nullable=False),
    Column("ordered_on", String(10), nullable=True),
    Column("due_on", String(10), nullable=True),
    Column("arrived_on", String(10), nullable=True),
    Column("send_back_by", String(10), nullable=True),
    Column("closed_on", String(10), nullable=True),
    # The pair that this one came in exchange for.
    Column("in_exchange_for", _ID, ForeignKey("pairs.id", ondelete="SET NULL"), nullable=True, index=True),
    # What was said when it was ordered: both answers, chance, loss, doubtful place.
    Column("answer", JSON(none_as_null=True), nullable=True),
    Column("note", Text, nullable=False, default=""),
    CheckConstraint(
        "state IN ('ordered', 'arrived', 'kept', 'exchanged', 'returned', 'owned')", name="state"
    ),
)

try_ons: Final = Table(
    "try_ons",
    metadata,
    _key(),
    _version(),
    # None of both where the wearer was erased and had agreed that the try-on stays.
    _of("wearers", nullable=True),
    _of("pairs", nullable=True),
    _of("lasts", gone="RESTRICT"),
    Column("size", String(20), nullable=False),
    Column("width", String(20), nullable=True),
    # A date, or the year alone where its wearer was erased.
    Column("on", String(10), nullable=False),
    Column("hours", Float, nullable=True),
    Column("sock", String(20), nullable=True),
    Column("swelling", String(10), nullable=True),
    # Foot -> place -> little, right or much, as in a wearer file.
    Column("verdicts", JSON, nullable=False),
    Column("note", Text, nullable=False, default=""),
)

letters: Final = Table(
    "letters",
    metadata,
    _key(),
    _version(),
    _of("makers"),
    Column("state", String(10), nullable=False),
    # Codes of the lasts asked about.
    Column("about", JSON, nullable=False),
    Column("text", Text, nullable=False),
    Column("drafted_at", String(40), nullable=False),
    Column("sent_on", String(10), nullable=True),
    Column("answered_on", String(10), nullable=True),
    Column("note", Text, nullable=False, default=""),
    CheckConstraint("state IN ('draft', 'sent', 'answered', 'dropped')", name="state"),
)

gauge_marks: Final = Table(
    "gauge_marks",
    metadata,
    _key(),
    _version(),
    Column("scale", String(20), nullable=False),
    Column("what", String(10), nullable=False),
    Column("mark", String(40), nullable=False),
    Column("line", String(40), nullable=True),
    Column("measured_mm", Float, nullable=False),
    Column("on", String(10), nullable=True),
    Column("fitter", String(20), nullable=False, default=""),
    Column("withdrawn_at", String(40), nullable=True),
)

# What each write found and what it left: undo reads it, and a reading's history shows it.
changes: Final = Table(
    "changes",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("at", String(40), nullable=False),
    Column("fitter", String(20), nullable=False, default=""),
    Column("table_name", String(40), nullable=False),
    Column("row_id", _ID, nullable=False),
    # Whose erase takes this row along; not a key, since the wearer may be gone first.
    Column("wearer_id", _ID, nullable=True, index=True),
    # The row before and after, or null where it was made or removed.
    Column("before", JSON(none_as_null=True), nullable=True),
    Column("after", JSON(none_as_null=True), nullable=True),
    Column("undone", Boolean, nullable=False, default=False),
    Index("ix_changes_row", "table_name", "row_id"),
)

sessions: Final = Table(
    "sessions",
    metadata,
    # SHA-256 of the cookie's secret: whoever reads the records cannot log in with it.
    Column("hash", String(64), primary_key=True),
    Column("made_at", String(40), nullable=False),
    Column("seen_at", String(40), nullable=False),
    Column("data", JSON, nullable=False),
)

tokens: Final = Table(
    "tokens",
    metadata,
    _key(),
    Column("name", String(80), nullable=False, unique=True),
    Column("hash", String(64), nullable=False, unique=True),
    Column("made_at", String(40), nullable=False),
    Column("used_at", String(40), nullable=True),
)

settings: Final = Table(
    "settings",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", JSON, nullable=False),
)

# Who was erased: a keyed hash of the row's random id, so that a restore can erase again.
erasures: Final = Table(
    "erasures",
    metadata,
    Column("hash", String(64), primary_key=True),
    Column("at", String(10), nullable=False),
)

#: Tables that an export holds, parents before children. Health has a file of its own; sessions,
#: tokens and drafts belong to a running bench, the ledger of erasures to its folder.
EXPORTED: Final = (
    makers,
    lasts,
    advice,
    measured_pairs,
    gauge_marks,
    wearers,
    sittings,
    sheets,
    readings,
    pairs,
    try_ons,
    letters,
    changes,
    settings,
)
