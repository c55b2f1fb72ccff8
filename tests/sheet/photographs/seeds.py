"""Which photograph a seed stands for: every choice drawn as wearers, printers, floors and phones come."""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from heelball.sheet.layout import HOLDS, pages_of
from heelball.sheet.marking import Paper
from heelball.sheet.values import Circumstances, Tool
from tests.sheet.photographs.camera import Curl
from tests.sheet.photographs.clutter import Clutter
from tests.sheet.photographs.definitions import measured
from tests.sheet.photographs.floors import PATTERNED, PLAIN
from tests.sheet.photographs.hand import BODY, BODY_SD, Manner
from tests.sheet.photographs.light import Develop, Light
from tests.sheet.photographs.outlines import Foot, random_foot
from tests.sheet.photographs.paper import Print
from tests.sheet.photographs.photograph import Photograph, Scene, View, photograph


def take(seed: int, **choices: Any) -> Photograph:
    """Return the sound photograph that a seed stands for.

    Parameters
    ----------
    seed
        Any number.
    choices
        Fields of `Scene`, or of its parts by their names, that are given instead of drawn:
        ``take(3, floor="planks", tilt_deg=0.0, tool="pen")``.
    """
    chance = np.random.default_rng([5, seed])
    foot, scene = sound(chance)
    return photograph(foot, with_choices(scene, choices), chance)


def with_choices(scene: Scene, choices: dict[str, Any]) -> Scene:
    """Return the scene with fields of its own or of its parts set."""
    for name, value in choices.items():
        if name in attrs.fields_dict(Scene):
            scene = attrs.evolve(scene, **{name: value})
            continue
        part = next(
            part
            for part in ("manner", "view", "printed", "light", "develop", "clutter", "curl")
            if name in attrs.fields_dict(type(getattr(scene, part)))
        )
        scene = attrs.evolve(scene, **{part: attrs.evolve(getattr(scene, part), **{name: value})})
    return scene


def sound(chance: np.random.Generator) -> tuple[Foot, Scene]:
    """Return a foot and a scene that must be read."""
    foot = random_foot(chance, float(chance.uniform(288.0, 318.0)) if chance.random() < 0.12 else None)
    paper: Paper = "a4" if chance.random() < 0.65 else "letter"
    tool: Tool = str(chance.choice(["pencil", "pen", "felt-pen"], p=[0.6, 0.28, 0.12]))  # type: ignore[assignment]
    printed, told = _print(chance)
    body = float(chance.normal(BODY[tool], BODY_SD))
    if chance.random() < 0.8:
        told = attrs.evolve(told, tool=tool)
    else:
        body = float(np.clip(chance.normal(BODY["pencil"], 1.5), 4.5, 10.0))
    length = measured(foot.outline, foot.inner, foot.outer, on_wall=False).length
    on_wall = bool(chance.random() < 0.85)
    two = (length + (0.0 if on_wall else 18.0)) / printed.scale > HOLDS[paper] - 1.0
    if two:
        printed = attrs.evolve(
            printed,
            scale=float(np.clip(printed.scale, 0.98, 1.02)),
            join=(
                float(chance.uniform(-3.0, 1.0)),
                float(chance.uniform(-3.0, 3.0)),
                float(chance.uniform(-2.0, 2.0)),
            ),
        )
        told = attrs.evolve(told, bar=None, card=None)
    view, develop = _phone(chance, paper, two)
    scene = Scene(
        paper=paper,
        side="left" if chance.random() < 0.5 else "right",
        two=two,
        printed=printed,
        manner=_manner(chance, tool, on_wall),
        body=body,
        view=view,
        curl=_curl(chance),
        floor=str(chance.choice(PLAIN if chance.random() < 0.55 else PATTERNED)),
        light=_light(chance),
        develop=develop,
        clutter=_clutter(chance),
        told=told,
    )
    return foot, scene


def _print(chance: np.random.Generator) -> tuple[Print, Circumstances]:
    """Return how the sheet was printed and what the wearer found out about it: as printers come, told or not."""
    kind = chance.random()
    scale = float(np.clip(chance.normal(1.0, 0.01), 0.97, 1.03))
    stretch = float(1.0 + chance.normal(scale=0.001))
    ink = float(chance.uniform(0.5, 0.6) if chance.random() < 0.12 else chance.uniform(0.82, 0.96))
    if kind < 0.45:
        scale = float(chance.uniform(0.93, 1.04)) if chance.random() < 0.4 else scale
        both = [150.0 * scale * stretch, 150.0 * scale]
        along, across = (round(2 * (one + chance.normal(scale=0.2))) / 2 for one in both)
        told = Circumstances(bar=(along, across if chance.random() < 0.7 else None))
    elif kind < 0.65:
        scale = float(chance.uniform(0.93, 1.04)) if chance.random() < 0.4 else scale
        told = Circumstances(card=round(2 * (100 * scale + chance.normal(scale=0.15))) / 2)
    else:
        told = Circumstances()
    return Print(scale, stretch, ink), told


def _manner(chance: np.random.Generator, tool: Tool, on_wall: bool) -> Manner:
    kind = chance.random()
    return Manner(
        tool=tool,
        on_wall=on_wall,
        gaps=int(chance.integers(1, 4)) if kind < 0.25 else 0,
        doubled=float(chance.uniform(0.5, 2.0)) if 0.25 < kind < 0.45 else 0.0,
        doubled_all=bool(chance.random() < 0.4),
        faint=bool(0.45 < kind < 0.55 and tool == "pencil"),
    )


def _phone(chance: np.random.Generator, paper: Paper, two: bool) -> tuple[View, Develop]:
    """Return a phone, held so that all of the sheet is in the picture and large enough."""
    messenger = chance.random() < 0.15
    size = (
        (1632, 1224)
        if messenger
        else ((4000, 3000), (4032, 3024), (3264, 2448), (3000, 2250))[int(chance.integers(4))]
    )
    if not messenger and chance.random() < 0.02:
        size = (8000, 6000)
    focal = float(chance.uniform(24.0, 30.0))
    tilt = float(abs(chance.normal(scale=11.0)) if chance.random() < 0.8 else chance.uniform(15.0, 33.0))
    tilt = min(tilt, 33.0)
    width, height = pages_of(paper, "right", two=two)[0].size
    wide, tall = (2 * width, height) if two else (height, width)
    turned = chance.random() < 0.5
    # Which way the sheet's long side lies: with the picture's, or turned by any angle where there is room.
    roll = float(90.0 * (0 if two else 1) + 180.0 * turned + chance.normal(scale=7.0))
    long, short = size[0] / np.hypot(*size) * 43.27 / focal, size[1] / np.hypot(*size) * 43.27 / focal
    # Sheet and 8 % about it, seen aslant.
    least = 1.12 * max(wide / long, tall / short) * (1.0 + 0.012 * tilt)
    if chance.random() < 0.15:
        roll, least = (
            float(chance.uniform(0, 360)),
            1.15 * float(np.hypot(wide, tall)) / short * (1.0 + 0.01 * tilt),
        )
    px = focal / 43.27 * float(np.hypot(*size))
    most = px / (3.3 * (1.0 + 0.008 * tilt))
    zoom = 1.0
    if most < least * 1.03:
        roll = float(90.0 * (0 if two else 1) + 180.0 * turned + chance.normal(scale=2.0))
        tilt = min(tilt, 8.0)
        least = 1.1 * max(wide / long, tall / short)
        most = least * 1.03
    least = max(least, 450.0 if most > 470.0 else 0.0)
    tall_view = float(chance.uniform(least, min(max(most, least * 1.02), 1200.0)))
    view = View(
        height=tall_view,
        tilt_deg=tilt,
        toward_deg=float(chance.uniform(0, 360)),
        roll_deg=roll,
        focal=focal,
        bulge=float(chance.uniform(-0.06, 0.03)),
        size=size,
        zoom=zoom,
        off=(float(chance.normal(scale=6.0)), float(chance.normal(scale=6.0))),
        told=bool(not messenger and chance.random() < 0.75),
        orientation=1 if messenger else int(chance.choice([1, 3, 6, 8])),
        false_orientation=bool(chance.random() < 0.05),
        mirrored=bool(chance.random() < 0.03),
    )
    develop = Develop(
        blur=float(chance.uniform(0.4, 0.9)),
        sharpen=float(chance.uniform(0.0, 0.8)),
        noise=float(chance.uniform(1.0, 6.0)),
        quality=60 if messenger else int(chance.integers(70, 96)),
    )
    return view, develop


def _curl(chance: np.random.Generator) -> Curl:
    if chance.random() < 0.5:
        return Curl(wave=float(chance.uniform(0.0, 0.4)))
    lifts = [float(chance.uniform(0.5, 4.0)) if chance.random() < 0.4 else 0.0 for _ in range(4)]
    return Curl((lifts[0], lifts[1], lifts[2], lifts[3]), wave=float(chance.uniform(0.0, 0.6)))


def _light(chance: np.random.Generator) -> Light:
    return Light(
        strength=float(chance.uniform(0.65, 1.0)),
        gradient=float(chance.uniform(0.0, 0.35)),
        toward_deg=float(chance.uniform(0, 360)),
        corners=float(chance.uniform(0.0, 0.4)),
        soft_shadow=float(chance.uniform(0.5, 0.85)) if chance.random() < 0.35 else 1.0,
        hard_shadow=float(chance.uniform(0.55, 0.85)) if chance.random() < 0.2 else 1.0,
        colour=(float(chance.uniform(0.78, 1.0)), float(chance.uniform(0.94, 1.0)), 1.0),
    )


def _clutter(chance: np.random.Generator) -> Clutter:
    return Clutter(
        beside=int(chance.integers(0, 2)),
        inside=int(chance.random() < 0.2),
        across=int(chance.random() < 0.08),
        tape=int(chance.integers(0, 5)),
        sock=bool(chance.random() < 0.15),
    )
