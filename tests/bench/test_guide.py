"""A last's size guide handed over from its page."""

from __future__ import annotations

import csv
import io

import pytest

from heelball.records.values import Author
from tests.bench.conftest import BEGINNING, Bench
from tests.shop import Shop, open_shop

BY = Author("QB", BEGINNING)


@pytest.fixture
def shop(bench: Bench) -> Shop:
    return open_shop(bench.records, BY)


def test_page_paper_and_table(bench: Bench, shop: Shop) -> None:
    page = bench.get(f"/lasts/{shop.last_id}").text
    for kind in ("html", "pdf", "csv"):
        assert f'href="/lasts/{shop.last_id}/guide.{kind}"' in page
    html = bench.get(f"/lasts/{shop.last_id}/guide.html")
    assert html.headers["content-disposition"] == 'attachment; filename="size-guide-N7.html"'
    assert "<h1>Size guide: N7 by Northmoor, for men</h1>" in html.text
    assert "Made 2026-03-14." in html.text
    assert "W12" not in html.text
    assert "http" not in html.text.replace("http://www.w3.org/2000/svg", ""), "nothing is fetched"
    assert bench.get(f"/lasts/{shop.last_id}/guide.pdf").content.startswith(b"%PDF")
    rows = list(csv.DictReader(io.StringIO(bench.get(f"/lasts/{shop.last_id}/guide.csv").text)))
    ten_half = next(row for row in rows if (row["ball"], row["breadth"]) == ("10 1/2", "D"))
    assert (ten_half["size"], ten_half["width"]) == ("10", "D")


def test_for_whom(bench: Bench, shop: Shop) -> None:
    assert bench.get(f"/lasts/{shop.last_id}/guide.csv?for=giants").status_code == 422
    assert bench.get("/lasts/nobody/guide.html").status_code == 404
