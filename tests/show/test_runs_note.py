"""How lasts run, in words."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from heelball.gaussian.normal import Gaussian
from heelball.last.values import Label
from heelball.learn.against_advice import Disagreement
from heelball.learn.habits import Habits
from heelball.learn.runs import Doubt, LastRun, MakerRun, Runs, WearerFit
from heelball.learn.try_on import TryOn
from heelball.show.runs_note import pairs_text, run_text, runs_note
from tests.fittings import last


@pytest.mark.parametrize(
    ("place", "mean", "sd", "said"),
    [
        ("ball", 3.0, 1.2, "3 mm long in the ball, ± 1.2"),
        ("ball", -2.26, 1.0, "2.3 mm short in the ball, ± 1.0"),
        ("breadth", -1.5, 0.7, "1.5 mm narrow at the joint, ± 0.7"),
        ("girth", 4.0, 2.0, "4 mm roomy round the ball, ± 2.0"),
        ("heel", 3.1, 3.0, "3.1 mm wide in the heel, ± 3.0"),
        ("toe", 1.1, 1.2, "true in the toe, ± 1.2 mm"),
        ("toe", -0.4, 0.1, "true in the toe, ± 0.1 mm"),
    ],
)
def test_a_run_in_words(place: str, mean: float, sd: float, said: str) -> None:
    assert run_text(place, mean, sd) == said


def test_how_many_pairs() -> None:
    assert [pairs_text(n) for n in (0, 1, 14)] == [
        "from no pair of its own",
        "from one pair",
        "from 14 pairs",
    ]


N7 = last(code="N7")
TOLD = TryOn("W1", "N7", Label(Fraction(10), "D"), {("left", "ball"): "much"}, 2.0, place="tried.csv, line 4")


def _normal(size: int, first: float = 0.0) -> Gaussian:
    mean = np.zeros(size)
    mean[0] = first
    return Gaussian(mean, np.eye(size))


def _runs(*, settled: bool = True, own_blocks: bool = False, doubts: int = 1) -> Runs:
    belief = _normal(8)
    belief.mean[3] = 3.0
    return Runs(
        offsets=_normal(3),
        lasts=(
            LastRun("N7", "Northmoor", 14, belief, _normal(8)),
            LastRun("N9", "Northmoor", 0, _normal(8), _normal(8)),
        ),
        makers=(MakerRun("Kestrel Bench", 1, _normal(5)), MakerRun("Northmoor", 2, _normal(5, 2.0))),
        wearers=(
            WearerFit("W1", False, 2, _normal(10), _normal(10), _normal(5)),
            WearerFit("W2", True, 2, _normal(10), _normal(10), _normal(5)),
        ),
        doubtful=tuple(Doubt(TOLD, "left", "ball", 0.004, 0.71) for _ in range(doubts)),
        habits=Habits.default(),
        settled=settled,
        own_blocks=own_blocks,
        log_chances=np.zeros(1),
    )


def _note(runs: Runs, *against: Disagreement) -> str:
    lines = runs_note(runs, {"N7": N7}, against, 20)
    assert max(len(line.text) for line in lines) <= 80
    return " ".join(" ".join(line.text for line in lines).split())


def test_a_note_says_what_was_learned() -> None:
    said = _note(_runs(), Disagreement("N7", "ball", 0.2, 3.0, 3.4))
    assert "How the lasts run, from 20 try-ons" in said
    assert "N7, Northmoor, from 14 pairs - 3 mm long in the ball, ± 1.0" in said
    assert "Nobody tried on N9" in said
    assert "Northmoor, 2 lasts: 2 mm long in the ball, ± 1.0;" in said
    assert "Kestrel Bench" not in said, "a maker of one last shares nothing"
    assert "N7: held to run true in the ball, runs 3.0 mm long in the ball (3.4 sds apart)" in said
    assert "tried.csv, line 4: W1 in N7 10 D, left ball “much”: 71 % likely a mistake" in said
    assert "One wearer was never measured" in said
    assert "not medicine" in said
    assert "come quite to rest" not in said


def test_a_note_says_where_the_figures_are_only_nearly_so() -> None:
    said = _note(_runs(settled=False, own_blocks=True, doubts=23))
    assert "did not come quite to rest" in said
    assert "each ± is a little too small" in said
    assert "and 3 more." in said
    assert "disagree" not in said
