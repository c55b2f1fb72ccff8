"""What is typed beside a photograph: numbers that no ruler, card or foot gives are asked about again."""

from __future__ import annotations

from typing import Any

import pytest

from heelball.errors import InputError, UnreadableText
from heelball.sheet.layout import pages_of
from heelball.sheet.scale import scale_of
from heelball.sheet.values import Circumstances, Refused
from heelball.work.sheet_told import check_told, read_bar


def told(**given: Any) -> Circumstances:
    words: dict[str, Any] = {"load": "standing", "alone": False}
    words |= dict.fromkeys(("tool", "bar", "card", "girth", "instep"))
    return check_told(**(words | given))


@pytest.mark.parametrize(
    ("text", "bars"),
    [("148.5", (148.5, None)), ("148.5,149", (148.5, 149.0)), ("148 1/2, 149 mm", (148.5, 149.0))],
)
def test_bars_are_read_as_typed(text, bars):
    assert read_bar(text) == bars


@pytest.mark.parametrize("text", ["", "ten", "148.5,", ",149", "148,149,150", "14.85 cm"])
def test_what_is_no_length_of_a_bar_is_said(text):
    with pytest.raises(UnreadableText, match="ALONG or ALONG,ACROSS in mm"):
        read_bar(text)


@pytest.mark.parametrize("bar", [(106.0, None), (133.0, 133.0), (150.0, 166.0), (212.0, 212.0)])
def test_a_print_of_another_size_is_not_taken_for_a_slip_of_the_keys(bar):
    """Fitted to half a page, or to a larger one: the ruler is right, and the print is refused for it."""
    with pytest.raises(Refused) as refused:
        scale_of(told(bar=bar), pages_of("a4", "left")[0].frame)
    assert refused.value.reason == "print_scale"


def test_all_that_cannot_be_is_said_at_once():
    with pytest.raises(InputError) as refused:
        told(bar=(14.8, 1490.0), card=9.8, girth=24.0, instep=2500.0)
    assert [(one.place, one.found) for one in refused.value.problems] == [
        ("--bar", "14.8 mm"),
        ("--bar", "1490 mm"),
        ("--card", "9.8 %"),
        ("--girth", "24 mm"),
        ("--instep", "2500 mm"),
    ]
