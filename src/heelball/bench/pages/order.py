"""The order page: the ranked lasts, both answers, the foot in the boot, and the day as a control."""

from __future__ import annotations

from datetime import date as Date
from datetime import datetime
from typing import Annotated, Final

from attrs import evolve
from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.forms import Form, posted
from heelball.bench.pages.order_day import address, carried, day_typed, moment_in
from heelball.bench.ranking import ranking_lifespan, ranking_of
from heelball.bench.rendering import page, see, wants_fragment
from heelball.bench.session import author, session_of
from heelball.records.store import Records
from heelball.show.lengths import Units
from heelball.work.day_control import MAPPING, Moment, day_words, state_words
from heelball.work.day_form import day_fields
from heelball.work.letters import draft_question
from heelball.work.order_answer import Asked
from heelball.work.order_in_full import in_full, order_record
from heelball.work.order_page import OrderPage, order_page
from heelball.work.pairs import new_pair_name, order_pair

router: Final = APIRouter(prefix="/wearers/{id}/order", lifespan=ranking_lifespan)

Sent = Annotated[Form, Depends(posted)]

#: What a button of the day's form asks for, by its name.
_ALL: Final = "all"
_MORE: Final = "more"


@router.get("")
def show(request: Request, id: str, look: str = "") -> Response:
    """Look through all lasts for the wearer's own day."""
    found = _all(request, _asked(request, id, None, look), more=False)
    return _shown(request, found, None)


@router.post("/day")
def change_day(request: Request, id: str, form: Sent) -> Response:
    """Answer for another day, or tell another last in full: from the lasts held, or from all."""
    moment = moment_in(form, units(request))
    if not form.good:
        return _mend(request, id, form)
    asked = _asked(request, id, moment, form.text("look") or form.text("looked"))
    if form.text(_ALL) or form.text(_MORE):
        found = _all(request, asked, more=bool(form.text(_MORE)))
    else:
        found = _held(request, asked, form)
    return _shown(request, found, form)


@router.post("/pair")
def order(request: Request, id: str, form: Sent) -> Response:
    """Order a pair, with what was said of it."""
    moment = moment_in(form, units(request))
    full = in_full(
        _records(request),
        ranking_of(request).holdings,
        id,
        form.text("last"),
        today=today(request),
        moment=moment if form.good else None,
    )
    name = form.text("pair")
    pair = order_pair(
        _records(request),
        id,
        form.text("last"),
        form.text("size"),
        form.text("width") or None,
        order_record(full),
        author(request),
        name=name if name.isascii() and name.isalnum() and len(name) == 16 else None,
    )
    return see(f"/pairs/{pair.id}")


@router.post("/question")
def ask_maker(request: Request, id: str, form: Sent) -> Response:  # noqa: ARG001
    """Draft a question to a maker about a last; nothing of the wearer goes into it."""
    letter = draft_question(_records(request), form.text("maker"), [form.text("last")], author(request))
    return see(f"/letters/{letter.id}")


def _asked(request: Request, id: str, moment: Moment | None, look: str) -> Asked:
    return Asked(id, (), today(request), moment, look or None, units(request))


def _all(request: Request, asked: Asked, *, more: bool) -> OrderPage:
    ranking = ranking_of(request)
    return order_page(_records(request), ranking.process, ranking.answering, asked, more=more)


def _held(request: Request, asked: Asked, form: Form) -> OrderPage:
    held = evolve(asked, last_ids=tuple(form.texts("held")))
    return OrderPage(ranking_of(request).answering.answer(held), _count(form.text("lasts")))


def _mend(request: Request, id: str, form: Form) -> Response:
    """Show what was typed with what is wrong with it, over the answer for the wearer's own day."""
    asked = _asked(request, id, None, form.text("look") or form.text("looked"))
    return _shown(request, _held(request, asked, form), form, status=422)


def _shown(request: Request, found: OrderPage, form: Form | None, *, status: int = 200) -> Response:
    answer, shown_in, typed = found.answer, units(request), day_typed(form)
    fragment = wants_fragment(request)
    day = carried(answer.moment, typed)
    held = [row.last_id for row in answer.rows]
    return page(
        request,
        "_order_answer.html" if fragment else "order.html",
        status=status,
        fragment=fragment,
        form=form,
        typed=typed,
        carried=day,
        day_query=address(**day),
        held_query=address(last=held, **day),
        chosen=None if form is None else form.text("look") or form.text("looked"),
        keep=None if answer.moment is None else day_fields(answer.moment.as_day()),
        whole=found,
        answer=answer,
        kept=answer.kept,
        shown_for=None if answer.moment is None else state_words(answer.moment.state, shown_in),
        pair_name=new_pair_name,
        own_day=day_words(answer.own_day, shown_in),
        mapping=MAPPING,
        units=shown_in,
    )


def units(request: Request) -> Units:
    """Return what this browser shows lengths in."""
    return "in" if session_of(request).units == "in" else "mm"


def today(request: Request) -> Date:
    """Return the day at this bench."""
    now: datetime = request.app.state.settings.clock()
    return now.date()


def _records(request: Request) -> Records:
    records: Records = request.app.state.records
    return records


def _count(text: str) -> int:
    """Return a number that a page carried along for itself; 0 where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0
