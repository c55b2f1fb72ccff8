"""Ten thousand spoiled files: read as the sound one is, or refused for a reason; none does harm."""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from typing import get_args

import pytest

from heelball.sheet.values import Reason
from tests.sheet.limits import Batch, batches, read_spoiled
from tests.sheet.spoiling import WAYS

MOST_MB = 700
HANG_SECONDS = 10.0


def harmless(done: Sequence[Batch]) -> None:
    outcomes = [outcome for batch in done for outcome in batch.outcomes]
    counts = Counter((outcome.way, outcome.result) for outcome in outcomes)
    own, child = (max(getattr(batch, mb) for batch in done) for mb in ("own_mb", "child_mb"))
    slowest = max(outcome.seconds for outcome in outcomes)
    figures = {f"{way}: {result}": count for (way, result), count in sorted(counts.items())}
    sys.stdout.write(
        json.dumps({**figures, "slowest_s": slowest, "own_mb": own, "child_mb": child}, indent=1)
    )
    allowed = {"read", "input", *get_args(Reason)}
    assert [outcome for outcome in outcomes if outcome.result not in allowed] == []
    assert [outcome for outcome in outcomes if outcome.seconds > HANG_SECONDS] == []
    assert [name for batch in done for name in batch.left_behind] == []
    assert own + child < MOST_MB
    # The files are spoiled indeed, and not all beyond opening.
    assert {outcome.way for outcome in outcomes} == set(WAYS)
    assert {"read", "truncated", "not_a_picture"} <= {outcome.result for outcome in outcomes}


def test_a_tenth_of_the_spoiled_files_does_no_harm() -> None:
    harmless(batches(read_spoiled, range(0, 10_000, 10), seconds=300))


@pytest.mark.slow
def test_ten_thousand_spoiled_files_do_no_harm() -> None:
    harmless(batches(read_spoiled, range(10_000), seconds=3600))
