"""What a boot that came measures beside what its label was thought to be, in words."""

from __future__ import annotations

from typing import Final

from heelball.fit.answers import Choice
from heelball.last.run import Kind
from heelball.last.values import Label
from heelball.learn.arrived import Measured
from heelball.show.labels import label_text, percent
from heelball.units import format_mm

#: What is measured, and how more and less of it are said.
_WORDS: Final[dict[Kind, tuple[str, str, str]]] = {
    "inside_length": ("Inside", "longer", "shorter"),
    "flex_line": ("Flex line", "further forward", "further back"),
    "ball_girth": ("Round the ball", "more", "less"),
}

#: From here on, in sds, a difference is no longer what one boot in three may show; and from here
#: on it is likelier a slip of the tape.
_WELL_OUTSIDE: Final = 2.0
_DOUBTED: Final = 3.0


def difference_text(measured: Measured) -> str:
    """Return how one measure of a boot differs from what was expected of its label.

    Examples
    --------
    >>> difference_text(Measured("flex_line", 205.0, 201.0, 5.0))
    'Flex line 4 mm further forward than expected, within what is known (±5 mm).'
    """
    what, more, less = _WORDS[measured.kind]
    off, sd = measured.by, measured.sd
    amount = format_mm(abs(off))
    known = f"(±{format_mm(sd)} mm)"
    if amount == "0":
        return f"{what} as expected {known}."
    said = f"{what} {amount} mm {more if off > 0 else less} than expected"
    if abs(off) <= sd:
        return f"{said}, within what is known {known}."
    if abs(off) <= _WELL_OUTSIDE * sd:
        return f"{said}, a little outside what is known {known}, as one boot in three is."
    if abs(off) <= _DOUBTED * sd:
        return f"{said}, well outside what is known {known}."
    left_out = "" if measured.believed else " It is left out here."
    return f"{said}, far outside what is known {known}: measure it again.{left_out}"


def changed_answer_text(pair: Label, before: Choice, after: Choice) -> str:
    """Return what the measured boot makes of the answer.

    Parameters
    ----------
    pair
        The label of the pair that came.
    before, after
        What is chosen from its last without the measured boot, and with it.
    """
    last = after.last
    own, now = label_text(pair, last), label_text(after.label, last)
    chances = f"{percent(after.chance)}, and {percent(before.chance)} before it was measured"
    if after.order is None:
        least = f"{now}, is right all over by chance {chances}"
        return f"With this boot measured no label of {last.code} serves; the least wrong, {least}."
    if after.order == pair:
        still = "still " if before.order == pair else ""
        return (
            f"With this boot measured {own} is {still}what to order from {last.code}:"
            f" right all over by chance {chances}."
        )
    if before.order == after.order:
        return (
            f"{now}, not {own}, is what to order from {last.code}, with this boot measured as before:"
            f" right all over by chance {percent(after.chance)}.{_cost(pair, after)}"
        )
    return (
        f"With this boot measured {now} would now be ordered from {last.code}, not {own}:"
        f" right all over by chance {percent(after.chance)}.{_cost(pair, after)}"
    )


def _cost(pair: Label, after: Choice) -> str:
    """Return what the pair that came costs beside the label now ordered."""
    for ranked in after.labels:
        if ranked.label == pair:
            own = label_text(pair, after.last)
            return f" {own} would cost {ranked.loss:.2f} in loss against {after.loss:.2f}."
    return ""


def wrong_box_text(box: str, ordered: str) -> str:
    """Return what is said where the box has another label than the one ordered."""
    return (
        f"The box says {box}; {ordered} was ordered. Leave the boots unworn and ask the maker for the"
        " pair that was ordered."
    )


#: Said where the heel slips in the boot that came.
HEEL_SLIPS: Final = (
    "The heel slips: lace from the instep up with the heel knocked back, and walk again. If it still slips"
    " after an hour, the boot is wide at the heel, long, or bends in the wrong place."
)

#: Said where left and right boot are not one pair.
BOOTS_DIFFER: Final = (
    "The two boots differ: measure the other one too, and let the maker know before either is worn outside."
)
