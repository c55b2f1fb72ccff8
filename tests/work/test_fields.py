"""Names that cannot be told from others, or that are none, are refused in a sentence."""

from __future__ import annotations

import pytest

from heelball.errors import InputError
from heelball.work.fields import check_name


@pytest.mark.parametrize(
    "name", ["", "Ann Invented", "O'Neil-Ñandú", "آن", "\u0645\u06cc\u200c\u062e\u0648", "安", "Ann 🥾"]
)
def test_names_of_every_script_stand(name):
    check_name(name)


@pytest.mark.parametrize("name", ["Ann\u202egnuoY", "\u200b", "\u200d", "Ann\n", "Ann\u2066", "A\x00"])
def test_signs_without_a_shape_and_turned_writing_are_refused(name):
    with pytest.raises(InputError, match="signs that cannot be seen"):
        check_name(name)
