"""Set every kind of paper as PDF and PNG, to be looked at: ``python -m tests.show.paper.look FOLDER``."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pymupdf

from heelball.show.letter import letter_text
from heelball.show.paper import PaperSize, fit_card, made_pair_sheet, maker_letter
from tests.fittings import last
from tests.show.paper import cases


def papers() -> Iterator[tuple[str, bytes]]:
    everything, its_lasts = cases.everything_at_once()
    for paper in get_args(PaperSize):
        for name, who, lasts in (
            ("card", cases.ordinary(), cases.LASTS),
            ("card-urgent", cases.urgent(), cases.LASTS),
            ("card-unserved", cases.unserved(), cases.NARROW),
            ("card-one-foot", cases.one_foot(), cases.LASTS),
            ("card-part", cases.part_read(), cases.LASTS),
            ("card-child", cases.child(), cases.LASTS),
            ("card-biggest", cases.biggest(), [last(10, 20)]),
            ("card-everything", everything, its_lasts),
        ):
            found = cases.answered(who, lasts)
            title = cases.UNBROKEN if name == "card-everything" else "Ann Example"
            yield (
                f"{name}-{paper}",
                fit_card(found, found.choices[:4], who, day=cases.DAY, paper=paper, name=title, fitter="FB"),
            )
        found = cases.answered(cases.ordinary())
        yield (
            f"card-inches-{paper}",
            fit_card(found, (), cases.ordinary(), day=cases.DAY, paper=paper, units="in"),
        )
        yield (
            f"card-markup-{paper}",
            fit_card(found, (), cases.ordinary(), day=cases.DAY, paper=paper, name=cases.MARKUP),
        )
        yield (
            f"card-turned-{paper}",
            fit_card(found, (), cases.ordinary(), day=cases.DAY, paper=paper, name=cases.TURNED),
        )
        unserved = cases.answered(cases.unserved(), cases.NARROW)
        for units in ("mm", "in"):
            yield (
                f"made-{units}-{paper}",
                made_pair_sheet(
                    unserved,
                    cases.unserved(),
                    reference="M-7",
                    day=cases.DAY,
                    paper=paper,
                    units=units,
                    fitter="FB",
                ),
            )
        yield (
            f"letter-{paper}",
            maker_letter(letter_text("Quernmere", cases.LASTS[1:2]), day=cases.DAY, paper=paper),
        )


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, pdf in papers():
        (folder / f"{name}.pdf").write_bytes(pdf)
        with pymupdf.open(stream=pdf) as pages:
            sys.stdout.write(f"{name} {len(pages)} {len(pdf)}\n")
            pages[0].get_pixmap(dpi=110).save(folder / f"{name}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
