"""The sheet in numbers: the schema and the pages of the PDF, in its order."""

from __future__ import annotations

import json

import numpy as np
import pymupdf
import pytest

from heelball.foot.vector import FEET, Foot
from heelball.sheet.described import describe
from heelball.sheet.layout import SIZES
from heelball.sheet.marking import PAPERS
from heelball.sheet.printing import sheet_pdf
from tests.sheet.printed_pages import pdf

#: What every page has.
FIELDS = {"foot", "part", "size", "markers", "heel_edge", "axis", "bars", "card"}


@pytest.mark.parametrize("two", [False, True])
@pytest.mark.parametrize("paper", PAPERS)
def test_what_is_described_and_that_it_is_plain_json(paper, two):
    described = describe(paper, FEET, two=two)
    assert json.loads(json.dumps(described)) == described
    assert set(described) == {"schema", "paper", "layout", "pages"}
    assert described["schema"] == "heelball/sheet/1"
    assert described["paper"] == paper
    assert described["layout"] == ("two-pages" if two else "one-page")
    for page in described["pages"]:
        assert set(page) >= FIELDS
        assert page["size"] == list(SIZES[paper])
        for marker in page["markers"]:
            assert set(marker) == {"id", "corners"}
            assert np.shape(marker["corners"]) == (4, 2)
        assert np.shape(page["axis"]) == ((2, 2) if page["foot"] else ())
    parts = ["heel", "toes"] if two else ["whole"]
    assert [(page["foot"], page["part"]) for page in described["pages"]] == [
        *((foot, part) for foot in FEET for part in parts),
        (None, "proof"),
        (None, "how"),
    ]


@pytest.mark.parametrize("two", [False, True])
@pytest.mark.parametrize("paper", PAPERS)
def test_the_pages_come_in_the_order_of_the_pdf(paper, two):
    pages = pymupdf.open(stream=pdf(paper, two))
    described = describe(paper, FEET, two=two)["pages"]
    assert len(pages) == len(described)
    said = {
        "heel": "page 1 of 2",
        "toes": "page 2 of 2",
        "whole": "",
        "proof": "Proof of scale",
        "how": "How to draw",
    }
    for page, told in zip(pages, described, strict=True):
        text = " ".join(page.get_text().split())
        assert said[told["part"]] in text
        if told["foot"]:
            assert f"{told['foot'].capitalize()} foot" in text
        assert [page.rect.width, page.rect.height] == pytest.approx(
            np.array(told["size"]) * 72 / 25.4, abs=0.05
        )


def test_one_foot_has_its_own_page_alone():
    one: tuple[Foot] = ("right",)
    described = describe("letter", one)["pages"]
    assert [page["foot"] for page in described] == ["right", None, None]
    assert len(pymupdf.open(stream=sheet_pdf("letter", one))) == 3
