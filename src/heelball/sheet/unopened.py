"""A picture's file before it is decoded: what its header tells, and the refusals that follow from it."""

from __future__ import annotations

from typing import Final

from attrs import field, frozen

from heelball.sheet.values import Refused

FEWEST_PIXELS: Final = 1_000_000
MOST_PIXELS: Final = 60_000_000

_SEND_JPEG: Final = "Send the photograph itself as JPEG, PNG or HEIC, as the phone saved it."
_SEND_AGAIN: Final = "Send the file again, as the phone saved it."


@frozen(eq=False)
class Unopened:
    """What a file tells before it is decoded.

    Parameters
    ----------
    width, height
        As declared, before any orientation.
    content
        What the decoder is given: the first picture alone.
    exif
        The EXIF block (beginning with its byte order), if the file has one.
    alpha
        Whether parts of the picture can be seen through.
    """

    width: int
    height: int
    content: bytes = field(repr=False)
    exif: bytes | None = field(repr=False)
    alpha: bool


def not_a_picture(text: str, remedy: str = _SEND_JPEG) -> Refused:
    """Return the refusal of a file that is no photograph, or of a kind that is not read."""
    return Refused("not_a_picture", text, remedy)


def truncated() -> Refused:
    """Return the refusal of a file that ends too early."""
    return Refused("truncated", "The photograph's file ends before the picture does.", _SEND_AGAIN)


def damaged() -> Refused:
    """Return the refusal of a file that is broken inside, as one is that lost a part on its way."""
    return Refused("truncated", "A part of the photograph's file is missing or damaged.", _SEND_AGAIN)


def too_large(text: str) -> Refused:
    """Return the refusal of a file that would take too much memory or time."""
    return Refused(
        "too_large", text, "Take the photograph with the phone's usual setting, about 12 megapixels."
    )


def check_size(width: int, height: int) -> None:
    """Refuse a picture that is declared too large or too small.

    Parameters
    ----------
    width, height
        Pixels.

    Raises
    ------
    Refused
        ``too_large`` or ``too_small``.
    """
    pixels = width * height
    size = f"The photograph has {width} × {height} pixels"
    if pixels > MOST_PIXELS:
        raise too_large(f"{size}; at most 60 megapixels are read.")
    if pixels < FEWEST_PIXELS:
        raise Refused(
            "too_small",
            f"{size}; at least 1 megapixel is needed.",
            "Send the photograph in full size, not a preview of it.",
        )
