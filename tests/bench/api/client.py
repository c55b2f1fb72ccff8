"""Starlette's client, whose import warns of one that is not out yet for every Python we test on."""

from __future__ import annotations

import warnings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

__all__ = ["TestClient"]
