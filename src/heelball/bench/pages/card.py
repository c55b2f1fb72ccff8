"""What leaves the order page: the fit card, what a made pair would need, JSON and the drawing."""

from __future__ import annotations

from typing import Final

from attrs import evolve
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from heelball.bench.pages.order import today, units
from heelball.bench.pages.order_day import moment_asked
from heelball.bench.ranking import ranking_of
from heelball.bench.rendering import to_save
from heelball.bench.session import session_of
from heelball.errors import InputError
from heelball.show.paper import PaperSize, fit_card, made_pair_sheet
from heelball.work.day_control import on_day
from heelball.work.order_in_full import InFull, answer_record, asked_wearer, drawing, in_full
from heelball.work.worn import can_rank

router: Final = APIRouter(prefix="/wearers/{id}")

_PDF: Final = "application/pdf"


@router.get("/card.pdf")
def fit_card_paper(request: Request, id: str, last: str = "", paper: str = "a4") -> Response:
    """Set the fit card of one last, or of the one that stands first: what the wearer takes home."""
    told = _full(request, id, last or _first(request, id))
    sheet = fit_card(
        told.answer,
        told.choices,
        told.wearer,
        day=today(request),
        paper=_paper(paper),
        units=units(request),
        name=told.kept.name or None,
        fitter=session_of(request).fitter or None,
    )
    return _file(sheet, _PDF, "fit-card.pdf")


@router.get("/made-pair.pdf")
def made_pair_paper(request: Request, id: str, paper: str = "a4") -> Response:
    """Set what a made pair would need; nothing on it names the wearer."""
    held = ranking_of(request).holdings.hold(request.app.state.records, id, (), today=today(request))
    sheet = made_pair_sheet(
        evolve(held.holding.known, made_pair=held.holding.known.feet),
        on_day(held.wearer, moment_asked(request.query_params, units(request))),
        # The row's random name: it leads back from the sheet to these records and to nothing else.
        reference=id[:6],
        day=today(request),
        paper=_paper(paper),
        units=units(request),
        fitter=session_of(request).fitter or None,
    )
    return _file(sheet, _PDF, "made-pair.pdf")


@router.get("/order.json")
def answer_json(request: Request, id: str) -> Response:
    """Send the answer from the lasts held, each in full: ``heelball/choice/1``."""
    record = answer_record(
        request.app.state.records,
        ranking_of(request).holdings,
        id,
        request.query_params.getlist("last"),
        today=today(request),
        moment=moment_asked(request.query_params, units(request)),
    )
    return JSONResponse(record, headers=to_save("order.json"))


@router.get("/drawing.svg")
def drawing_file(request: Request, id: str, last: str) -> Response:
    """Send the drawing of both feet in one last's boot, with its table."""
    return _file(drawing(_full(request, id, last)).encode(), "image/svg+xml", "drawing.svg")


def _full(request: Request, id: str, last: str | None) -> InFull:
    return in_full(
        request.app.state.records,
        ranking_of(request).holdings,
        id,
        last,
        today=today(request),
        moment=moment_asked(request.query_params, units(request)),
    )


def _first(request: Request, id: str) -> str | None:
    """Return the last that stands first for a wearer; None where none is chosen."""
    moment = moment_asked(request.query_params, units(request))
    wearer = asked_wearer(request.app.state.records, id, moment)
    if not can_rank(wearer):
        return None
    found = ranking_of(request).process.rank(wearer, 1, today=today(request))
    return next(iter(found.last_ids), None)


def _paper(size: str) -> PaperSize:
    if size == "letter":
        return "letter"
    if size != "a4":
        raise InputError.at("paper", size, "a4 or letter")
    return "a4"


def _file(content: bytes, kind: str, name: str) -> Response:
    return Response(content, media_type=kind, headers=to_save(name))
