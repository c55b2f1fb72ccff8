"""Sizes and lengths from one scale to another, as JSON."""

from __future__ import annotations

from typing import Any

from heelball.bench.api.asked import Conversion
from heelball.bench.api.routes import routes
from heelball.work.convert import convert_text

router = routes("scales")


@router.post("/convert")
def convert(asked: Conversion) -> dict[str, Any]:
    """Convert a size or a foot length as typed: `heelball/convert/1`."""
    return convert_text(asked.value, asked.source, asked.target)
