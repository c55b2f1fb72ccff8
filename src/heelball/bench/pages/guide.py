"""A last's size guide, to be published: as a page, on paper, as a table."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.rendering import to_save
from heelball.errors import InputError
from heelball.fit.size_guide import Sex
from heelball.work.guide import MadeGuide
from heelball.work.kept_guide import kept_guide
from heelball.work.lasts_kept import file_stem

router: Final = APIRouter(prefix="/lasts/{last_id}")

_FOR: Final[tuple[Sex, ...]] = ("men", "women")


@router.get("/guide.html")
def as_page(request: Request, last_id: str) -> Response:
    """Hand over a page that needs nothing beside it."""
    made = _made(request, last_id)
    return _file(made, made.html, "text/html", "html")


@router.get("/guide.pdf")
def as_paper(request: Request, last_id: str) -> Response:
    """Hand over the same on paper."""
    made = _made(request, last_id)
    return _file(made, made.pdf, "application/pdf", "pdf")


@router.get("/guide.csv")
def as_table(request: Request, last_id: str) -> Response:
    """Hand over the table alone."""
    made = _made(request, last_id)
    return _file(made, made.table, "text/csv", "csv")


def _made(request: Request, last_id: str) -> MadeGuide:
    wanted = request.query_params.get("for", "")
    sex = next((one for one in _FOR if one == wanted), None)
    if wanted and sex is None:
        raise InputError.at("for", wanted, "men or women, or nothing")
    return kept_guide(request.app.state.records, last_id, sex, day=request.app.state.settings.clock().date())


def _file(made: MadeGuide, content: str | bytes, kind: str, ending: str) -> Response:
    name = f"size-guide-{file_stem(made.guide.last.code)}.{ending}"
    return Response(content, media_type=kind, headers=to_save(name))
