"""``heelball guide``: a size guide of one last, to publish."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from heelball.cli.main import run
from tests.work.bench import lasts_folder, write

Guide = Callable[..., tuple[int, str, str]]

FEW = """\
schema = "heelball/last/1"
code = "F1"
maker = "Fen & Rill"
label_scale = "us-men"
sizes = "9 1/2-10 by 1/2"
widths = ["C", "D"]
reference_width = "D"
[advice]
order = 0
from = "ball"
"""


@pytest.fixture
def lasts(tmp_path: Path) -> Path:
    return lasts_folder(
        tmp_path / "lasts", FEW, FEW.replace("us-men", "eu").replace("9 1/2-10", "42-43").replace("F1", "F2")
    )


@pytest.fixture
def guide(lasts: Path, capsys) -> Guide:
    def call(*words: str | Path, code: str = "F1") -> tuple[int, str, str]:
        ended = run([str(word) for word in ("guide", code, "--lasts", lasts, *words)])
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return ended, printed.out, printed.err

    return call


def test_a_note(guide: Guide) -> None:
    code, out, err = guide()
    assert (code, err) == (0, "")
    said = " ".join(out.split())
    assert out.splitlines()[0] == "Size guide: F1 by Fen & Rill, for men"
    assert "If you read ball 10 and breadth D, order 10 D: it is right all over by chance" in said
    assert "Be measured in person:" in said
    assert "±" in said
    # A note of commands is read on a terminal of eighty columns.
    assert max(map(len, out.splitlines())) <= 80


def test_page_table_and_record_say_the_same(guide: Guide, tmp_path: Path) -> None:
    page, table = tmp_path / "guide.html", tmp_path / "guide.csv"
    code, line, err = guide("--html", page, "--csv", table, "--json")
    assert (code, err) == (0, "")
    record = json.loads(line)
    assert (record["schema"], record["last"], record["population"]) == ("heelball/guide/1", "F1", "men")
    assert set(record["run"]) == {"ball", "toe", "breadth", "girth", "heel"}
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8"))))
    cells = [(row["ball"], one) for row in record["rows"] for one in row["cells"]]
    assert len(rows) == len(cells)
    for row, (ball, one) in zip(rows, cells, strict=True):
        assert (row["ball"], row["breadth"]) == (ball, one["breadth"])
        order = one["order"] or {"size": "", "width": ""}
        assert (row["size"], row["width"]) == (order["size"], order["width"])
        assert float(row["chance"]) == one["chance"]
    html = page.read_text(encoding="utf-8")
    assert "Fen &amp; Rill" in html
    drawing = re.search(r"<svg.*?</svg>", html, re.DOTALL)
    assert drawing
    ElementTree.fromstring(drawing[0])
    assert "src=" not in html
    assert "<script" not in html
    assert 'lang="en"' in html
    for must in ("ball joint", "Be measured in person", "diabetes", "not medical advice", "without a source"):
        assert must in " ".join(html.split()), must


def test_on_paper(guide: Guide, tmp_path: Path) -> None:
    paper = tmp_path / "guide.pdf"
    assert guide("--pdf", paper)[0] == 0
    assert paper.read_bytes().startswith(b"%PDF")


def test_for_whom(guide: Guide) -> None:
    assert "for women" in guide("--for", "women", code="F2")[1].splitlines()[0]
    code, out, err = guide("--for", "women")
    assert (code, out) == (2, "")
    assert err == "heelball: The labels of F1 are for men. Leave --for out, or say --for men.\n"


def test_what_cannot_be(guide: Guide, tmp_path: Path) -> None:
    code, out, err = guide(code="F9")
    assert (code, out) == (2, "")
    assert "F9" in err
    assert err.count("\n") == 1
    page = tmp_path / "none" / "guide.html"
    code, out, err = guide("--html", page)
    assert (code, out) == (2, "")
    assert not page.parent.exists()
    one = tmp_path / "guide.txt"
    code, out, err = guide("--html", one, "--csv", one)
    assert (code, out) == (2, "")
    assert err == "heelball: --html and --csv name one file. Give each a file of its own.\n"
    assert not one.exists()
    wrong = write(tmp_path / "runs.json", "{}")
    assert guide("--runs", wrong)[0] == 2
