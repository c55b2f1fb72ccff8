"""Print MODEL 10's simulation: ``python -m evaluation``, a tenth of it with ``--tenth``."""

from __future__ import annotations

import argparse
import time
from typing import Final

import numpy as np

from evaluation.figures import Figure
from evaluation.simulation import PAIRS, Findings, simulate
from evaluation.survey import survey_file, surveyed_feet
from heelball.foot.prior import Sex

#: People of each sex: buyers of single-width shoes, and fitted from a full offer.
COUNTS: Final[dict[Sex, tuple[int, int]]] = {"men": (2000, 1000), "women": (900, 500)}

SEED: Final = 10


def findings_of(sex: Sex, *, tenth: bool) -> Findings:
    """Return the findings for one sex, at full count or a seeded tenth of it."""
    buyers, fitted = (count // 10 if tenth else count for count in COUNTS[sex])
    return simulate(surveyed_feet(survey_file(), sex), sex, buyers, fitted, np.random.default_rng(SEED))


def _cell(figure: Figure) -> str:
    return f"{'' if np.isnan(figure.mean) else figure!s:>15}"


def _print(sex: Sex, found: Findings) -> None:
    wrong = found.wrong_in_single_width
    fitted = next(iter(found.cases.values())).chance.people
    print(f"{sex.capitalize()}: {wrong.people} buy {PAIRS} pairs each, by length, in one width")
    print(f"  wrong in toe or breadth              {_cell(wrong)}")
    print(f"{sex.capitalize()}: {fitted} are fitted from a full offer")
    print(f"  {'known of feet and last':<35}{'chance stated':>15}{'came true':>15}{'rule costs':>15}")
    for name, case in found.cases.items():
        print(f"  {name:<35}{_cell(case.chance)}{_cell(case.came_true)}{_cell(case.rule_costs)}")
    print(f"  {'chance stated, between':<26}{'orders':>8}{'said':>9}{'came true':>11}{'difference':>17}")
    for one in found.bins:
        print(
            f"  {one.low:.1f} and {one.high:.1f}{'':<15}{one.orders:>8}{one.said:>9.3f}{one.came_true:>11.3f}"
            f"{one.gap.mean:>+9.3f} ± {one.gap.error:.3f}"
        )
    print()


def main() -> None:
    """Simulate men and women, and print what came of it."""
    options = argparse.ArgumentParser(prog="python -m evaluation", description=__doc__)
    options.add_argument("--tenth", action="store_true", help="a seeded tenth of the people")
    tenth = options.parse_args().tenth
    if not survey_file().exists():
        raise SystemExit(
            "the survey is missing; set HEELBALL_SHARED to the folder that has data/ and reference/"
        )
    start = time.perf_counter()
    print("Feet of ANSUR II's build half, simulated readings and boots; ± one standard error over people.\n")
    for sex in COUNTS:
        _print(sex, findings_of(sex, tenth=tenth))
    print(f"seed {SEED}, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
