"""The pages, one file a subject, each with a router of its own."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter

from heelball.bench.pages import (
    card,
    foot_entry,
    foot_typed,
    gauge,
    guide,
    history,
    home,
    last,
    last_evidence,
    lasts,
    letter,
    letters,
    login,
    maker,
    order,
    pair,
    pair_steps,
    pairs,
    settings_page,
    sheet,
    sheet_seen,
    try_on,
    wearer,
    wearer_day,
    wearer_erase,
    wearers,
)

#: Every page's router; each subject adds its line.
ROUTERS: Final[tuple[APIRouter, ...]] = (
    home.router,
    login.router,
    settings_page.router,
    wearers.router,
    wearer.router,
    wearer_day.router,
    wearer_erase.router,
    foot_entry.router,
    foot_typed.router,
    sheet.router,
    sheet_seen.router,
    history.router,
    pairs.router,
    pair.router,
    pair_steps.router,
    try_on.router,
    lasts.router,
    last.router,
    last_evidence.router,
    maker.router,
    letters.router,
    letter.router,
    gauge.router,
    guide.router,
    order.router,
    card.router,
)
