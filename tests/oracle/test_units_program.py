"""Last lengths against the shoe measures of the Debian program ``units`` (GNU units, S10)."""

from __future__ import annotations

import shutil
import subprocess
from fractions import Fraction

import pytest

from heelball.scales.catalogue import BARLEYCORN, PARIS_POINT, size_scale
from tests.requirements import require

pytestmark = pytest.mark.oracle

#: Our scale, a size, and what the program calls it.
ASKED = [
    *(("us-men-old", size, f"shoesize_men({size})") for size in ("0", "6", "9", "10.5", "14")),
    *(("us-women-old", size, f"shoesize_women({size})") for size in ("0", "5", "8", "9.5", "12")),
    *(("us-boys-old", size, f"shoesize_boys({size})") for size in ("0", "8", "10", "13.5")),
    *(("us-girls-old", size, f"shoesize_girls({size})") for size in ("0", "8", "10", "13.5")),
    *(("eu", size, f"{size} europeshoesize") for size in ("29", "36.5", "42", "47")),
]


@pytest.fixture(scope="module")
def told() -> dict[str, float]:
    """Return what the program says of each expression, asked all at once [mm]."""
    require(shutil.which("units"), "the program 'units'", "apt-get install units")
    expressions = [expression for *_, expression in ASKED] + ["shoesize_delta", "europeshoesize"]
    # --digits: its own eight figures cut the last ones; the file of asked lines goes in by stdin.
    lines = "".join(f"{expression}\nmm\n" for expression in expressions)
    answer = subprocess.run(
        ["units", "--terse", "--digits", "15"],
        input=lines,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    figures = [float(line) for line in answer.stdout.split()]
    return dict(zip(expressions, figures, strict=True))


@pytest.mark.parametrize(("name", "size", "expression"), ASKED, ids=[expression for *_, expression in ASKED])
def test_last_length_against_units(told: dict[str, float], name: str, size: str, expression: str) -> None:
    ours = size_scale(name).last_length(Fraction(size))
    assert float(ours) == pytest.approx(told[expression], abs=1e-9)


def test_steps_against_units(told: dict[str, float]) -> None:
    assert float(BARLEYCORN) == pytest.approx(told["shoesize_delta"], abs=1e-12)
    assert float(PARIS_POINT) == pytest.approx(told["europeshoesize"], abs=1e-12)


def test_the_figures_of_the_reference_sheet(told: dict[str, float]) -> None:
    # That the program was asked what we think it was asked.
    assert told["shoesize_men(9)"] == pytest.approx(285.75)
    assert told["shoesize_women(8)"] == pytest.approx(268.81667, abs=1e-5)
    assert told["shoesize_boys(10)"] == pytest.approx(184.15)
    assert told["42 europeshoesize"] == pytest.approx(280)
