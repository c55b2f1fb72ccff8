"""Seeds, so that every test run draws the same numbers; and the one browser of all tests."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import settings

from tests.browser.fixtures import bench_at, chromium

__all__ = ["bench_at", "chromium", "generator"]

# No deadline: how long one example takes says nothing about whether it is right.
settings.register_profile("heelball", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("heelball")


@pytest.fixture
def generator() -> np.random.Generator:
    """Return a fresh generator with a fixed seed."""
    return np.random.default_rng(20240229)
