"""Print the simulation of shops, then MODEL 10's: ``python -m evaluation``, a tenth with ``--tenth``."""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from typing import Final

import numpy as np

from evaluation.figures import Bin, Figure
from evaluation.four_ways import CUSTOMERS, LASTS, PAIRS_A_LAST, FourWays, four_ways
from evaluation.simulation import PAIRS, Findings, simulate
from evaluation.survey import survey_file, surveyed_feet
from heelball.foot.prior import Sex

#: People of each sex: buyers of single-width shoes, and fitted from a full offer.
COUNTS: Final[dict[Sex, tuple[int, int]]] = {"men": (2000, 1000), "women": (900, 500)}

#: Shops in which four ways of choosing are held against an oracle.
SHOPS: Final = 20

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
    _print_bins("chance stated, between", found.bins)
    print()


def _print_bins(heading: str, found: Sequence[Bin]) -> None:
    print(f"  {heading:<48}{'orders':>8}{'said':>9}{'came true':>11}{'difference':>17}")
    for one in found:
        print(
            f"  {one.low:.1f} and {one.high:.1f}{'':<37}{one.orders:>8}{one.said:>9.3f}{one.came_true:>11.3f}"
            f"{one.gap.mean:>+9.3f} ± {one.gap.error:.3f}"
        )


def shops_found(*, tenth: bool) -> FourWays:
    """Return what four ways of choosing came to, in all shops or a seeded tenth of them."""
    feet = {sex: surveyed_feet(survey_file(), sex) for sex in COUNTS}
    return four_ways(feet, SHOPS // 10 if tenth else SHOPS, np.random.default_rng(SEED))


def _print_shops(found: FourWays) -> None:
    shops = found.orders // (CUSTOMERS * LASTS)
    print(
        f"{shops} shops of {LASTS} lasts, {PAIRS_A_LAST} pairs of each tried and told of; then {CUSTOMERS}"
        f" new customers are fitted in every last: {found.orders} orders."
    )
    print(
        "Wrong: some judged place of either foot is not right. Avoidable: above an oracle that knows both"
        "\nfeet and the last, not the taste. Every figure ± one standard error over shops.\n"
    )
    print(f"  {'label chosen by':<31}{'wrong':>15}{'avoidable':>17}{'of length only':>17}")
    for name, way in found.ways.items():
        print(f"  {name:<31}{way.wrong!s:>15}{way.avoidable!s:>17}{way.ratio!s:>17}")
    print(f"  orders for which the trade rule names no label, counted as wrong: {found.without_order}\n")
    for name, stated in found.stated.items():
        _print_bins(f"{name}: chance stated, between", stated)
    print(
        f"\n  {'words of pairs kept back, foreseen':<40}{'log chance a word':>18}{'learned is better by':>24}"
    )
    for name, one in found.foreseen.items():
        better = found.better.get(name)
        print(f"  {name:<40}{one!s:>18}{'' if better is None else str(better):>24}")
    print()


def main() -> None:
    """Simulate shops, then men and women one by one, and print what came of it."""
    options = argparse.ArgumentParser(prog="python -m evaluation", description=__doc__)
    options.add_argument("--tenth", action="store_true", help="a seeded tenth of the people")
    tenth = options.parse_args().tenth
    if not survey_file().exists():
        raise SystemExit(
            "the survey is missing; set HEELBALL_SHARED to the folder that has data/ and reference/"
        )
    start = time.perf_counter()
    print("Feet of ANSUR II's build half, simulated readings and boots.\n")
    _print_shops(shops_found(tenth=tenth))
    print("What an order is worth by what is known; ± one standard error over people.\n")
    for sex in COUNTS:
        _print(sex, findings_of(sex, tenth=tenth))
    print(f"seed {SEED}, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
