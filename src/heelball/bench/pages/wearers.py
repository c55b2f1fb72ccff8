"""Wearers: found as a name or code is typed; it is sent as a form, so that none stands in an address."""

from __future__ import annotations

from typing import Annotated, Any, Final, cast

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.rendering import page, see, to_save, wants_fragment
from heelball.bench.session import author
from heelball.errors import InputError
from heelball.foot.vector import Population
from heelball.records.store import Records
from heelball.work import wearer_changes, wearer_out
from heelball.work.readings_csv import POPULATIONS

router: Final = APIRouter(prefix="/wearers")

Sent = Annotated[Form, Depends(posted)]

#: Longest name and note [characters]; a code is bounded by the reader of wearer files.
LONGEST_NAME: Final = 200

POPULATION_WORDS: Final = (
    ("men", "a men’s scale"),
    ("women", "a women’s scale"),
    ("unstated", "either, it is not said"),
)


@router.get("")
def show(request: Request) -> Response:
    """Show the first wearers by name, and a field to look for one."""
    return _found(request, "")


@router.post("")
def search(request: Request, form: Sent) -> Response:
    """Show who is found; for htmx the list alone."""
    return _found(request, form.text("words"))


@router.post("/readings.csv")
def export(request: Request, form: Sent) -> Response:
    """Hand over the readings of who is found, under their codes."""
    text = wearer_out.found_csv(request.app.state.records, form.text("words"))
    return handed(text, "text/csv; charset=utf-8", "readings.csv")


def handed(text: str, kind: str, name: str) -> Response:
    """Return a text as a file to save; the browser keeps no copy of its own."""
    return Response(text, media_type=kind, headers=to_save(name))


def _found(request: Request, words: str) -> Response:
    records: Records = request.app.state.records
    return page(
        request,
        "_wearer_list.html" if wants_fragment(request) else "wearers.html",
        words=words,
        found=wearer_changes.search(records, words),
        count=wearer_changes.count(records),
    )


@router.get("/new")
def ask_new(request: Request) -> Response:
    """Show the form of a new wearer, with a code that is free."""
    return _new(request)


@router.post("/new")
def add(request: Request, form: Sent) -> Response:
    """Write a new wearer down and go on to the feet."""
    particulars = read_particulars(form)
    if form.good:
        try:
            kept = wearer_changes.add(
                request.app.state.records,
                particulars["code"],
                particulars["name"],
                particulars["population"],
                by=author(request),
            )
        except InputError as refused:
            beside(form, refused)
        else:
            return see(f"/wearers/{kept.id}")
    return _new(request, form)


def _new(request: Request, form: Form | None = None) -> Response:
    return page(
        request,
        "_wearer_form.html",
        status=200 if form is None else 422,
        form=form,
        kept=None,
        code=wearer_changes.suggested_code(request.app.state.records),
        populations=POPULATION_WORDS,
    )


def read_particulars(form: Form) -> dict[str, Any]:
    """Return who a wearer is as typed, with a sentence in the form for what cannot be."""
    if not form.text("code"):
        form.wrong("code", "no code", "a short one, which lists and exports call the wearer by")
    if len(form.text("name")) > LONGEST_NAME:
        form.wrong("name", f"{len(form.text('name'))} characters", f"at most {LONGEST_NAME}")
    population = form.text("population")
    if population not in POPULATIONS:
        form.wrong("population", f"{population or 'nothing'} was chosen", "one of those listed")
    return {
        "code": form.text("code"),
        "name": form.text("name"),
        "population": cast("Population", population),
    }


def beside(form: Form, refused: InputError) -> None:
    """Put what a use case refused beside the fields of the form."""
    for problem in refused.problems:
        form.wrong(problem.place, problem.found, problem.wanted)
