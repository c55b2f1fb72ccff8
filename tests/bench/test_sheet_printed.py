"""The sheet for a wearer, as the bench prints it."""

from __future__ import annotations

import re
from typing import Any

import pymupdf
import pytest

from heelball.records.values import Author
from heelball.work import sheet_kept
from tests.bench.conftest import BEGINNING, Bench
from tests.bench.sheets import id_of, line, new, problem_at


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a wearer without readings."""
    return new(bench, "W41")


def printed(bench: Bench, url: str, **wanted: str) -> Any:
    """Return the PDF that the bench makes."""
    answer = bench.post(f"{url}/sheet/print.pdf", wanted)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-disposition"] == 'attachment; filename="sheet.pdf"'
    return pymupdf.open(stream=answer.content, filetype="pdf")


def test_the_sheet_is_printed_for_the_feet_as_they_are_known(bench: Bench, url: str):
    pdf = printed(bench, url)
    text = "".join(page.get_text() for page in pdf)
    assert text.count("W41") >= 3, "a foot's page each, and the page of proof"
    assert "Quernby" not in text
    assert tuple(round(side) for side in pdf[0].rect[2:]) == (595, 842)
    pages = len(pdf)
    letter = printed(bench, url, paper="letter", foot="left")
    assert tuple(round(side) for side in letter[0].rect[2:]) == (612, 792)
    feet = re.findall(r"(Left|Right)\s+foot", "".join(page.get_text() for page in letter))
    assert set(feet) == {"Left"}
    assert len(printed(bench, url, paper="a4", foot="both", foot_length="310")) == pages + 2


def test_long_feet_that_are_known_get_two_pages(bench: Bench, url: str):
    assert "Nothing is read of these feet yet" in bench.get(f"{url}/sheet").text
    sheet_kept.keep_sheet(
        bench.records,
        id_of(url),
        long_foot(),
        agreed=False,
        picture=None,
        by=Author("QB", BEGINNING),
    )
    text = bench.get(f"{url}/sheet").text
    assert "on A4 one page a foot; on Letter two pages a foot" in " ".join(text.split())
    pages = len(printed(bench, url, paper="a4"))
    assert len(printed(bench, url, paper="letter")) == pages + 2


def long_foot() -> dict[str, Any]:
    told = line()
    told["foot_mm"] |= {"length": {"mean_mm": 287.0, "sd_mm": 1.3}, "ball": {"mean_mm": 211.0, "sd_mm": 2.1}}
    return told


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ({"paper": "a3"}, "A3 was chosen"),
        ({"foot": "third"}, "Third was chosen"),
        ({"foot_length": "400"}, "400 mm; wanted 150 to 340 mm"),
        ({"foot_length": "long"}, "a length in mm"),
    ],
)
def test_a_sheet_that_there_is_not_is_refused_beside_its_field(
    bench: Bench, url: str, wanted: dict[str, str], words: str
):
    refused = bench.post(f"{url}/sheet/print.pdf", wanted)
    assert refused.status_code == 422
    [(field, value)] = wanted.items()
    assert words in problem_at(refused.text, field)
    if field == "foot_length":
        assert f'value="{value}"' in refused.text
