"""Sheets by post: a photograph read and looked at, its ticks moved, its readings kept."""

from __future__ import annotations

import re

import numpy as np
import pytest

from heelball.bench.pages import sheet as sheet_page
from heelball.bench.sheets_waiting import MOST_PHOTOGRAPHS
from heelball.errors import MissingExtra
from heelball.work import sheet_kept
from heelball.work.kept_core import wearer_as_kept
from tests.bench.conftest import Bench
from tests.bench.pressing import Page
from tests.bench.sheets import PICTURES, id_of, new, problem_at, quickly, send, the_one, waiting
from tests.sheet.photographs import Photograph, take

#: A right foot on A4, both bars told, small as a messenger leaves pictures.
SEED = 2


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a wearer without readings."""
    return new(bench, "W41")


@pytest.fixture
def quick(bench: Bench) -> Bench:
    """Return a bench whose photographs are read at once."""
    return quickly(bench)


@pytest.fixture(scope="module")
def taken() -> Photograph:
    return take(SEED)


def test_a_photograph_is_read_looked_at_moved_and_kept(bench: Bench, url: str, taken: Photograph):
    """The whole way with a real photograph, read in its own process."""
    told = {"tool": "pencil", "load": "standing", "bar_along": "150", "bar_across": "150", "girth": "252,5"}
    shown = send(bench, url, taken.content, **told)
    assert shown.status_code == 200, shown.text
    at = shown.url.path
    assert "The right foot’s sheet" in shown.text
    seen = the_one(bench)
    assert (seen.wearer_id, seen.id) == (id_of(url), id_of(at))
    means = [seen.seen.line["foot_mm"][what]["mean_mm"] for what in ("length", "ball", "breadth")]
    sds = [seen.seen.line["foot_mm"][what]["sd_mm"] for what in ("length", "ball", "breadth")]
    assert np.all(np.abs(np.array(means) - taken.foot[[0, 1, 3]]) < 3 * np.array(sds))
    assert f"{means[0]:.1f}" in shown.text
    assert "Tam Quernby left" not in shown.text
    assert bench.get(f"{at}/plan.png").content.startswith(b"\x89PNG")
    photograph = bench.get(f"{at}/photograph.jpg").content
    assert photograph.startswith(b"\xff\xd8")
    assert b"Exif" not in photograph
    # The same once more: together they are no less sure.
    both = send(bench, url, taken.content, beside=id_of(at))
    assert both.url.path == at
    assert "2, which agree" in both.text
    inner = seen.seen.line["ticks_mm"][0] + 6
    moved = bench.post(f"{at}/ticks", {"inner": f"{inner:.1f}", "outer": str(seen.seen.line["ticks_mm"][1])})
    assert moved.status_code == 200
    assert "The ticks were moved by the fitter." in moved.text
    change = the_one(bench).seen.line["foot_mm"]["ball"]["mean_mm"] - means[1]
    assert 4 < change < 8
    # Far from any line, and the wrong way round: not moved.
    refused = bench.post(f"{at}/ticks", {"inner": "299", "outer": "175"})
    assert refused.status_code == 422
    assert "does not reach 299 mm on the inner side" in problem_at(refused.text, "inner")
    assert 'value="299"' in refused.text
    kept = bench.post(f"{at}/keep", {})
    assert kept.url.path == url
    wearer = wearer_as_kept(bench.records, id_of(url))
    assert {reading.method for reading in wearer.readings} == {"sheet", "tape"}
    assert bench.get(at).status_code == 404


@pytest.mark.parametrize("agreed", [True, False])
def test_the_picture_is_kept_only_where_the_wearer_agreed(quick: Bench, url: str, agreed: bool):
    at = send(quick, url, b"photo").url.path
    quick.post(f"{at}/keep", {"agreed": "yes"} if agreed else {})
    [kept] = sheet_kept.list_sheets(quick.records, id_of(url))
    assert (kept.foot, kept.agreed, kept.has_picture) == ("right", agreed, agreed)
    picture = quick.get(f"{url}/sheet/kept/{kept.id}.jpg")
    listed = quick.get(f"{url}/sheet")
    assert len(waiting(quick)) == 0
    if not agreed:
        assert picture.status_code == 404
        assert f"/kept/{kept.id}" not in listed.text
        return
    assert (picture.content, picture.headers["content-type"]) == (PICTURES[1], "image/jpeg")
    assert f"/kept/{kept.id}.jpg" in listed.text
    gone = quick.post(f"{url}/sheet/kept/{kept.id}/forget", {"seen": str(kept.version)})
    assert f"/kept/{kept.id}" not in gone.text
    assert "not kept" in gone.text
    assert quick.get(f"{url}/sheet/kept/{kept.id}.jpg").status_code == 404


def test_a_picture_is_forgotten_for_good_and_what_holds_it_still_is_said(
    quick: Bench, url: str, monkeypatch: pytest.MonkeyPatch
):
    quick.post(f"{send(quick, url, b'photo').url.path}/keep", {"agreed": "yes"})
    [kept] = sheet_kept.list_sheets(quick.records, id_of(url))
    forget = f"{url}/sheet/kept/{kept.id}/forget"
    # Another's, or one that was changed since the page was loaded, is left alone.
    assert quick.post(f"{new(quick, 'W42')}/sheet/kept/{kept.id}/forget", {"seen": "1"}).status_code == 404
    assert quick.post(forget, {"seen": str(kept.version + 1)}).status_code == 409
    assert quick.get(f"{url}/sheet/kept/{kept.id}.jpg").status_code == 200
    monkeypatch.setattr(sheet_kept, "left_over", lambda *_: ["Backup Z still holds the picture."])
    assert "Backup Z still holds the picture." in quick.post(forget, {"seen": str(kept.version)}).text
    page = Page(quick.get(f"{url}/history"))
    assert "picture taken out for good" in page.text
    undo = [button.words for form in page.forms for button in form.buttons if "Undo" in button.words]
    assert undo
    assert not any("for good" in words for words in undo)


def test_a_refused_picture_says_why_and_what_to_do_and_what_was_typed_stays(bench: Bench, url: str):
    refused = send(
        bench, url, b"no picture at all", tool="pen", load="seated", bar_along="149.5", alone="yes"
    )
    assert refused.status_code == 422
    assert "JPEG" in problem_at(refused.text, "photo")
    fields = Page(refused).form("/sheet").fields
    assert [fields[name] for name in ("tool", "load", "bar_along", "alone")] == [
        "pen",
        "seated",
        "149.5",
        "yes",
    ]
    assert len(waiting(bench)) == 0


def test_a_blurred_one_is_refused_in_its_own_words(quick: Bench, url: str):
    refused = send(quick, url, b"blurred")
    assert problem_at(refused.text, "photo") == "The photograph is blurred. Hold still, in more light."


@pytest.mark.parametrize(
    ("fields", "at", "words"),
    [
        ({"bar_along": "15"}, "bar_along", "15; wanted 75 to 300 mm"),
        ({"bar_across": "150"}, "bar_along", "The bar along the sheet too"),
        ({"card": "85.6 mm"}, "card", "a number"),
        ({"card": "12"}, "card", "90 to 105"),
        ({"girth": "25,2"}, "girth", "150 to 350 mm"),
        ({"tool": "quill"}, "tool", "Quill was chosen"),
        ({"load": "hopping"}, "load", "Hopping was chosen"),
    ],
)
def test_what_cannot_be_read_is_told_beside_its_field(
    quick: Bench, url: str, fields: dict[str, str], at: str, words: str
):
    refused = send(quick, url, b"photo", **fields)
    assert refused.status_code == 422
    assert words.lower() in problem_at(refused.text, at).lower()
    assert len(waiting(quick)) == 0


def test_lengths_are_read_in_inches_where_the_session_has_them(quick: Bench, url: str):
    quick.post("/settings/units", {"units": "in", "back": "/settings"})
    at = send(quick, url, b"photo", bar_along="5.9", girth="9 7/8").url.path
    asked = the_one(quick).asked
    assert asked.told.bar is not None
    assert asked.told.bar[0] == pytest.approx(149.86)
    assert asked.girth == pytest.approx(250.825)
    assert 'value="7.83"' in quick.get(at).text
    quick.post(f"{at}/ticks", {"inner": "8", "outer": "7"})
    np.testing.assert_allclose(the_one(quick).asked.ticks or (), (203.2, 177.8), atol=0.01)


def test_without_a_photograph_nothing_is_read(quick: Bench, url: str):
    for files in ({"photo": ("", b"", "application/octet-stream")}, None):
        refused = quick.post(f"{url}/sheet", {"tool": "pen"}, files=files)
        assert problem_at(refused.text, "photo") == "No photograph; wanted a JPEG, PNG or HEIC file."


@pytest.mark.parametrize(
    ("x", "y", "ticks"), [(10, 120, (210.0, 175.0)), (180, 140, (199.0, 190.0))], ids=["inner", "outer"]
)
def test_pressing_the_picture_moves_the_tick_of_that_side(
    quick: Bench, url: str, x: int, y: int, ticks: tuple[float, float]
):
    at = send(quick, url, b"photo").url.path
    assert re.search(
        r'type="image" name="where" src="[^"]*/plan.png" width="190" height="330"', quick.get(at).text
    )
    moved = quick.post(f"{at}/ticks", {"where.x": str(x), "where.y": str(y)})
    assert moved.url.path == at
    assert the_one(quick).asked.ticks == ticks


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        # So browsers say that a key pressed it.
        ({"where.x": "0", "where.y": "0"}, "how far the tick is"),
        ({"where.x": "-3", "where.y": "20"}, "how far the tick is"),
        ({"where.x": "9" * 400, "where.y": "1"}, "how far the tick is"),
        ({"where.x": "10", "where.y": "329"}, "80 to 300 mm"),
        ({"inner": "here", "outer": "175"}, "a length in mm"),
        ({"inner": "", "outer": ""}, "how far the tick is"),
    ],
)
def test_ticks_that_are_nowhere_are_refused(quick: Bench, url: str, fields: dict[str, str], words: str):
    at = send(quick, url, b"photo").url.path
    refused = quick.post(f"{at}/ticks", fields)
    assert refused.status_code == 422
    assert words in problem_at(refused.text, "inner")
    assert the_one(quick).asked.ticks is None


def test_a_further_photograph_that_is_refused_leaves_the_sheet_as_it_was(quick: Bench, url: str):
    at = send(quick, url, b"photo").url.path
    refused = send(quick, url, b"blurred", beside=id_of(at))
    assert refused.status_code == 422
    assert "is blurred" in problem_at(refused.text, "photo")
    assert "The right foot’s sheet" in refused.text
    for _ in range(MOST_PHOTOGRAPHS - 1):
        assert send(quick, url, b"photo", beside=id_of(at)).status_code == 200
    assert 'name="photo"' not in quick.get(at).text
    assert "read already" in send(quick, url, b"photo", beside=id_of(at)).text
    assert len(the_one(quick).asked.photographs) == MOST_PHOTOGRAPHS


def test_without_what_reads_photographs_the_page_says_what_to_install(
    bench: Bench, url: str, monkeypatch: pytest.MonkeyPatch
):
    def missing() -> None:
        raise MissingExtra("OpenCV", "sheet")

    monkeypatch.setattr(sheet_page, "need_reader", missing)
    text = bench.get(f"{url}/sheet").text.replace("&#39;", "'")
    assert "OpenCV is not installed. Install it with: pip install 'heelball[sheet]', then start" in text
    assert 'name="photo"' not in text
    monkeypatch.setattr("heelball.work.sheet_apart.need_reader", missing)
    refused = send(bench, url, b"photo")
    assert refused.status_code == 422


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_wearer_who_is_not_there_has_no_sheets(quick: Bench, method: str):
    assert getattr(quick, method)("/wearers/nobody/sheet").status_code in (404, 415)
    assert send(quick, "/wearers/nobody", b"photo").status_code == 404
    assert quick.post("/wearers/nobody/sheet/print.pdf").status_code == 404


def test_photographs_of_two_sheets_are_not_taken_together(bench: Bench, url: str, taken: Photograph):
    """A left foot's beside a right one's; the first stays as it was."""
    other = take(SEED, side="left")
    at = send(bench, url, taken.content).url.path
    refused = send(bench, url, other.content, beside=id_of(at))
    assert refused.status_code == 422
    assert "This is the left foot's sheet" in problem_at(refused.text, "photo")
    assert "The right foot’s sheet" in bench.get(at).text


def test_a_process_that_says_nothing_is_a_refusal(bench: Bench, url: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("heelball.work.sheet_apart.PATIENCE_S", 0.0)
    refused = send(bench, url, b"photo")
    assert "came to no end" in problem_at(refused.text, "photo")


def test_a_photograph_of_another_drawing_is_no_second_one(bench: Bench, url: str, taken: Photograph):
    shorter = take(SEED, length=float(taken.foot[0]) - 15)
    at = send(bench, url, taken.content, bar_along="150").url.path
    refused = send(bench, url, shorter.content, beside=id_of(at))
    assert refused.status_code == 422
    assert "do not agree: length" in problem_at(refused.text, "photo")
