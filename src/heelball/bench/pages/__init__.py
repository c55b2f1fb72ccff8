"""The pages, one file a subject, each with a router of its own."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter

from heelball.bench.pages import home, login, settings_page

#: Every page's router; each subject adds its line.
ROUTERS: Final[tuple[APIRouter, ...]] = (
    home.router,
    login.router,
    settings_page.router,
)
