"""The bench's front door: the wearers."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter
from starlette.responses import Response

from heelball.bench.rendering import see

router: Final = APIRouter()


@router.get("/")
def open_bench() -> Response:
    """Lead to the wearers, where a day's work begins."""
    return see("/wearers")
