"""A bare foot read from rendered photographs: the shared mesh on the sheet, in three dimensions."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache

import cv2
import numpy as np
import pillow_heif
import pytest
from attrs import evolve
from PIL import Image

from heelball.errors import UsageError
from heelball.foot.vector import Foot
from heelball.sheet.bare import BareReading, read_bare
from heelball.sheet.bare_heights import (
    HEEL_HEIGHTS,
    INNER_HEIGHTS,
    JOINT_HEIGHTS,
    OUTER_HEIGHTS,
    SHARES,
    SLOPES,
    TOE_HEIGHTS,
)
from heelball.sheet.bare_measures import AXIS_TURN_DEG, measure_bare
from heelball.sheet.values import Array, Circumstances, Refused
from heelball.work.sheet_bare import bare_line
from tests.sheet.bare_rendering import (
    MESH_INNER,
    MESH_LENGTH,
    MESH_OUTER,
    SKINS,
    Photograph,
    Scene,
    hidden,
    mesh_points,
    photograph,
    random_scene,
)
from tests.sheet.photographs.outlines import mesh_foot

#: From beside the heel, as the remedies ask: all of the foot is seen.
SOUND = Scene(tilt_deg=13.0, toward_deg=125.0, distance=1300.0, lens=40.0, size=(2400, 1800))
#: Of a normal variable within its 90 % interval.
_NINETY = 1.645


@cache
def _photograph(scene: Scene) -> Photograph:
    return photograph(scene, np.random.default_rng(5))


def _read(taken: Photograph) -> BareReading:
    """Read, a person having pointed at the joints."""
    inner, outer = ((float(one[0]), float(one[1])) for one in (taken.inner, taken.outer))
    return read_bare(taken.content, "bare.jpg", Circumstances(), inner, outer)


def _truth(scene: Scene) -> Array:
    long = scene.length / MESH_LENGTH
    return np.array([scene.length, MESH_INNER[0] * long, MESH_OUTER[0] * long, scene.breadth])


def _refused(scene: Scene) -> Refused:
    with pytest.raises(Refused) as refused:
        _read(_photograph(scene))
    return refused.value


@pytest.mark.parametrize("foot", ["left", "right"])
def test_both_feet_are_read_within_what_they_state(foot: Foot) -> None:
    """Mean and ± of every measure, and the sheet's own word for which foot it is."""
    scene = evolve(SOUND, foot=foot, turn_deg=2.0)
    reading = _read(_photograph(scene))
    sd = np.sqrt(np.diag(reading.cov))
    assert reading.foot == foot
    assert (np.abs(reading.mean - _truth(scene)) < _NINETY * sd).all()
    assert reading.turn_deg == pytest.approx(2.0, abs=1.5)
    assert reading.quality["distance_mm"] == pytest.approx(1300, rel=0.08)


@pytest.mark.parametrize(("skin", "exposure"), [(SKINS[0], 0.45), (SKINS[-1], 0.5), (SKINS[2], 0.9)])
def test_skin_of_any_tone_is_told_from_shadow(skin: tuple[int, int, int], exposure: float) -> None:
    """Pale skin in poor light and dark skin, beside a hard shadow that falls to the outer side."""
    scene = evolve(SOUND, skin=skin, exposure=exposure, light=(50.0, 20.0, 0.1), noise=4.0)
    reading = _read(_photograph(scene))
    assert np.abs(reading.mean - _truth(scene))[[0, 3]].max() < 2.5


def test_parallax_is_undone_by_the_cameras_place() -> None:
    """Seen from one side and from the other the same foot has the same measures."""
    one, other = (
        _read(_photograph(evolve(SOUND, toward_deg=side, tilt_deg=16.0))) for side in (115.0, -115.0)
    )
    assert np.abs(one.mean - other.mean).max() < 2.0


def test_without_points_the_ball_is_not_read() -> None:
    """The joint cannot be seen from above: neither a value nor a covariance is made up for it."""
    taken = _photograph(SOUND)
    reading = read_bare(taken.content, "bare.jpg", Circumstances())
    line = bare_line(reading)
    assert line["foot_mm"]["ball"] is None
    assert line["foot_mm"]["outer_ball"] is None
    assert line["foot_mm"]["length"]["sd_mm"] >= 2.5
    assert line["drawn"] is None
    assert [[value is None for value in row] for row in line["covariance"]] == [
        [False, True, False],
        [True, True, True],
        [False, True, False],
    ]
    with pytest.raises(UsageError):
        read_bare(taken.content, "bare.jpg", Circumstances(), inner=(10.0, 10.0))


def test_points_given_the_wrong_way_round_are_refused() -> None:
    """The inner ball point lies ahead of the outer on every foot."""
    taken = _photograph(SOUND)
    inner, outer = ((float(one[0]), float(one[1])) for one in (taken.inner, taken.outer))
    with pytest.raises(Refused) as refused:
        read_bare(taken.content, "bare.jpg", Circumstances(), outer, inner)
    assert refused.value.reason == "wrong_foot"


def test_a_mirrored_picture_is_read_as_the_foot_it_is() -> None:
    """Points given in the mirrored picture are turned back with it; the lens is not told, a usual one."""
    taken = _photograph(evolve(SOUND, lens=27.0))
    picture = cv2.imdecode(np.frombuffer(taken.content, np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    content = cv2.imencode(".jpg", picture[:, ::-1], [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes()
    last = picture.shape[1] - 1
    inner, outer = ((last - float(one[0]), float(one[1])) for one in (taken.inner, taken.outer))
    reading = read_bare(content, "bare.jpg", Circumstances(), inner, outer)
    assert reading.foot == "right"
    sd = np.sqrt(np.diag(reading.cov))
    assert (np.abs(reading.mean - _truth(SOUND)) < 2 * sd).all()


def test_too_near_is_refused() -> None:
    """Nearer than a metre."""
    refused = _refused(evolve(SOUND, distance=800.0, lens=26.0))
    assert refused.reason == "oblique"
    assert "so near" in refused.message


def test_a_heel_behind_the_leg_is_refused() -> None:
    """Seen from the toes the leg stands before the heel."""
    scene = evolve(SOUND, toward_deg=20.0, tilt_deg=16.0)
    assert "heel" in hidden(scene)
    refused = _refused(scene)
    # Where the leg hides half of the markers too, that comes first.
    assert refused.reason in ("outline_open", "markers")


def test_toes_behind_the_leg_are_refused() -> None:
    """Seen from far behind the heel a leg that leans forward stands before the toes."""
    scene = evolve(SOUND, toward_deg=180.0, tilt_deg=20.0, leg_lean_deg=16.0)
    assert hidden(scene)
    assert _refused(scene).reason in ("outline_open", "markers", "off_sheet")


def test_a_picture_without_colour_is_refused() -> None:
    """Shadow and skin cannot be told apart in grey."""
    picture = cv2.imdecode(
        np.frombuffer(_photograph(evolve(SOUND, lens=27.0)).content, np.uint8), cv2.IMREAD_GRAYSCALE
    )
    assert picture is not None
    with pytest.raises(Refused) as refused:
        read_bare(cv2.imencode(".png", picture)[1].tobytes(), "bare.png", Circumstances())
    assert refused.value.reason == "dark"


def _spoiled(change: Callable[[np.ndarray], np.ndarray]) -> bytes:
    """Return the sound photograph with its pixels changed; without its lens, which is a usual one."""
    picture = cv2.imdecode(
        np.frombuffer(_photograph(evolve(SOUND, lens=27.0, size=(4000, 3000))).content, np.uint8),
        cv2.IMREAD_COLOR,
    )
    assert picture is not None
    return cv2.imencode(".jpg", change(np.asarray(picture)), [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes()


def _shaken(picture: np.ndarray) -> np.ndarray:
    return np.asarray(cv2.filter2D(picture, -1, np.eye(5, dtype=np.float32) / 5))


def _without_light(picture: np.ndarray) -> np.ndarray:
    noise = np.random.default_rng(1).normal(scale=4.0, size=picture.shape)
    return np.asarray(np.clip(0.15 * picture + noise, 0, 255), np.uint8)


def _lamp(picture: np.ndarray) -> np.ndarray:
    """Return it with a lamp's light shining back from the inner side of the ball."""
    taken = _photograph(evolve(SOUND, lens=27.0, size=(4000, 3000)))
    rows, columns = np.mgrid[: picture.shape[0], : picture.shape[1]]
    far = (columns - taken.inner[0]) ** 2 + (rows - taken.inner[1]) ** 2
    return np.asarray(np.clip(picture + 400 * np.exp(-far / (2 * 30.0**2))[..., None], 0, 255), np.uint8)


@pytest.mark.parametrize(
    ("change", "reason"), [(_shaken, "blurred"), (_without_light, "dark"), (_lamp, "glare")]
)
def test_what_hides_the_edge_is_refused_for_what_it_is(
    change: Callable[[np.ndarray], np.ndarray], reason: str
) -> None:
    """Not as a bent sheet, which is what it looks like to the markers; and a bitten breadth is no breadth."""
    with pytest.raises(Refused) as refused:
        read_bare(_spoiled(change), "bare.jpg", Circumstances())
    assert refused.value.reason == reason


def test_a_heic_is_read_in_colour() -> None:
    """Phones write it: its colours come from the child process as its grey does."""
    picture = Image.open(io.BytesIO(_photograph(evolve(SOUND, size=(2000, 1500))).content))
    out = io.BytesIO()
    pillow_heif.from_pillow(picture).save(out, quality=85, exif=picture.getexif())
    reading = read_bare(out.getvalue(), "bare.heic", Circumstances())
    assert np.abs(reading.mean - _truth(SOUND))[[0, 3]].max() < 2.5


def _extents(side: Array, height: Array) -> Array:
    """Return the heights that one side's points are seen at, by `SLOPES`."""

    def beyond(slope: float) -> float:
        return float((side + slope * height).max() - side.max())

    level = (beyond(0.1) - beyond(-0.1)) / 0.2
    return np.array([beyond(slope) / slope if slope else level for slope in SLOPES])


def test_the_heights_are_those_of_the_shared_mesh() -> None:
    """Every figure of the prior: of the two sides at five shares, the heel, the toes, the joints."""
    points = mesh_points()
    for share, inner, outer in zip(SHARES, INNER_HEIGHTS, OUTER_HEIGHTS, strict=True):
        near = points[np.abs(points[:, 0] / MESH_LENGTH - share) < 0.008]
        assert inner == pytest.approx(_extents(near[:, 1], near[:, 2]), abs=1.5)
        assert outer == pytest.approx(_extents(-near[:, 1], near[:, 2]), abs=1.5)
    heel = points[points[:, 2] < 50.0]
    assert pytest.approx(_extents(-heel[:, 0], heel[:, 2])[:4], abs=1.5) == HEEL_HEIGHTS[:4]
    assert pytest.approx(_extents(points[:, 0], points[:, 2]), abs=1.5) == TOE_HEIGHTS
    assert pytest.approx([MESH_INNER[2], MESH_OUTER[2]], abs=0.5) == JOINT_HEIGHTS


def test_alone_doubles_every_sd() -> None:
    """As with a drawn line."""
    content = _photograph(SOUND).content
    helped, alone = (read_bare(content, "b", Circumstances(alone=flag)) for flag in (False, True))
    np.testing.assert_allclose(alone.cov[[0, 3], [0, 3]], 4 * helped.cov[[0, 3], [0, 3]])


def test_the_axis_constant_leads_to_the_second_toe() -> None:
    """On the shared mesh, seen from far above, the axis is the mesh's own x."""
    measured = measure_bare(mesh_foot().outline, np.array([130.0, 0.0, 1e8]))
    assert measured.turn_deg == pytest.approx(0.0, abs=0.05), AXIS_TURN_DEG
    assert measured.length == pytest.approx(264.0, abs=0.3)
    assert measured.breadth == pytest.approx(101.6, abs=0.3)


@pytest.mark.parametrize("count", [5, pytest.param(100, marks=pytest.mark.slow)])
def test_stated_intervals_hold(count: int) -> None:
    """Any foot, skin, light and camera that sees the foot: intervals cover, few are refused."""
    off, refused, sds = [], 0, []
    for seed in range(count):
        chance = np.random.default_rng(9000 + seed)
        scene = random_scene(chance)
        try:
            reading = _read(photograph(scene, chance))
        except Refused:
            refused += 1
            continue
        sds.append(np.sqrt(np.diag(reading.cov)))
        off.append(reading.mean - _truth(scene))
    errors = np.abs(off)
    assert np.min(sds) >= 2.5 - 1e-9
    assert (errors < _NINETY * np.array(sds)).mean(axis=0).min() >= 0.85
    # Beyond the ± that is stated out of caution, no photograph is grossly misread.
    assert errors[:, [0, 3]].max() < 5.0
    assert refused <= 0.2 * count
