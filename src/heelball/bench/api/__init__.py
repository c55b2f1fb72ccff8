"""The bench's work as a JSON API, described in OpenAPI; who may use it is asked at one door."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Depends

from heelball.bench.api import choice, convert, gauge, lasts, pairs, wearers
from heelball.bench.api.admission import admitted

router: Final = APIRouter(prefix="/api/v1", dependencies=[Depends(admitted)])
for _part in (wearers, lasts, choice, pairs, gauge, convert):
    router.include_router(_part.router)
