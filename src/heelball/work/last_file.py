"""Lasts from TOML files: the offer, advice, terms and what was measured."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.last.built_for import Sex
from heelball.last.offer import parse_sizes
from heelball.last.values import Advice, Label, Last, MeasuredPair, Terms
from heelball.package_data import foot_moments
from heelball.scales.catalogue import GAUGE_OF, size_scale, size_scales
from heelball.scales.gauge_breadth import AVERAGE_LETTER
from heelball.scales.last_width import WIDTH_SCALES, width_letters
from heelball.scales.size_scale import SizeScale
from heelball.work.documents import read_toml
from heelball.work.fields import Fields, nearest, parse_signed, shown

SCHEMA: Final = "heelball/last/1"
_BASES: Final = ("ball", "length", "label")
_MEASURES: Final = {"inside_length": (100, 500), "flex_line": (50, 400), "ball_girth": (100, 500)}


def read_lasts(folder: Path) -> list[Last]:
    """Return the lasts of every .toml file in a folder, by file name.

    Raises
    ------
    InputError
        With every problem found; also where there is no last, or two have one code.
    """
    if not folder.is_dir():
        found = "no such folder" if not folder.exists() else "a file"
        raise InputError.at(str(folder), found, "a folder of last files (.toml)")
    problems: list[Problem] = []
    lasts: list[Last] = []
    origin: dict[str, str] = {}
    paths = sorted(folder.glob("*.toml"))
    for path in paths:
        last = _read_last(path, problems)
        if last is None:
            continue
        if last.code in origin:
            problems.append(
                Problem(f"{path.name}, code", f"{last.code!r}, also in {origin[last.code]}", "a code of its own")
            )
        origin.setdefault(last.code, path.name)
        lasts.append(last)
    if not paths:
        problems.append(Problem(str(folder), "no lasts", "at least one last file (.toml)"))
    if problems:
        raise InputError(problems)
    return lasts


def read_last(path: Path) -> Last:
    """Return the last of one file.

    Raises
    ------
    InputError
        With every problem found in it.
    """
    problems: list[Problem] = []
    last = _read_last(path, problems)
    if last is None:
        raise InputError(problems)
    return last


def _read_last(path: Path, problems: list[Problem]) -> Last | None:
    table = read_toml(path, SCHEMA, problems)
    if table is None:
        return None
    before = len(problems)
    fields = Fields(table, path.name, problems)
    code = fields.text("code", wanted="the last's code") or path.stem
    maker = fields.text("maker", wanted="the maker's name", required=True)
    scale_name = fields.text("label_scale", wanted="a size scale's name", required=True)
    scale = None
    if scale_name is not None:
        if scale_name in size_scales() and not scale_name.startswith("gauge-"):
            scale = size_scale(scale_name)
        else:
            labels = [name for name in size_scales() if not name.startswith("gauge-")]
            fields.wrong("label_scale", shown(scale_name), nearest(scale_name, labels))
    width_scale: Any = fields.word("width_scale", WIDTH_SCALES, default="us")
    reads = _width_reader(scale, width_scale)
    labels = _read_offer(fields, scale, reads)
    reference = fields.text("reference_width", wanted="the width of a label without one")
    if reference is not None and scale is not None and labels:
        _checked(fields, "reference_width", lambda: reads(reference, labels[0].size))
    stiffness: Any = fields.word("stiffness", ("soft", "medium", "stiff"), default="stiff")
    toe: Any = fields.word("toe", ("round", "almond", "pointed", "hard-cap"), default="round")
    closing: Any = fields.word("closing", ("lace", "pull-on"), default="lace")
    heel = fields.number("heel_mm", low=0, high=200, unit="mm")
    advice = [
        one for table in fields.tables("advice", one_allowed=True) if (one := _read_advice(table, scale)) is not None
    ]
    terms = _read_terms(fields.table("terms"))
    measured = [
        pair for one in fields.tables("measured") if (pair := _read_measured(one, scale, labels)) is not None
    ]
    fields.done()
    if len(problems) > before or scale is None or maker is None:
        return None
    return Last(
        code=code,
        maker=maker,
        label_scale=scale.name,
        labels=labels,
        width_scale=width_scale,
        reference_width=reference,
        stiffness=stiffness,
        toe=toe,
        closing=closing,
        heel_height=heel,
        advice=tuple(advice),
        measured=tuple(measured),
        terms=terms,
    )


def _width_reader(scale: SizeScale | None, width_scale: Any) -> Callable[[str, Fraction], Fraction]:
    """Return what reads a width at a size, only to check it and to order labels narrow to wide."""
    sex: Sex = "women" if scale is not None and scale.population == "women" else "men"
    mean = foot_moments()["populations"][sex]["mean"]

    def read(width: str, size: Fraction) -> Fraction:
        return width_letters(
            width,
            width_scale or "us",
            scale.foot_length(size) if scale is not None else Fraction(270),
            sex,
            mean_girth=Fraction(mean[3]),
            mean_length=Fraction(mean[0]),
            average_letter=AVERAGE_LETTER[None],
        )

    return read


def _checked(fields: Fields, name: str, read: Callable[[], object]) -> bool:
    try:
        read()
    except UnreadableText as refused:
        fields.wrong(name, refused.found, refused.wanted)
        return False
    return True


def _read_offer(
    fields: Fields, scale: SizeScale | None, reads: Callable[[str, Fraction], Fraction]
) -> tuple[Label, ...]:
    """Return every label: by size, then from narrow to wide."""
    text = fields.text("sizes", wanted='sizes such as "6-12 by 1/2, 13"')
    widths = fields.take("widths")
    if scale is None:
        return ()
    sizes: tuple[Fraction, ...] | None = None
    if text is not None:
        try:
            sizes = parse_sizes(text, scale)
        except UnreadableText as refused:
            fields.wrong("sizes", refused.found, refused.wanted)
            return ()
    if isinstance(widths, dict) and widths:
        return _offer_by_width(fields, widths, sizes, scale, reads)
    if sizes is None:
        if not fields.has("sizes"):
            fields.wrong("sizes", "nothing", 'the offer, such as "6-12 by 1/2, 13"')
        return ()
    if widths is None:
        return tuple(Label(size, None) for size in sizes)
    if not isinstance(widths, list) or not widths or not all(isinstance(one, str | int) for one in widths):
        fields.wrong("widths", shown(widths), 'widths such as ["B", "D"], or a table of sizes for each')
        return ()
    names = [str(one) for one in widths]
    if len(set(names)) < len(names):
        fields.wrong("widths", "a width twice", "each width once")
        return ()
    for name in names:
        if not _checked(fields, "widths", lambda name=name: reads(name, sizes[0])):  # type: ignore[misc]
            return ()
    return tuple(
        Label(size, name) for size in sizes for name in sorted(names, key=lambda name: reads(name, size))
    )


def _offer_by_width(
    fields: Fields,
    widths: dict[str, Any],
    sizes: tuple[Fraction, ...] | None,
    scale: SizeScale,
    reads: Callable[[str, Fraction], Fraction],
) -> tuple[Label, ...]:
    """Return the labels of a table from width to sizes; with `sizes` too, a label must be in both."""
    offered: list[tuple[Fraction, Fraction, Label]] = []
    for name, text in widths.items():
        try:
            own = parse_sizes(str(text), scale)
            for size in own:
                if sizes is None or size in sizes:
                    offered.append((size, reads(name, size), Label(size, name)))
        except UnreadableText as refused:
            fields.wrong(f"widths.{name}", refused.found, refused.wanted)
    if not offered and not fields.problems:
        fields.wrong("widths", "no size that `sizes` offers too", "widths in sizes that are offered")
    return tuple(label for _, _, label in sorted(offered, key=lambda one: one[:2]))


def _read_advice(fields: Fields, scale: SizeScale | None) -> Advice | None:
    before = len(fields.problems)
    basis: Any = fields.word("from", _BASES, default="ball")
    order = fields.parsed("order", parse_signed, wanted="sizes from the reading to the label, such as -0.5")
    rows = fields.take("table")
    named = fields.text("scale", wanted="the size scale the advice speaks in")
    fields.done()
    if (order is None) == (rows is None) and len(fields.problems) == before:
        found = "neither order nor table" if rows is None else "both order and table"
        fields.wrong("order", found, "one of them")
    if order is not None and abs(order) > 5:
        fields.wrong("order", str(float(order)), "at most 5 sizes either way")
    if basis == "label":
        if rows is not None:
            fields.wrong("table", "a table against labels", 'order, or a table from = "ball" or "length"')
        labels = [name for name in size_scales() if not name.startswith("gauge-")]
        if named is None:
            fields.wrong("scale", "nothing", "the size scale the advice speaks in")
        elif named not in labels:
            fields.wrong("scale", shown(named), nearest(named, labels))
    elif named is not None:
        fields.wrong("scale", shown(named), 'a scale only with from = "label"')
    table = _read_table(fields, rows, scale) if rows is not None and scale is not None else ()
    if len(fields.problems) > before:
        return None
    return Advice(basis, order, table, named)


def _read_table(fields: Fields, rows: Any, scale: SizeScale) -> tuple[tuple[Fraction, Fraction], ...]:
    wanted = '[gauge reading, label] pairs such as [["10 1/2", "10"]]'
    if not isinstance(rows, list) or not rows or not all(isinstance(row, list) and len(row) == 2 for row in rows):
        fields.wrong("table", shown(rows), wanted)
        return ()
    gauge = size_scale(GAUGE_OF[scale.population or "men"])
    found = []
    for i, (reading, label) in enumerate(rows, start=1):
        try:
            found.append((gauge.parse(str(reading), quarters=True), scale.parse(str(label))))
        except UnreadableText as refused:
            fields.wrong(f"table, row {i}", refused.found, refused.wanted)
    readings = [reading for reading, _ in found]
    if len(set(readings)) < len(readings):
        fields.wrong("table", "one reading twice", "each gauge reading once")
    return tuple(sorted(found))


def _read_terms(fields: Fields | None) -> Terms:
    if fields is None:
        return Terms()
    publishes = fields.flag("publishes_advice") if fields.has("publishes_advice") else None
    days = fields.number("exchange_days", low=0, high=3650, unit="days")
    fields.done()
    return Terms(publishes, None if days is None else int(days))


def _read_measured(fields: Fields, scale: SizeScale | None, labels: tuple[Label, ...]) -> MeasuredPair | None:
    before = len(fields.problems)
    size = fields.text("size", wanted="the size on the label", required=True)
    width = fields.text("width", wanted="the width on the label")
    found = {
        name: fields.number(f"{name}_mm", low=low, high=high, unit="mm") for name, (low, high) in _MEASURES.items()
    }
    sd = fields.number("sd_mm", low=0, high=50, unit="mm", above=True)
    origin = fields.word("from", ("pair", "drawing"), default="pair")
    fields.done()
    if all(value is None for value in found.values()) and len(fields.problems) == before:
        fields.wrong("flex_line_mm", "nothing measured", "flex_line_mm, inside_length_mm or ball_girth_mm")
    label = None
    if scale is not None and size is not None:
        try:
            label = Label(scale.parse(size), width)
        except UnreadableText as refused:
            fields.wrong("size", refused.found, refused.wanted)
    if label is not None and labels and label not in labels:
        fields.wrong("size", f"{size} {width or ''}".strip(), "a label that the last is offered in")
    if len(fields.problems) > before or label is None:
        return None
    return MeasuredPair(label.size, label.width, **found, sd_mm=sd, from_drawing=origin == "drawing")
