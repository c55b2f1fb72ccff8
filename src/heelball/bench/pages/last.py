"""One last: which foot each label is built for, what is known of how it runs, terms, history, file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final

from attrs import frozen
from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.lasts import LABELS, last_form
from heelball.bench.rendering import page, see, to_save
from heelball.bench.session import author, session_of
from heelball.bench.typed import beside_fields, day_of, number_in, typed
from heelball.errors import InputError
from heelball.last.description import Figure, LastFacts
from heelball.records.refused import Conflict
from heelball.records.values import KeptAdvice, KeptLast, KeptMeasured
from heelball.scales.catalogue import size_scale
from heelball.show.how_it_runs import in_one_line, place_by_place
from heelball.show.labels import label_text, offer_text, size_text
from heelball.show.last_note import advice_text, measured_text
from heelball.show.lengths import Units, figure_text, in_units, length_text
from heelball.show.run_words import contradictions_texts, source_text
from heelball.show.runs_note import pairs_text, places_texts
from heelball.work import lasts_kept, lasts_written
from heelball.work.last_form import written_last

router: Final = APIRouter()

#: Measures that stand once a size, and those that differ by width.
_BY_SIZE: Final = (("length", "length"), ("ball", "heel-to-ball"))
_BY_WIDTH: Final = (
    ("girth", "Girth round the ball"),
    ("breadth", "Breadth across the ball"),
    ("heel", "Breadth of the heel"),
)


@frozen
class Cell:
    """A figure of the foot a label is built for, and its ±; None where that label is not offered."""

    figure: str
    sure: str


@frozen
class Grid:
    """A table of one measure, or of those that no width changes: sizes down."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell | None, ...]], ...]


@router.get("/lasts/{last_id}")
def show_last(request: Request, last_id: str) -> Response:
    """Show everything that is known of one last."""
    known = lasts_kept.last_page(request.app.state.records, last_id)
    kept, last = known.kept, known.last
    units = units_of(request)
    names = {kept.code: kept.code, kept.maker: kept.maker}
    return page(
        request,
        "last.html",
        kept=kept,
        last=last,
        scale=size_scale(last.label_scale).title,
        offer=offer_text(last),
        heel=None if last.heel_height is None else length_text(last.heel_height, units),
        runs=None if known.runs is None else in_one_line(known.runs, units),
        told_at=None if known.runs is None else label_text(known.runs.label, last),
        learned=learned_words(known),
        places=[] if known.runs is None else place_by_place(known.runs, units),
        grids=[] if known.facts is None else grids(known.facts, units),
        sources=[] if known.facts is None else sources(known.facts),
        contradictions=[]
        if known.facts is None
        else [in_units(said, units, names) for said in contradictions_texts(known.facts)],
        advice=[(one, advice_text(said, last)) for one, said in zip(kept.advice, last.advice, strict=True)],
        measured=[
            (one, in_units(measured_text(pair, last), units))
            for one, pair in zip(kept.measured, last.measured, strict=True)
        ],
        withdrawn=[_withdrawn_advice(one) for one in known.withdrawn_advice]
        + [in_units(_withdrawn_pair(one), units) for one in known.withdrawn_pairs],
        history=known.history,
        day=day_of,
    )


@frozen
class LearnedWords:
    """What try-ons taught of a last, in words: from how many, when, and place by place."""

    source: str
    places: tuple[str, ...]


def learned_words(known: lasts_kept.LastPage) -> LearnedWords | None:
    """Return what try-ons taught of a last; None where nothing was learned of it."""
    learned, code = known.learned, known.last.code
    if learned is None or (code not in learned.known and code not in learned.changed):
        return None
    when = f"learned on {learned.learned_on.isoformat()} from all {learned.try_ons} try-ons in the records"
    if code in learned.changed:
        return LearnedWords(f"Changed since its run was {when}: learn again, and it counts.", ())
    run, since = learned.known[code], len(learned.since.get(code, ()))
    if since:
        when += f", and {since} told since, heard by this last alone"
    source = f"{pairs_text(run.pairs).capitalize()} tried on; {when}. Answers are given by it."
    return LearnedWords(source, tuple(places_texts(run.run)))


@router.get("/lasts/{last_id}/edit")
def show_last_form(request: Request, last_id: str) -> Response:
    """Show the form for a last's own fields, with what is kept."""
    kept = lasts_kept.kept_last(request.app.state.records, last_id)
    return _edit(request, kept, written_last(kept, units_of(request)))


@router.post("/lasts/{last_id}/edit")
def change_last(request: Request, last_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Change a last's own fields."""
    seen = number_in(form, "seen")
    records, units = request.app.state.records, units_of(request)
    if form.good:
        try:
            lasts_written.edit_last(records, last_id, seen, typed(form), units=units, by=author(request))
            return see(f"/lasts/{last_id}")
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "code")
        except Conflict as conflict:
            theirs = written_last(conflict.theirs, units)
            return conflict_page(request, conflict, form, LABELS, f"/lasts/{last_id}", theirs=theirs)
    return _edit(request, lasts_kept.kept_last(records, last_id), {}, form)


@router.post("/lasts/{last_id}/retired")
def retire_last(request: Request, last_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Leave a last out of what is offered, or take it up again."""
    seen, retired = number_in(form, "seen"), form.text("retired") == "yes"
    try:
        lasts_written.retire_last(
            request.app.state.records, last_id, seen, retired=retired, by=author(request)
        )
    except Conflict as conflict:
        again = f"/lasts/{last_id}"
        return conflict_page(request, conflict, form, {"retired": "No longer had"}, again)
    return see(f"/lasts/{last_id}")


@router.post("/lasts/{last_id}/undo")
def undo(request: Request, last_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Take back the last thing done to this last or to what is known of it."""
    change = number_in(form, "change")
    there = lasts_written.undo_at_last(request.app.state.records, last_id, change, author(request))
    return see(f"/lasts/{last_id}" if there else "/lasts")


@router.get("/lasts/{last_id}/last.toml")
def export_last(request: Request, last_id: str) -> Response:
    """Hand over the last as its file."""
    kept = lasts_kept.kept_last(request.app.state.records, last_id)
    return Response(
        lasts_kept.last_toml(kept),
        media_type="application/toml",
        headers=to_save(f"{lasts_kept.file_stem(kept.code)}.toml"),
    )


def units_of(request: Request) -> Units:
    """Return what lengths are shown and typed in."""
    return "in" if session_of(request).units == "in" else "mm"


def grids(facts: LastFacts, units: Units) -> list[Grid]:
    """Return which foot each label is built for, as tables: sizes down, widths across."""
    last = facts.last
    by_label = {one.label: one.built_for for one in facts.labels}
    # Each width may have sizes of its own, so that no size need have them all.
    letters = {one.label.width: one.letters for one in facts.labels}
    widths = sorted(letters, key=lambda width: letters[width])

    def cell(built: Mapping[str, Figure] | None, measure: str) -> Cell | None:
        if built is None:
            return None
        figure = built[measure]
        return Cell(figure_text(figure.mean, units), f"±{figure_text(figure.sd, units)}")

    sizes = {size_text(size, last.label_scale): labels for size, labels in last.by_size.items()}
    alike = Grid(
        "Length, and heel to ball joint",
        tuple(words for _, words in _BY_SIZE),
        tuple(
            (size, tuple(cell(by_label[labels[0]], measure) for measure, _ in _BY_SIZE))
            for size, labels in sizes.items()
        ),
    )
    apart = [
        Grid(
            title,
            tuple(width or "one width" for width in widths),
            tuple(
                (
                    size,
                    tuple(
                        cell(next((by_label[one] for one in labels if one.width == width), None), measure)
                        for width in widths
                    ),
                )
                for size, labels in sizes.items()
            ),
        )
        for measure, title in _BY_WIDTH
    ]
    return [alike, *apart]


def sources(facts: LastFacts) -> list[str]:
    """Return where the figures come from, in words."""
    kinds = dict.fromkeys(kind for one in facts.labels for kind in one.sources)
    return [source_text(kind, facts.last) for kind in kinds]


def _edit(request: Request, kept: KeptLast, values: dict[str, str], form: Form | None = None) -> Response:
    return last_form(
        request,
        values,
        form=form,
        title=f"{kept.code} by {kept.maker}",
        action=f"/lasts/{kept.id}/edit",
        back=f"/lasts/{kept.id}",
        seen=kept.version,
    )


def _withdrawn_advice(kept: KeptAdvice) -> str:
    said = "a table" if kept.rows else f"{kept.order_sizes} sizes"
    return f"Advice: {said} from the {kept.basis}{_where_from(kept)}."


def _withdrawn_pair(kept: KeptMeasured) -> str:
    figures = {"inside length": kept.inside_length_mm, "flex line": kept.flex_line_mm}
    figures["ball girth"] = kept.ball_girth_mm
    said = ", ".join(f"{name} {value:g} mm" for name, value in figures.items() if value is not None)
    label = f"{kept.size} {kept.width}" if kept.width else kept.size
    return f"Pair {label}: {said}{_where_from(kept)}."


def _where_from(kept: KeptAdvice | KeptMeasured) -> str:
    return "".join(f", {one}" for one in (kept.origin, kept.on) if one)
