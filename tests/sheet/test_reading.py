"""A photograph read whole: what is told beside it, what is believed of its file, and what a fitter moves."""

from __future__ import annotations

import io
import json
from collections.abc import Callable

import cv2
import numpy as np
import pytest
from attrs import evolve
from PIL import Image

from heelball.cli.main import run
from heelball.errors import PhotographError, Problem
from heelball.sheet.reading import SheetReading, read_photograph, together, with_ticks
from heelball.sheet.values import Array, Circumstances, Grey, Refused
from heelball.work.sheet_file import sheet_readings
from heelball.work.sheet_json import refused_line, sheet_line
from tests.sheet.photographs.definitions import measured
from tests.sheet.posted import as_file, bars, pixels, places, posted, was_read, without_edges

PENCIL = Circumstances(tool="pencil")


def off_truth(reading: SheetReading, scale: float = 0.97) -> Array:
    """Return how far the five measures are off the drawn line's [mm]."""
    return np.asarray(reading.drawing.values - posted(scale).on_line)


# --- the print's scale


@pytest.mark.parametrize("scale", [0.90, 0.97, 1.05])
def test_a_print_is_undone_by_each_witness_alone(scale):
    """True to half a millimetre from the long bar, both bars, the card; without them at 1, which is said."""
    bare = as_file(without_edges(scale))
    for witness, told in (
        ("bar", evolve(PENCIL, bar=(150 * scale, None))),
        ("bar", bars(scale)),
        ("card", evolve(PENCIL, card=100 * scale)),
    ):
        reading = read_photograph(bare, "one witness", told)
        assert reading.scale.witness == witness
        np.testing.assert_allclose(off_truth(reading, scale), 0, atol=0.5)
    untold = read_photograph(bare, "no witness", PENCIL)
    assert (untold.scale.mean, untold.scale.witness) == (1.0, "none")
    assert untold.scale.sd == pytest.approx(0.01, rel=0.03)
    assert "Nothing was measured that proves the print's scale: taken as 1, ± 1 %." in untold.remarks
    np.testing.assert_allclose(untold.drawing.values * scale, posted(scale).on_line, atol=0.5)
    assert np.sqrt(untold.drawn_round.cov[0, 0]) > 0.01 * untold.drawn_round.mean[0]


@pytest.mark.parametrize("scale", [0.90, 0.97])
def test_the_papers_edges_alone_undo_the_print(scale):
    reading = read_photograph(posted(scale).content, "edges", PENCIL)
    assert reading.scale.witness == "edges"
    np.testing.assert_allclose(off_truth(reading, scale), 0, atol=0.8)


def test_one_bar_leaves_the_other_direction_half_a_per_cent_and_the_breadth_less_sure():
    bare = as_file(without_edges())
    one, both = (
        read_photograph(bare, "bars", evolve(PENCIL, bar=(145.5, across))) for across in (None, 145.5)
    )
    assert np.sqrt(one.scale.page_cov[0, 0]) == pytest.approx(np.hypot(0.002, 0.005), rel=0.02)
    assert np.sqrt(both.scale.page_cov[0, 0]) == pytest.approx(0.002, rel=0.1)
    assert (np.diag(one.drawn_round.cov) > np.diag(both.drawn_round.cov)).all()


def test_two_witnesses_that_disagree_are_reported_and_the_foot_is_as_unsure():
    agreed, torn = (
        read_photograph(posted().content, "edges and a bar", evolve(PENCIL, bar=(bar, bar)))
        for bar in (145.5, 150.0)
    )
    said = [remark for remark in torn.remarks if remark.startswith("The scale is in doubt: the bar along")]
    assert said
    assert "the paper's height 97." in said[-1]
    assert not any("doubt" in remark for remark in agreed.remarks)
    assert np.sqrt(torn.drawn_round.cov[0, 0]) > 0.01 * torn.drawn_round.mean[0]


def test_the_tape_is_as_small_as_the_print():
    reading = was_read()
    line = sheet_line(reading, girth=240.0, instep=250.0)
    assert line["tape"]["girth"]["mean_mm"] == pytest.approx(240 * 0.97, abs=0.1)
    assert line["tape"]["instep"]["mean_mm"] == pytest.approx(250 * 0.97, abs=0.1)
    # 2.5 mm of any tape's, and what is unsure of the scale.
    untold = read_photograph(as_file(without_edges()), "no witness", PENCIL)
    sure, unsure = (sheet_line(one, girth=240.0)["tape"]["girth"]["sd_mm"] for one in (reading, untold))
    assert sure == pytest.approx(2.5, abs=0.06)
    assert unsure == pytest.approx(np.hypot(2.5, 2.4), abs=0.06)


@pytest.mark.parametrize("bar", [132.0, 162.0])
def test_a_print_that_is_not_within_ninety_and_a_hundred_and_five_per_cent_is_refused(bar):
    with pytest.raises(Refused) as refused:
        read_photograph(as_file(without_edges()), "far off", evolve(PENCIL, bar=(bar, bar)))
    assert refused.value.reason == "print_scale"
    assert f"{bar / 1.5:.1f} %" in refused.value.message


# --- the file


def test_a_mirrored_picture_is_turned_back_and_says_so():
    grey = np.ascontiguousarray(pixels(posted().content)[:, ::-1])
    reading = read_photograph(as_file(grey), "mirrored", posted().told)
    assert reading.foot == was_read().foot
    assert any("mirrored" in remark for remark in reading.remarks)
    assert not any("mirrored" in remark for remark in was_read().remarks)
    np.testing.assert_allclose(reading.drawing.values, was_read().drawing.values, atol=0.1)


@pytest.mark.parametrize("tag", range(1, 9))
def test_an_orientation_tag_is_not_believed(tag):
    """All eight: four of them mirror, none of them is true but one."""
    exif = Image.Exif()
    exif[0x0112] = tag
    reading = read_photograph(with_exif(posted().content, exif), "tagged", posted().told)
    np.testing.assert_allclose(reading.drawing.values, was_read().drawing.values, atol=0.1)


def with_exif(content: bytes, exif: Image.Exif) -> bytes:
    """Return a JPEG of the renderer's with other EXIF in the place of its own; the pixels stay."""
    told = exif.tobytes()
    if content[2:4] == b"\xff\xe1":
        content = content[:2] + content[4 + int.from_bytes(content[4:6], "big") :]
    return content[:2] + b"\xff\xe1" + (len(told) + 2).to_bytes(2, "big") + told + content[2:]


def test_the_focal_length_is_used_where_the_file_tells_it():
    """At a small tilt the picture does not tell it: the camera's height is then the file's to say."""
    heights = []
    for focal_mm in (26, 52, None):
        exif = Image.Exif()
        exif[0x0112] = 6
        if focal_mm is not None:
            exif.get_ifd(0x8769)[0xA405] = focal_mm
        reading = read_photograph(with_exif(posted(0.97, 5.0).content, exif), "focal", posted(0.97, 5.0).told)
        heights.append(reading.seen.plane.camera()[2])
        # What is measured on the paper's plane does not hang on it.
        np.testing.assert_allclose(reading.drawing.values, was_read(0.97, 5.0).drawing.values, atol=0.02)
    assert heights[1] == pytest.approx(2 * heights[0], rel=0.02)
    assert heights[2] == pytest.approx(heights[0] * 27 / 26, rel=0.02)


def test_nothing_of_the_files_metadata_is_in_what_is_said():
    exif = Image.Exif()
    exif[0x010F], exif[0x0132] = "Quernmere Optical", "2031:02:03 04:05:06"
    exif[0x0112], exif.get_ifd(0x8769)[0xA405] = 6, 26
    exif.get_ifd(0x8825)[2] = (51.0, 12.0, 34.5)
    told = read_photograph(with_exif(posted().content, exif), "posted", posted().told)
    assert json.dumps(sheet_line(told)) == json.dumps(sheet_line(was_read()))


# --- what a fitter moves


@pytest.mark.parametrize("moved", [(6.0, 6.0), (-4.0, 3.0)])
def test_moved_ticks_move_the_balls_as_the_definitions_have_it_and_not_the_length(moved):
    reading = was_read()
    inner, outer = reading.seen.ticks.inner[0] + moved[0], reading.seen.ticks.outer[0] + moved[1]
    again = with_ticks(reading, inner, outer)
    at = [again.seen.ticks.inner, again.seen.ticks.outer]
    assert [tick[0] for tick in at] == pytest.approx([inner, outer], abs=0.3)
    # They stand on the line.
    for tick in at:
        assert np.hypot(*(again.seen.line.points - tick).T).min() < 1e-9
    # Measured on the same line by the definitions written apart.
    apart = measured(again.seen.line.points, at[0], at[1], on_wall=True).values
    np.testing.assert_allclose(again.drawing.values, apart, atol=0.05)
    gone = again.drawing.values - reading.drawing.values
    np.testing.assert_allclose(gone[1:3], moved, atol=0.5)
    np.testing.assert_allclose(gone[[0, 3]], 0, atol=0.1)
    np.testing.assert_allclose(again.drawn_round.mean - reading.drawn_round.mean, gone[:4], atol=1e-9)


def test_moved_ticks_are_as_sure_as_a_finger_and_remarked_once():
    reading = was_read()
    inner, outer = reading.seen.ticks.inner[0] + 2.0, reading.seen.ticks.outer[0]
    again = with_ticks(with_ticks(reading, inner, outer), inner, outer)
    assert again.drawn_round.own_cov[1, 1] == pytest.approx(1.5**2 + 0.3**2)
    assert again.remarks == (*reading.remarks, "The ticks were moved by the fitter.")
    assert reading.seen.ticks.inner[0] != pytest.approx(inner)


def test_ticks_moved_to_where_no_foot_has_them_are_refused():
    inner, outer = was_read().seen.ticks.inner[0], was_read().seen.ticks.outer[0]
    with pytest.raises(Refused) as refused:
        with_ticks(was_read(), outer - 10, inner + 10)
    assert refused.value.reason == "wrong_foot"


# --- several photographs


def test_two_photographs_of_one_sheet_are_surer_than_one():
    first, second = was_read(), was_read(0.97, 5.0)
    both = together([first, second])
    mean = (first.drawn_round.mean + second.drawn_round.mean) / 2
    np.testing.assert_allclose(both.drawn_round.mean, mean, atol=0.1)
    np.testing.assert_allclose(np.diag(both.drawn_round.own_cov)[[0, 3]], [0.3**2 / 2, 0.3**2], rtol=1e-6)
    assert (np.diag(both.drawn_round.cov) < np.diag(first.drawn_round.cov)).all()
    assert both.photo == "posted, posted"


def test_a_photograph_without_the_papers_edges_takes_the_scale_of_the_one_with_them():
    """What one photograph proves of the print holds for the drawing, whichever is named first."""
    proven = read_photograph(posted(0.97, 5.0).content, "edges", PENCIL)
    unproven = read_photograph(as_file(without_edges()), "no edges", PENCIL)
    for readings in ([proven, unproven], [unproven, proven]):
        both = together(readings)
        np.testing.assert_allclose(both.drawn_round.mean, proven.drawn_round.mean, atol=0.5)
        np.testing.assert_allclose(off_truth(both), 0, atol=0.8)
        assert both.scale.witness == "edges"
        assert not any("Nothing was measured" in remark for remark in both.remarks)


def test_photographs_of_two_drawings_are_refused_together():
    reading = was_read()
    other = evolve(reading, drawn_round=evolve(reading.drawn_round, mean=reading.drawn_round.mean + 2.0))
    with pytest.raises(PhotographError, match=r"do not agree: length is \d+\.\d mm in one") as refused:
        together([reading, other])
    assert "leave one out" in (refused.value.remedy or "")


def test_the_command_tells_each_of_two_drawings_and_ends_with_5(tmp_path, capsys):
    """Both are of a left foot: on Letter at 90 %, and on A4."""
    files = []
    for scale in (0.90, 0.97):
        files.append(tmp_path / f"at{100 * scale:.0f}.jpg")
        files[-1].write_bytes(posted(scale).content)
    assert run(["sheet", "read", *map(str, files), "--json"]) == 5
    told = capsys.readouterr()
    lines = [json.loads(line) for line in told.out.splitlines()]
    assert [line["photo"] for line in lines] == ["at90.jpg", "at97.jpg"]
    assert not any("combined" in line for line in lines)
    assert "do not agree" in told.err


# --- the line of JSON


def test_a_reading_is_one_line_with_all_that_was_asked_for():
    line = sheet_line(was_read())
    reading = was_read()
    assert list(line)[:10] == [
        "schema",
        "photo",
        "foot",
        "axis_turn_deg",
        "drawn",
        "foot_mm",
        "covariance",
        "scale",
        "quality",
        "remarks",
    ]
    assert line["schema"] == "heelball/sheet-reading/1"
    assert (line["photo"], line["foot"]) == ("posted", "left")
    assert list(line["drawn"]) == ["length", "ball", "outer_ball", "breadth", "ball_line"]
    np.testing.assert_allclose([*line["drawn"].values()], reading.drawing.values, atol=0.006)
    assert list(line["foot_mm"]) == ["length", "ball", "outer_ball", "breadth"]
    sds = [line["foot_mm"][what]["sd_mm"] for what in ("length", "ball", "breadth")]
    cov = np.array(line["covariance"])
    np.testing.assert_allclose(np.sqrt(np.diag(cov)), sds, atol=0.006)
    np.testing.assert_allclose(cov, reading.drawn_round.cov[np.ix_([0, 1, 3], [0, 1, 3])], atol=1e-4)
    assert set(line["scale"]) == {"mean", "sd", "witness"}
    assert set(line["quality"]) == {"px_per_mm", "tilt_deg", "reprojection_mm"}
    assert line["quality"]["tilt_deg"] == pytest.approx(14.0, abs=0.3)
    # The core takes it as it is written.
    problems: list[Problem] = []
    readings = sheet_readings(json.loads(json.dumps(line)), "sheet.json, line 1", problems)
    assert problems == []
    assert [float(one.value) for one in readings] == pytest.approx(
        [line["foot_mm"][what]["mean_mm"] for what in ("length", "ball", "breadth")]
    )


def test_a_refusal_is_one_line_with_its_reason_and_a_remedy():
    with pytest.raises(Refused) as refused:
        read_photograph(b"", "nothing.jpg", PENCIL)
    line = refused_line("nothing.jpg", refused.value)
    assert list(line) == ["schema", "photo", "refused"]
    assert line["refused"]["reason"] == "not_a_picture"
    assert line["refused"]["text"]
    assert line["refused"]["remedy"]


# --- reasons, in their order


def painted(grey: Grey, *boxes: tuple[float, float, float, float]) -> Grey:
    """Return the picture with boxes of the foot's frame painted over [the print's mm: along, across]."""
    seen = was_read().seen
    grey = grey.copy()
    for along, across, to_along, to_across in boxes:
        box = np.array(
            [[along, across], [to_along, across], [to_along, to_across], [along, to_across]], dtype=float
        )
        px = np.round(places(seen.plane, seen.pages[0], box)).astype(np.int32)
        around = cv2.boundingRect(px)
        here = grey[around[1] : around[1] + around[3], around[0] : around[0] + around[2]]
        cv2.fillConvexPoly(grey, px, float(np.percentile(here, 70)))
    return grey


def tick_boxes() -> list[tuple[float, float, float, float]]:
    """Return boxes about both ticks, outside the line."""
    boxes = []
    for tick in (was_read().seen.ticks.inner, was_read().seen.ticks.outer):
        along, across = tick / 0.97
        side = np.sign(across)
        boxes.append((along - 8, across + 1.2 * side, along + 8, across + 17 * side))
    return boxes


def without_toes(grey: Grey) -> Grey:
    """Return the picture with 30 mm of the line painted over where the toes are."""
    tip = was_read().seen.line.points[:, 0].max() / 0.97
    return painted(grey, (tip - 12, -25, tip + 4, 25))


def smeared(grey: Grey) -> Grey:
    return np.asarray(cv2.GaussianBlur(grey, (0, 0), 3.6), np.uint8)


def small(grey: Grey) -> Grey:
    return np.asarray(cv2.resize(grey, None, fx=0.42, fy=0.42, interpolation=cv2.INTER_AREA), np.uint8)


def covered(grey: Grey) -> Grey:
    """Return the picture with the markers at the foot's inner side covered."""
    seen = was_read().seen
    grey = grey.copy()
    for marker in seen.pages[0].markers:
        if seen.pages[0].frame.to_foot(marker.corners)[:, 1].mean() > 0:
            px = np.round(seen.plane.to_picture(marker.corners)).astype(np.int32)
            cv2.fillConvexPoly(grey, px, 190)
    return grey


def dim(grey: Grey) -> Grey:
    return np.asarray(cv2.convertScaleAbs(grey, alpha=0.2), np.uint8)


Change = Callable[[Grey], Grey]

#: Changes and what is told, from what is refused last to what is refused first.
FAULTS: list[tuple[str, Change | None]] = [
    ("ticks", lambda grey: painted(grey, *tick_boxes())),
    ("outline_open", without_toes),
    ("print_scale", None),
    ("dark", dim),
    ("blurred", smeared),
    ("too_small", small),
]


@pytest.mark.parametrize("worst", range(len(FAULTS)))
def test_the_first_reason_that_applies_is_given(worst):
    """Each picture has the fault it is refused for, and all that are looked for later."""
    grey = without_edges()
    told = posted().told
    for reason, change in FAULTS[: worst + 1]:
        if change is not None:
            grey = change(grey)
        else:
            told = evolve(told, bar=(130.0, 130.0))
            assert reason == "print_scale"
    with pytest.raises(Refused) as refused:
        read_photograph(as_file(grey), "spoiled", told)
    assert refused.value.reason == FAULTS[worst][0]


@pytest.mark.parametrize("also", [smeared, dim, lambda grey: painted(grey, *tick_boxes())])
def test_covered_markers_are_said_before_what_is_looked_for_on_the_sheet(also):
    with pytest.raises(Refused) as refused:
        read_photograph(as_file(also(covered(pixels(posted().content)))), "covered", posted().told)
    assert refused.value.reason == "markers"


def test_a_file_cut_short_is_said_before_all_that_is_wrong_in_the_picture():
    buffer = io.BytesIO()
    Image.fromarray(small(smeared(pixels(posted().content)))).save(buffer, "JPEG")
    with pytest.raises(Refused) as refused:
        read_photograph(buffer.getvalue()[:-900], "cut", evolve(PENCIL, bar=(130.0, None)))
    assert refused.value.reason == "truncated"
    with pytest.raises(Refused) as refused:
        read_photograph(buffer.getvalue()[600:], "cut", PENCIL)
    assert refused.value.reason == "not_a_picture"
