"""Photographs are opened whole, upright and grey, or refused for a reason before they cost anything."""

from __future__ import annotations

import contextlib
import io
import resource
import struct
import warnings
import zlib
from itertools import pairwise
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from heelball.sheet.picture import open_in_colour, open_picture
from heelball.sheet.values import Refused
from tests.sheet.files import SIZE, exif, saved, scene, sound, two_in_one, with_film


def reason(content: bytes) -> str:
    with pytest.raises(Refused) as refusal:
        open_picture(content)
    assert refusal.value.remedy
    return refusal.value.reason


def grey_by_pillow(content: bytes) -> np.ndarray:
    return np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(content))).convert("L")).astype(int)


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def with_size(jpeg: bytes, width: int, height: int) -> bytes:
    at = jpeg.index(b"\xff\xc0")
    return jpeg[: at + 5] + struct.pack(">HH", height, width) + jpeg[at + 9 :]


@pytest.mark.parametrize("name", [name for name in sound() if name != "heic"])
def test_what_is_seen_is_what_pillow_sees(name: str) -> None:
    content = sound()[name]
    grey = open_picture(content).grey
    assert grey.dtype == np.uint8
    theirs = grey_by_pillow(content)
    assert grey.shape == theirs.shape
    assert np.abs(grey - theirs).mean() < 0.7
    assert np.abs(grey - theirs).max() <= 12


@pytest.mark.oracle
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_undone_as_pillow_undoes_it(kind: str, orientation: int) -> None:
    content = saved(kind, exif=exif(orientation))
    grey = open_picture(content).grey
    theirs = grey_by_pillow(content)
    assert grey.shape == theirs.shape
    assert np.abs(grey - theirs).mean() < 0.7


@pytest.mark.parametrize("name", [name for name in sound() if name != "heic"])
def test_colours_are_seen_as_pillow_sees_them(name: str) -> None:
    content = sound()[name]
    theirs = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(content))).convert("RGB")).astype(int)
    ours = open_in_colour(content)[..., ::-1]
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).mean() < 1.0


@pytest.mark.parametrize("orientation", [0, 9, 65_535])
def test_an_orientation_that_does_not_exist_is_not_believed(orientation: int) -> None:
    content = saved("PNG", exif=exif(orientation))
    assert np.array_equal(open_picture(content).grey, open_picture(saved("PNG")).grey)


def test_the_first_of_two_pictures_counts() -> None:
    content = two_in_one()
    assert content.count(b"\xff\xd9") >= 2
    assert open_picture(content).grey.shape == SIZE[::-1]


@pytest.mark.parametrize("focal", [13, 26, 77])
def test_the_focal_length_in_film_is_turned_into_pixels(focal: int) -> None:
    told = open_picture(saved("JPEG", exif=exif(6, focal))).focal_px
    assert told == pytest.approx(focal / np.hypot(36.0, 24.0) * np.hypot(*SIZE))


def test_the_focal_length_of_a_sensor_told_is_turned_into_pixels() -> None:
    # 5.6 mm before a sensor with 700 pixels to the millimetre, 4000 wide; the picture was made smaller.
    details: dict[str, Any] = {"tag_0x920A": 5.6, "tag_0xA20E": 7000.0, "tag_0xA210": 3, "tag_0xA002": 4000}
    told = open_picture(saved("JPEG", exif=exif(**details))).focal_px
    assert told == pytest.approx(5.6 * 700 * SIZE[0] / 4000, rel=1e-3)


@pytest.mark.parametrize("details", [{}, {"tag_0x920A": 5.6}, {"tag_0xA405": 0}, {"tag_0xA405": 60_000}])
def test_no_focal_length_is_made_up(details: dict) -> None:
    assert open_picture(saved("JPEG", exif=exif(**details))).focal_px is None


def test_garbage_for_exif_tells_nothing_and_stops_nothing(generator: np.random.Generator) -> None:
    plain = saved("JPEG")
    for _ in range(50):
        block = b"Exif\0\0" + b"MM\0*\0\0\0\x08" + generator.bytes(int(generator.integers(0, 400)))
        segment = b"\xff\xe1" + struct.pack(">H", len(block) + 2) + block
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            picture = open_picture(plain[:2] + segment + plain[2:])
        assert sorted(picture.grey.shape) == sorted(SIZE)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff",
        b"length 254\n",
        b"%PDF-1.7\n" + bytes(2000),
        bytes(100_000),
        saved("GIF", scene().convert("P")),
        saved("WEBP"),
        saved("TIFF"),
        saved("BMP"),
        saved("JPEG2000"),
    ],
    ids=["empty", "a byte", "text", "pdf", "zeros", "gif", "webp", "tiff", "bmp", "jpeg 2000"],
)
def test_what_is_no_photograph_is_said(content: bytes) -> None:
    assert reason(content) == "not_a_picture"


@pytest.mark.parametrize("name", list(sound()))
def test_a_file_cut_anywhere_is_truncated(name: str, generator: np.random.Generator) -> None:
    content = sound()[name]
    ends = len(content) - (50_024 if name == "with a film" else 0)
    if name == "two in one":
        ends = content.index(b"\xff\xd9\xff\xd8") + 2
    cuts = {40, ends // 2, ends - 1, *generator.integers(40, ends, 40).tolist()}
    assert {reason(content[:cut]) for cut in cuts} == {"truncated"}


def test_what_follows_the_first_picture_may_be_cut() -> None:
    assert open_picture(with_film()[:-20_000]).grey.shape == SIZE[::-1]


def test_damaged_pictures_are_refused_without_a_word_on_the_screen(capfd: pytest.CaptureFixture[str]) -> None:
    content = saved("JPEG", quality=85)
    lost = content[: len(content) // 2] + content[len(content) // 2 + 3000 :]
    assert reason(lost) == "truncated"
    png = bytearray(saved("PNG"))
    png[len(png) // 2] ^= 4
    assert reason(bytes(png)) == "truncated"
    assert capfd.readouterr() == ("", "")


def test_a_part_of_a_jpeg_that_moved_unheard_is_seen_by_its_seam(generator: np.random.Generator) -> None:
    # Everything from somewhere in a row on is a block further right and darker, as lost bits leave it.
    for _ in range(20):
        blocks = (
            np.asarray(scene().convert("L"))[:896].reshape(112, 8, 155, 8).swapaxes(1, 2).reshape(-1, 8, 8)
        )
        begins = int(generator.integers(2000, len(blocks) - 3000))
        moved = blocks.astype(int)
        moved[begins:] = np.roll(moved, 1, axis=0)[begins:] - 14
        picture = (
            moved.clip(0, 255).astype(np.uint8).reshape(112, 155, 8, 8).swapaxes(1, 2).reshape(896, 1240)
        )
        assert reason(saved("JPEG", Image.fromarray(picture), quality=85)) == "truncated"


@pytest.mark.parametrize("quality", [60, 95])
@pytest.mark.parametrize("edge", [400, 403])
def test_a_table_along_the_rows_is_no_seam(quality: int, edge: int) -> None:
    # As steep an edge as a lens draws: two pixels.
    grey = np.asarray(scene().convert("L")).copy()
    grey[edge:] = grey[edge:] // 2
    seen = cv2.GaussianBlur(grey, (0, 0), 0.8)
    assert open_picture(saved("JPEG", Image.fromarray(seen), quality=quality)).grey.shape == SIZE[::-1]


@pytest.mark.parametrize("data", [b"nothing that unpacks", zlib.compress(b"a few bytes")])
def test_a_png_whose_data_do_not_unpack_is_refused(data: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    header = struct.pack(">IIBBBBB", *SIZE, 8, 0, 0, 0, 0)
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    assert reason(png) == "truncated"
    assert capfd.readouterr() == ("", "")


def test_a_png_that_unpacks_to_far_more_than_it_declares_costs_no_more() -> None:
    header = struct.pack(">IIBBBBB", *SIZE, 8, 0, 0, 0, 0)
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(bytes(1_000_000)) for _ in range(400)) + packer.flush()
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", bomb) + chunk(b"IEND", b"")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with contextlib.suppress(Refused):
        assert open_picture(png).grey.shape == SIZE[::-1]
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 50_000


@pytest.mark.parametrize(
    ("size", "expected"),
    [((10_000, 6_001), "too_large"), ((65_500, 65_500), "too_large"), ((999, 1000), "too_small")],
)
def test_declared_sizes_are_refused_before_decoding(
    size: tuple[int, int], expected: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("heelball.sheet.picture.decode", None)
    assert reason(with_size(saved("JPEG"), *size)) == expected
    header = struct.pack(">IIBBBBB", *size, 8, 2, 0, 0, 0)
    data = chunk(b"IDAT", zlib.compress(b"few"))
    assert reason(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + data + chunk(b"IEND", b"")) == expected


def test_a_jpeg_that_declares_more_than_it_holds_is_refused() -> None:
    assert reason(with_size(saved("JPEG"), 6000, 6000)) == "truncated"


def test_a_progressive_jpeg_of_a_thousand_scans_is_refused_undecoded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("heelball.sheet.picture.decode", None)
    content = saved("JPEG", progressive=True)
    starts = [at for at in range(len(content)) if content.startswith(b"\xff\xda", at)]
    first = next(content[one:other] for one, other in pairwise(starts))
    assert reason(content[: starts[0]] + first * 1000 + content[starts[0] :]) == "truncated"


@pytest.mark.parametrize("mode", ["1", "L", "P", "I;16"])
def test_every_kind_of_png_is_grey_in_eight_bits(mode: str) -> None:
    levels = np.asarray(scene().convert("L"))
    if mode == "I;16":
        picture = Image.fromarray(levels.astype(np.uint16) * 257)
        expected = levels
    else:
        picture = scene().convert(mode)
        expected = np.asarray(picture.convert("RGB").convert("L"))
    grey = open_picture(saved("PNG", picture)).grey
    assert grey.dtype == np.uint8
    assert np.abs(grey.astype(int) - expected).max() <= 1


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_what_can_be_seen_through_lies_on_white(mode: str) -> None:
    picture = scene().convert(mode)
    alpha = np.zeros(SIZE[::-1], np.uint8)
    alpha[:, : SIZE[0] // 2] = 255
    alpha[:100] = 128
    picture.putalpha(Image.fromarray(alpha))
    white = Image.new("RGBA", SIZE, "white")
    expected = np.asarray(Image.alpha_composite(white, picture.convert("RGBA")).convert("L")).astype(int)
    assert np.abs(open_picture(saved("PNG", picture)).grey - expected).max() <= 2


def test_a_jpeg_of_four_inks_is_read() -> None:
    content = saved("JPEG", scene().convert("CMYK"), quality=95)
    assert np.abs(open_picture(content).grey - grey_by_pillow(content)).mean() < 4
