"""One maker: where to write to, its lasts and their terms, and the letters to it."""

from __future__ import annotations

from typing import Annotated, Final

from attrs import asdict
from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.lasts import listed, zipped
from heelball.bench.rendering import page, see
from heelball.bench.session import author
from heelball.bench.typed import beside_fields, blank_beside, day_of, number_in
from heelball.errors import InputError
from heelball.records.refused import Conflict
from heelball.show.letter import publishes_nothing
from heelball.work import lasts_kept, lasts_written, letters

router: Final = APIRouter()

LABELS: Final = {"name": "Name", "address": "Address", "note": "Note"}


@router.get("/makers/new")
def show_new_maker(request: Request) -> Response:
    """Show an empty form for a maker."""
    return _form(request, {}, "A new maker", "/makers/new", "/lasts")


@router.post("/makers/new")
def add_maker(request: Request, form: Annotated[Form, Depends(posted)]) -> Response:
    """Keep a new maker."""
    if form.good:
        try:
            name, address, note = (form.text(field) for field in LABELS)
            records = request.app.state.records
            kept = lasts_written.new_maker(records, name, address, note, author(request))
            return see(f"/makers/{kept.id}")
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "name")
    return _form(request, {}, "A new maker", "/makers/new", "/lasts", form)


@router.get("/makers/{maker_id}")
def show_maker(request: Request, maker_id: str) -> Response:
    """Show one maker."""
    records = request.app.state.records
    maker, shown, history = lasts_kept.lasts_of_maker(records, maker_id)
    standing = [one for one in shown if not one.kept.retired]
    return page(
        request,
        "maker.html",
        maker=maker,
        listed=listed(request, tuple(standing)),
        retired=listed(request, tuple(one for one in shown if one.kept.retired)),
        silent=[one.kept for one in standing if publishes_nothing(one.last)],
        letters=letters.list_letters(records, maker_id),
        history=history,
        day=day_of,
        most=letters.MOST_ASKED,
    )


@router.get("/makers/{maker_id}/lasts.zip")
def export_lasts(request: Request, maker_id: str) -> Response:
    """Hand over the lasts of this maker that can be had, a file each."""
    records = request.app.state.records
    maker, _, _ = lasts_kept.lasts_of_maker(records, maker_id)
    return zipped(lasts_kept.lasts_zip(records, maker.id))


@router.get("/makers/{maker_id}/edit")
def show_maker_form(request: Request, maker_id: str) -> Response:
    """Show the form for a maker, with what is kept."""
    maker, _, _ = lasts_kept.lasts_of_maker(request.app.state.records, maker_id)
    at = f"/makers/{maker_id}"
    return _form(request, asdict(maker), maker.name, f"{at}/edit", at, seen=maker.version)


@router.post("/makers/{maker_id}/edit")
def change_maker(request: Request, maker_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Change a maker."""
    records, seen, at = request.app.state.records, number_in(form, "seen"), f"/makers/{maker_id}"
    if form.good:
        try:
            texts = {name: form.text(name).replace("\r\n", "\n") for name in LABELS}
            lasts_written.edit_maker(records, maker_id, seen, texts, author(request))
            return see(at)
        except InputError as wrong:
            beside_fields(form, wrong, LABELS, "name")
        except Conflict as conflict:
            return conflict_page(request, conflict, form, LABELS, at)
    maker, _, _ = lasts_kept.lasts_of_maker(records, maker_id)
    return _form(request, {}, maker.name, f"{at}/edit", at, form, seen=maker.version)


@router.post("/makers/{maker_id}/undo")
def undo(request: Request, maker_id: str, form: Annotated[Form, Depends(posted)]) -> Response:
    """Take back the last thing done to this maker."""
    change = number_in(form, "change")
    there = lasts_written.undo_at_maker(request.app.state.records, maker_id, change, author(request))
    return see(f"/makers/{maker_id}" if there else "/lasts")


def _form(
    request: Request,
    values: dict[str, str],
    title: str,
    action: str,
    back: str,
    form: Form | None = None,
    seen: int | None = None,
) -> Response:
    return page(
        request,
        "maker_form.html",
        status=200 if form is None else 422,
        form=form,
        values=blank_beside(values),
        labels=LABELS,
        title=title,
        action=action,
        back_to=back,
        seen=seen,
    )
