"""The steps of a pair's life: it comes, is kept, exchanged or sent back, or its order is taken back."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.pair import OUTCOMES, pair_page
from heelball.bench.pages.pair_forms import beside, day, label, seen, today
from heelball.bench.refusals import Refused
from heelball.bench.rendering import see
from heelball.bench.session import author
from heelball.errors import InputError
from heelball.records.pair_life import STATE_WORDS, Ending
from heelball.records.refused import Conflict
from heelball.records.values import KeptPair
from heelball.work import pairs as steps

router: Final = APIRouter(prefix="/pairs/{pair_id}")

Sent = Annotated[Form, Depends(posted)]


@router.post("/arrive")
def arrive(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that it came."""
    if _left_as_it_is(form, "arrive"):
        return see(f"/pairs/{pair_id}")
    on = day(form, "arrived_on", today(request))
    if on is not None and form.good:
        try:
            steps.arrive(request.app.state.records, pair_id, seen(form), on, author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            return _both(request, conflict, form, "arrived_on")
        else:
            return see(f"/pairs/{pair_id}")
    return pair_page(request, pair_id, "arrive", form)


@router.post("/keep")
def keep(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that the wearer keeps it."""
    return _close(request, pair_id, form, "kept", "keep")


@router.post("/return")
def give_back(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that it went back."""
    return _close(request, pair_id, form, "returned", "return")


@router.post("/exchange")
def exchange(request: Request, pair_id: str, form: Sent) -> Response:
    """Write down that it went back and another was ordered for it; go on to that one."""
    if _left_as_it_is(form, "exchange"):
        return see(f"/pairs/{pair_id}")
    on = day(form, "closed_on", today(request))
    due_on = day(form, "due_on", None)
    size, width = label(form, "label")
    if on is not None and form.good:
        try:
            _, new = steps.exchange(
                request.app.state.records,
                pair_id,
                seen(form),
                on,
                size,
                width,
                author(request),
                due_on=due_on,
            )
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            if conflict.theirs.id != pair_id:
                raise _exchanged_before(conflict.theirs) from None
            return _both(request, conflict, form, "closed_on")
        else:
            return see(f"/pairs/{new.id}")
    return pair_page(request, pair_id, "exchange", form)


@router.post("/take-back")
def take_back(request: Request, pair_id: str, form: Sent) -> Response:
    """Take an order back; the list of pairs offers to undo it."""
    if _left_as_it_is(form, "take-back"):
        return see(f"/pairs/{pair_id}")
    try:
        steps.take_back(request.app.state.records, pair_id, seen(form), author(request))
    except InputError as refused:
        beside(form, refused)
        return pair_page(request, pair_id, "take-back", form)
    except Conflict as conflict:
        return _both(request, conflict, form)
    return see("/pairs")


def _close(request: Request, pair_id: str, form: Form, ending: Ending, step: str) -> Response:
    if _left_as_it_is(form, step):
        return see(f"/pairs/{pair_id}")
    on = day(form, "closed_on", today(request))
    if on is not None and form.good:
        try:
            steps.close(request.app.state.records, pair_id, seen(form), ending, on, author(request))
        except InputError as refused:
            beside(form, refused)
        except Conflict as conflict:
            return _both(request, conflict, form, "closed_on")
        else:
            return see(f"/pairs/{pair_id}")
    return pair_page(request, pair_id, step, form)


def _left_as_it_is(form: Form, step: str) -> bool:
    """Whether a fitter who saw both versions chose to leave what another made of the pair."""
    return form.text("outcome") not in ("", OUTCOMES[step])


def _exchanged_before(new: KeptPair) -> Refused:
    """Return what is said where another label was ordered in exchange before this one was asked."""
    stamped = " ".join(part for part in (new.size, new.width) if part)
    return Refused(
        409,
        f"This pair was exchanged for {stamped} before; nothing else was ordered.",
        "To order another label, undo the exchange in the pair's history first.",
    )


def _both(request: Request, conflict: Conflict, form: Form, *days: str) -> Response:
    """Return both versions: what another fitter made of the pair, and what this one wanted."""
    pair: KeptPair = conflict.theirs
    theirs = {"outcome": STATE_WORDS[pair.state]} | {name: getattr(pair, name) or "" for name in days}
    labels = {"outcome": "What becomes of it"} | dict.fromkeys(days, "Day")
    return conflict_page(request, conflict, form, labels, f"/pairs/{pair.id}", theirs=theirs)
