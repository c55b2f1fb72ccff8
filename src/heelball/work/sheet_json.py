"""A sheet's reading as ``heelball/sheet-reading/1``, one line a photograph."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from heelball.sheet.scale import true_tape
from heelball.sheet.values import DRAWN, FOOT, Refused, Scale
from heelball.work.figures_json import mm

if TYPE_CHECKING:
    from heelball.sheet.reading import SheetReading

SCHEMA: Final = "heelball/sheet-reading/1"

#: What a reading's measures are called in words.
MEASURE_WORDS: Final = {
    "length": "length",
    "ball": "heel-to-ball",
    "outer_ball": "heel to outer ball",
    "breadth": "breadth",
}

#: What a tape laid round a foot is off by, beside its scale [mm]: the model's noise of a tape's girth.
_TAPE_SD: Final = 2.5


def sheet_line(
    reading: SheetReading, *, girth: float | None = None, instep: float | None = None
) -> dict[str, Any]:
    """Return the line of one reading.

    Parameters
    ----------
    reading
        Of one photograph, or of several of one sheet.
    girth, instep
        As read from the printed tape [mm]; the print's scale is taken out of them.
    """
    drawing = reading.drawing
    mean, cov = reading.drawn_round.mean, reading.drawn_round.cov
    sds = {name: float(cov[i, i]) ** 0.5 for i, name in enumerate(FOOT)}
    of = [FOOT.index(name) for name in ("length", "ball", "breadth")]
    told, ticks = reading.seen.told, reading.seen.ticks
    return {
        "schema": SCHEMA,
        "photo": reading.photo,
        "foot": reading.foot,
        "axis_turn_deg": round(drawing.axis_turn_deg, 2),
        "drawn": {name: mm(float(value)) for name, value in zip(DRAWN, drawing.values, strict=True)},
        "foot_mm": {
            name: {"mean_mm": mm(float(mean)), "sd_mm": mm(sds[name])}
            for name, mean in zip(FOOT, mean, strict=True)
        },
        "covariance": [[round(float(cov[i, j]), 4) for j in of] for i in of],
        "scale": scale_record(reading.scale),
        "quality": {name: round(float(value), 3) for name, value in reading.quality.items()},
        "remarks": list(reading.remarks),
        "load": told.load,
        "tool": told.tool,
        "ticks_mm": [mm(float(ticks.inner[0])), mm(float(ticks.outer[0]))],
        "tape": tape_record(reading.scale, girth, instep),
    }


def scale_record(scale: Scale) -> dict[str, Any]:
    """Return what is said of the print's scale: true millimetres to one of the print."""
    return {"mean": round(scale.mean, 5), "sd": round(scale.sd, 5), "witness": scale.witness}


def tape_record(scale: Scale, girth: float | None, instep: float | None) -> dict[str, Any]:
    """Return the tape's girths as they are once the print's scale is taken out."""

    def read(value: float | None) -> dict[str, float | None] | None:
        if value is None:
            return None
        sd = (_TAPE_SD**2 + (value * float(scale.page_cov[1, 1]) ** 0.5) ** 2) ** 0.5
        return {"mean_mm": mm(true_tape(value, scale)), "sd_mm": mm(sd)}

    return {"girth": read(girth), "instep": read(instep)}


def refused_line(photo: str, refused: Refused) -> dict[str, Any]:
    """Return the line of a photograph that no reading was taken from."""
    return {
        "schema": SCHEMA,
        "photo": photo,
        "refused": {"reason": refused.reason, "text": refused.message, "remedy": refused.remedy},
    }
