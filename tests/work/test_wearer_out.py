"""What a wearer takes away as a file is read again as it was, however many tables stand in it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.work.toml_text import toml_text
from heelball.work.wearer_file import read_wearers


def test_tables_within_a_list_stay_where_they_belong():
    table = {
        "code": "W1",
        "pair": [
            {"last": "N7", "left": {"ball": "right"}, "right": {"toe": "little"}},
            {"last": "N8", "left": {"ball": "little"}},
        ],
        "reading": [{"value": "268", "shared_mm": {"error 1": 1.04}}, {"value": "198"}],
    }
    assert tomllib.loads(toml_text(table)) == table


def reading(told: str) -> str:
    return f"""\
schema = "heelball/wearer/1"
population = "men"
[[reading]]
foot = "left"
what = "length"
{told}
"""


def test_what_a_reading_shares_is_read(tmp_path: Path):
    file = tmp_path / "W1.toml"
    file.write_text(
        reading('scale = "mm"\nvalue = "268"\nsd_mm = 0.5\nshared_mm = { "error 1" = 1.04, b = -2 }')
    )
    (wearer,) = read_wearers([file])
    assert wearer.readings[0].shared_errors == (("error 1", 1.04), ("b", -2.0))


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ('scale = "mm"\nvalue = "268"\nshared_mm = { a = 1 }', "without sd_mm"),
        ('scale = "cm"\nvalue = "26.8"\nsd_mm = 1\nshared_mm = { a = 1 }', "not in mm"),
        ('scale = "mm"\nvalue = "268"\nsd_mm = 1\nshared_mm = { a = "much" }', "a: 'much'"),
        ('scale = "mm"\nvalue = "268"\nsd_mm = 1\nshared_mm = 1', "a table"),
    ],
)
def test_what_cannot_be_shared_is_refused(tmp_path: Path, told: str, said: str):
    file = tmp_path / "W1.toml"
    file.write_text(reading(told))
    with pytest.raises(InputError, match=said):
        read_wearers([file])
