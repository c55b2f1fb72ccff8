"""Every bad file costs one clear sentence a problem, with its place, what was found and what was wanted."""

from __future__ import annotations

from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.scales.catalogue import size_scale
from heelball.work.documents import CSV_LIMIT, TOML_LIMIT
from heelball.work.last_file import read_last, read_lasts
from heelball.work.wearer_file import read_wearers
from tests.work.bench import write
from tests.work.written import last_problems, wearer_problems

WEARER = 'schema = "heelball/wearer/1"\n'
READING = WEARER + '[[reading]]\nfoot = "right"\nwhat = "length"\nscale = "gauge-men"\nvalue = "10"\n'
LAST = 'schema = "heelball/last/1"\nmaker = "Northmoor"\nlabel_scale = "us-men"\n'
ROW = "wearer,population,foot,what,scale,value"

VALUE = ", reading 1, value: {}; wanted a size on gauge-men, such as 10"
NOT_UTF8 = (
    ", line {}: bytes that are not UTF-8, the first of them number {} of the file;"
    " wanted a file saved as UTF-8"
)

#: A name, a wearer file, and what is said of it behind the file's name.
WEARERS: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", ": an empty file; wanted a file with something in it"),
    "blank": ("\ufeff \n\n", ": an empty file; wanted a file with something in it"),
    "no schema": ('code = "W"', ', schema: no schema; wanted schema = "heelball/wearer/1"'),
    "a last's schema": (LAST, ", schema: schema 'heelball/last/1'; wanted schema = \"heelball/wearer/1\""),
    "a later schema": (
        'schema = "heelball/wearer/2"',
        ", schema: schema 'heelball/wearer/2'; wanted schema = \"heelball/wearer/1\"",
    ),
    "unknown field": (READING + 'lod = "one"', ", reading 1, lod: an unknown field; wanted load"),
    "unknown table": (READING + "[sings]", ", sings: an unknown field; wanted signs"),
    "nothing like it": (
        READING + "[signs]\nq = 1",
        (
            ", [signs], q: an unknown field; wanted one of changed, circulation, deformity, diabetes,"
            " numbness, orthosis, pain_weeks, urgent, wound"
        ),
    ),
    "negative": (READING.replace('"10"', '"-10"'), VALUE.replace("{}", "'-10'")),
    "negative number": (READING.replace('"10"', "-10"), VALUE.replace("{}", "'-10'")),
    "a 10 kg foot": (READING.replace('"10"', '"10 kg"'), VALUE.replace("{}", "'10 kg'")),
    "not a number": (
        READING.replace('"10"', "nan"),
        ", reading 1, value: nan; wanted what the gauge or tape said",
    ),
    "infinite": (
        READING.replace('"10"', "inf"),
        ", reading 1, value: inf; wanted what the gauge or tape said",
    ),
    "infinite in words": (READING.replace('"10"', '"inf"'), VALUE.replace("{}", "'inf'")),
    "true": (READING.replace('"10"', "true"), ", reading 1, value: true; wanted what the gauge or tape said"),
    "zero": (
        READING.replace("gauge-men", "mm").replace('"10"', "0"),
        ", reading 1, value: 0 mm; wanted 10 to 1000 mm",
    ),
    "a foot of 10 m": (
        READING.replace("gauge-men", "cm").replace('"10"', '"1001 cm"'),
        ", reading 1, value: 1001 cm; wanted 10 to 1000 mm",
    ),
    "negative mm": (
        READING.replace("gauge-men", "mm").replace('"10"', "-271.5"),
        ", reading 1, value: '-271.5'; wanted a length in mm, such as 271",
    ),
    "no such half size": (
        READING.replace("gauge-men", "cn-old").replace('"10"', '"42 1/2"'),
        ", reading 1, value: cn-old has no 42 1/2; wanted a whole size",
    ),
    "a third of a size": (
        READING.replace('"10"', '"10 1/3"'),
        ", reading 1, value: gauge-men has no 10 1/3; wanted a whole, half or quarter size",
    ),
    "off the scale": (
        READING.replace('"10"', '"45"'),
        f", reading 1, value: 45 is off gauge-men; wanted {size_scale('gauge-men').range_in_words}",
    ),
    "a child's size that stands twice": (
        READING.replace("gauge-men", "gauge-child").replace('"10"', '"2"'),
        (
            ", reading 1, value: 2 stands twice on gauge-child;"
            " wanted 2C for the smaller or 2Y for the one after 13 1/2"
        ),
    ),
    "a letter without a line or size": (
        READING.replace("length", "breadth").replace('"10"', '"C 3/4"'),
        (
            ", reading 1, line: letter C 3/4 without a line or a size of the right foot;"
            ' wanted the line it was read at, such as "10 1/2"'
        ),
    ),
    "a quarter of more than one": (
        READING.replace("length", "breadth").replace('"10"', '"C 5/4"\nline = 10'),
        ", reading 1, value: 'C 5/4'; wanted C alone or with 1/4, 1/2 or 3/4",
    ),
    "a size of five quarters": (READING.replace('"10"', '"10 5/4"'), VALUE.replace("{}", "'10 5/4'")),
    "no such letter": (
        READING.replace("length", "breadth").replace('"10"', '"H"\nline = 10'),
        ", reading 1, value: 'H'; wanted a width letter such as D, or with quarters C 3/4",
    ),
    "a line beside a length": (
        READING + "line = 10",
        ", reading 1, line: '10'; wanted a line only beside a breadth letter of the gauge",
    ),
    "a line beside a breadth in mm": (
        READING.replace("length", "breadth").replace("gauge-men", "mm") + "line = 10",
        ", reading 1, line: '10'; wanted a line only beside a breadth letter of the gauge",
    ),
    "a line that is none": (
        READING.replace("length", "breadth").replace('"10"', '"C"\nline = "10 1/8"'),
        ", reading 1, line: gauge-men has no 10 1/8; wanted a whole, half or quarter size",
    ),
    "a breadth on a label's scale": (
        READING.replace("length", "breadth").replace("gauge-men", "mondopoint"),
        ", reading 1, scale: a breadth on mondopoint; wanted a foot gauge's scale, or mm, cm or in",
    ),
    "a girth in sizes": (
        READING.replace("length", "girth"),
        ", reading 1, scale: girth on gauge-men; wanted mm, cm or in",
    ),
    "unknown scale": (
        READING.replace("gauge-men", "gauge-mens"),
        ", reading 1, scale: 'gauge-mens'; wanted gauge-men",
    ),
    "unknown measure": (READING.replace("length", "lenght"), ", reading 1, what: 'lenght'; wanted length"),
    "no value": (
        READING.replace('value = "10"\n', ""),
        ", reading 1, value: nothing; wanted what the gauge or tape said",
    ),
    "an empty value": (
        READING.replace('"10"', '" "'),
        ", reading 1, value: an empty text; wanted what the gauge or tape said",
    ),
    "no foot": (
        READING.replace('foot = "right"\n', ""),
        ", reading 1, foot: nothing; wanted one of left, right",
    ),
    "a certain reading": (
        READING + "sd_mm = 0",
        ", reading 1, sd_mm: 0; wanted more than 0 and at most 100 mm",
    ),
    "an infinite sd": (
        READING + "sd_mm = inf",
        ", reading 1, sd_mm: inf; wanted more than 0 and at most 100 mm",
    ),
    "an sd of many digits": (
        READING + f"sd_mm = 0x{'f' * 5000}",
        ", reading 1, sd_mm: a number of too many digits; wanted more than 0 and at most 100 mm",
    ),
    "a day of the week": (
        READING + 'date = "Monday"',
        ", reading 1, date: 'Monday'; wanted a date such as 2026-05-03",
    ),
    "a date as a number": (
        READING + "date = 20260503",
        ", reading 1, date: 20260503; wanted a date such as 2026-05-03",
    ),
    "a null byte in a text": (
        READING + 'fitter = "A\\u0000"',
        ", reading 1, fitter: a null byte; wanted the fitter's initials",
    ),
    "a bell in a text": (
        'code = "W\\u0007"\n' + READING,
        ", code: a control character in 'W\\x07'; wanted a short code",
    ),
    "one reading, not a list": (
        READING.replace("[[reading]]", "[reading]"),
        ", reading: a table [reading]; wanted tables [[reading]]",
    ),
    "no reading": (WEARER, ": no reading; wanted at least one [[reading]]"),
    "no reading in the list": (WEARER + "reading = []", ": no reading; wanted at least one [[reading]]"),
    "shares that do not sum to one": (
        READING + '[[day]]\nname = "a"\nshare = 0.5\n[[day]]\nname = "b"\nshare = 0.4',
        ", [[day]]: shares that sum to 0.9; wanted shares that sum to 1",
    ),
    "shares just off": (
        READING + "[[day]]\nshare = 0.9985",
        ", [[day]]: shares that sum to 0.9985; wanted shares that sum to 1",
    ),
    "no share": (
        READING + "[[day]]\nname = 'all'",
        ", day 1, share: nothing; wanted more than 0 and at most 1 of the day",
    ),
    "a share of nothing": (
        READING + "[[day]]\nshare = 0\n[[day]]\nshare = 1",
        ", day 1, share: 0; wanted more than 0 and at most 1 of the day",
    ),
    "two parts of a day with one name": (
        READING + "[[day]]\nname = 'a'\nshare = 0.5\n[[day]]\nname = 'a'\nshare = 0.5",
        ", day 2, name: 'a' twice; wanted a name of its own",
    ),
    "an unknown sock": (
        READING + "[[day]]\nshare = 1\nsock = 'woolly'",
        ", day 1, sock: 'woolly'; wanted thin, medium, thick, or 0 to 20 mm",
    ),
    "a sock of 3 cm": (
        READING + "[[day]]\nshare = 1\nsock = 30",
        ", day 1, sock: '30'; wanted thin, medium, thick, or 0 to 20 mm",
    ),
    "a negative insole": (
        READING + "[[day]]\nshare = 1\ninsole_mm = -1",
        ", day 1, insole_mm: -1; wanted 0 to 20 mm",
    ),
    "a gauge that is none": (
        READING + '[[gauge]]\nscale = "uk"\nwhat = "ball"\nmark = 10\nmeasured_mm = 199',
        ", gauge 1, scale: 'uk'; wanted one of gauge-men, gauge-women, gauge-child",
    ),
    "a gauge mark without its line": (
        READING + '[[gauge]]\nscale = "gauge-men"\nwhat = "breadth"\nmark = "D"\nmeasured_mm = 101',
        ", gauge 1, line: nothing; wanted the size line of a breadth letter",
    ),
    "a gauge mark that was not measured": (
        READING + '[[gauge]]\nscale = "gauge-men"\nwhat = "ball"\nmark = "10"',
        ", gauge 1, measured_mm: nothing; wanted 10 to 1000 mm",
    ),
    "a pair that fits somehow": (
        READING + '[[pair]]\nlast = "N7"\nsize = 10\nleft = { ball = "tight" }',
        ", pair 1, [left], ball: 'tight'; wanted right",
    ),
    "a pair without a size": (
        READING + '[[pair]]\nlast = "N7"',
        ", pair 1, size: nothing; wanted the size on the label",
    ),
    "a sign of yes": (READING + '[signs]\nwound = "yes"', ", [signs], wound: 'yes'; wanted true or false"),
    "a sheet without its file": (
        READING + "[[sheet]]",
        ", sheet 1, file: nothing; wanted the name of a file of `heelball sheet read --json`",
    ),
    "not TOML": (
        READING + "line 10",
        ", line 7, column 6: not TOML: expected '=' after a key in a key/value pair; wanted a TOML file",
    ),
    "unfinished": (READING + "fitter = ", ", at its end: not TOML: invalid value; wanted a TOML file"),
    "a key twice": (
        READING + "value = 10\n\n",
        ", line 7, column 11: not TOML: cannot overwrite a value; wanted a TOML file",
    ),
    "thousands of digits": (
        READING + f"sd_mm = {'9' * 5000}",
        ": not TOML: a number of thousands of digits; wanted a TOML file",
    ),
    "nested too deep": (READING + f"a = {'[' * 20000}", ": not TOML: nested too deep; wanted a TOML file"),
    "keys nested deep": (
        READING + f"line{'.a' * 3000} = 1",
        ", reading 1, line: a table; wanted the size line the breadth was read at",
    ),
    "not UTF-8": (
        READING.encode() + b'fitter = "\xe9"',
        NOT_UTF8.format(7, len(READING) + 11),
    ),
    "not UTF-8 behind a mark": (
        b"\xef\xbb\xbf# \xff",
        NOT_UTF8.format(1, 6),
    ),
    "UTF-16": (
        READING.encode("utf-16"),
        NOT_UTF8.format(1, 1),
    ),
    "a null byte": (READING + "# \0", ", line 7: a null byte; wanted plain text"),
    "too large": (
        READING + "#" * TOML_LIMIT,
        f": {len(READING) + TOML_LIMIT} bytes; wanted at most 1000000 bytes (1 MB)",
    ),
}

#: Likewise for a readings CSV.
CREWS: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", ": an empty file; wanted a file with something in it"),
    "header alone": (ROW + "\n", ": no reading; wanted at least one row under the header"),
    "no header": (
        "W1,men,left,length,mm,270\n",
        # Each cell is taken for a column's name.
        ", line 1: an unknown column 'W1'; wanted one of "
        + ROW.replace(",", ", ")
        + ", line, load, method, fitter, date, sitting, sd_mm",
    ),
    "unknown column": (ROW + ",lod\n", ", line 1: an unknown column 'lod'; wanted load"),
    "missing column": (
        ROW.replace(",scale", "") + "\nW1,men,left,length,270\n",
        f", line 1: no column scale; wanted a header with {ROW.replace(',', ', ')}",
    ),
    "column twice": (ROW + ",foot\n", ", line 1: column 'foot' twice; wanted each column once"),
    "semicolons": (ROW.replace(",", ";") + "\n", ", line 1: semicolons between the columns; wanted commas"),
    "too few cells": (ROW + "\nW1,men,left,length,mm\n", ", line 2: 5 cells; wanted 6, as in the header"),
    "too many cells": (
        ROW + "\nW1,men,left,length,mm,27,1\n",
        ", line 2: 7 cells; wanted 6, as in the header",
    ),
    "unterminated quote": (
        ROW + '\nW1,men,left,length,mm,270\nW1,men,left,ball,mm,"200\nW1,men,left,heel,mm,60\n',
        ", line 3: a quotation mark that is never closed; wanted one reading a row",
    ),
    "unterminated quote far from the end": (
        ROW + '\nW1,men,left,ball,mm,"200\n' + "W1,men,left,heel,mm,60\n" * 9000,
        ", line 2: a very long cell; is a quote not closed?; wanted one reading a row",
    ),
    "text behind a quote": (
        ROW + '\nW1,men,left,length,mm,"270"5\n',
        ", line 2: not CSV: ',' expected after '\"'; wanted one reading a row",
    ),
    "negative": (
        ROW + "\nW1,men,left,length,mm,-270\n",
        ", line 2, column value: '-270'; wanted a length in mm, such as 271",
    ),
    "zero": (ROW + "\nW1,men,left,length,mm,0\n", ", line 2, column value: 0 mm; wanted 10 to 1000 mm"),
    "not a number": (
        ROW + "\nW1,men,left,length,mm,nan\n",
        ", line 2, column value: 'nan'; wanted a length in mm, such as 271",
    ),
    "no value": (
        ROW + "\nW1,men,left,length,mm,\n",
        ", line 2, column value: nothing; wanted what the gauge or tape said",
    ),
    "an sd that is none": (
        ROW + ",sd_mm\nW1,men,left,length,mm,270,much\n",
        ", line 2, column sd_mm: 'much'; wanted more than 0 and at most 100 mm",
    ),
    "two populations": (
        ROW + "\nW1,,left,length,mm,270\nW1,men,left,ball,mm,200\nW1,women,left,heel,mm,60\n",
        ", line 4, column population: women for 'W1', men above; wanted one population for one wearer",
    ),
    "a letter without a line or size": (
        ROW + "\nW1,men,left,breadth,gauge-men,C\nW1,men,right,length,gauge-men,10\n",
        (
            ", line 2, column line: letter C without a line or a size of the left foot;"
            ' wanted the line it was read at, such as "10 1/2"'
        ),
    ),
    "not UTF-8": (
        ROW.encode() + b"\nW\xe9,men,left,length,mm,270\n",
        NOT_UTF8.format(2, len(ROW) + 3),
    ),
    "a null byte": (ROW + "\nW\0,men,left,length,mm,270\n", ", line 2: a null byte; wanted plain text"),
    "a bell": (
        ROW + "\nW\x07,men,left,length,mm,270\n",
        ", line 2, column wearer: a control character in 'W\\x07'; wanted the wearer's code",
    ),
}

#: Likewise for a last.
LASTS: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", ": an empty file; wanted a file with something in it"),
    "a wearer's schema": (
        READING,
        ", schema: schema 'heelball/wearer/1'; wanted schema = \"heelball/last/1\"",
    ),
    "unknown field": (LAST + "sizes = 9\nsize = 9", ", size: an unknown field; wanted sizes"),
    "no maker": (
        LAST.replace('maker = "Northmoor"\n', "") + "sizes = 9",
        ", maker: nothing; wanted the maker's name",
    ),
    "unknown scale": (
        LAST.replace("us-men", "us-mens") + "sizes = 9",
        ", label_scale: 'us-mens'; wanted us-men",
    ),
    "no sizes": (LAST, ', sizes: nothing; wanted the offer, such as "6-12 by 1/2, 13"'),
    "an offer that goes backwards": (
        LAST + 'sizes = "10-8"',
        ", sizes: the offer goes backwards in '10-8'; wanted the smaller size first",
    ),
    "an offer that turns back": (
        LAST + 'sizes = "8-10, 9 1/2"',
        ", sizes: the offer goes backwards at '9 1/2'; wanted sizes rising above 10",
    ),
    "no such size": (
        LAST + 'sizes = "8, 9 1/4"',
        ", sizes: us-men has no 9 1/4; wanted a whole or half size",
    ),
    "infinite": (LAST + "sizes = inf", ', sizes: inf; wanted the offer, such as "6-12 by 1/2, 13"'),
    "no such width": (
        LAST + 'sizes = 9\nwidths = ["D", "Q"]',
        ", widths: 'Q'; wanted a width letter, one of AAAAA AAAA AAA AA A B C D E EE EEE EEEE EEEEE EEEEEE",
    ),
    "one width twice": (
        LAST + 'sizes = 9\nwidths = ["2E", "D", "EE"]',
        ", widths: '2E' and 'EE', one width; wanted each width once",
    ),
    "a width without brackets": (
        LAST + 'sizes = 9\nwidths = "D"',
        ', widths: \'D\'; wanted widths such as ["B", "D"], or a table of sizes for each',
    ),
    "a width's own sizes": (
        LAST + 'widths = { D = "9-8" }',
        ", widths, D: the offer goes backwards in '9-8'; wanted the smaller size first",
    ),
    "nothing in both": (
        LAST + 'sizes = 9\nwidths = { D = "10" }',
        ", widths: no size that `sizes` offers too; wanted widths in sizes that are offered",
    ),
    "a reference width that is none": (
        LAST + 'sizes = 9\nwidth_scale = "jis"\nreference_width = "AA"',
        ", reference_width: 'AA'; wanted a JIS width, one of A B C D E EE EEE EEEE F G",
    ),
    "a toe that is none": (
        LAST + 'sizes = 9\ntoe = "square"',
        ", toe: 'square'; wanted one of round, almond, pointed, hard-cap",
    ),
    "a heel of a metre": (LAST + "sizes = 9\nheel_mm = 1000", ", heel_mm: 1000; wanted 0 to 200 mm"),
    "advice without advice": (
        LAST + 'sizes = 9\n[advice]\nfrom = "ball"',
        ", [advice], order: neither order nor table; wanted one of them",
    ),
    "advice twice over": (
        LAST + 'sizes = 9\n[advice]\nfrom = "ball"\norder = 0\ntable = [["9", "9"]]',
        ", [advice], order: both order and table; wanted one of them",
    ),
    "a table that does not say of what": (
        LAST + 'sizes = 9\n[advice]\ntable = [["9", "9"]]',
        ", [advice], from: nothing; wanted one of ball, length",
    ),
    "a table against labels": (
        LAST + 'sizes = 9\n[advice]\nfrom = "label"\ntable = [["9", "9"]]',
        ", [advice], from: 'label'; wanted one of ball, length",
    ),
    "a table of one column": (
        LAST + 'sizes = 9\n[advice]\nfrom = "ball"\ntable = [["9"]]',
        (
            ", [advice], table, row 1: a list;"
            ' wanted pairs of a gauge reading and a label, such as [["10 1/2", "10"]]'
        ),
    ),
    "a table of no such size": (
        LAST + 'sizes = 9\n[advice]\nfrom = "ball"\ntable = [["9", "9"], [10, "10 1/4"]]',
        ", [advice], table, row 2: us-men has no 10 1/4; wanted a whole or half size",
    ),
    "a table that says two things": (
        LAST + 'sizes = 9\n[advice]\nfrom = "ball"\ntable = [[9, 9], ["9.0", "9 1/2"]]',
        ", [advice], table, row 2: reading '9.0' twice; wanted each gauge reading once",
    ),
    "labels of no scale": (
        LAST + 'sizes = 9\n[advice]\nfrom = "label"\norder = 0',
        ", [advice], scale: nothing; wanted the size scale the advice speaks in",
    ),
    "labels of a gauge": (
        LAST + 'sizes = 9\n[advice]\nfrom = "label"\norder = 0\nscale = "gauge-men"',
        ", [advice], scale: 'gauge-men'; wanted us-men",
    ),
    "a scale beside the ball": (
        LAST + 'sizes = 9\n[advice]\norder = 0\nscale = "uk"',
        ", [advice], scale: 'uk'; wanted a scale only with from = \"label\"",
    ),
    "an order of ten sizes": (
        LAST + "sizes = 9\n[[advice]]\norder = 0\n[[advice]]\norder = -10",
        ", advice 2, order: -10; wanted at most 5 sizes either way",
    ),
    "an order that is none": (
        LAST + 'sizes = 9\n[advice]\norder = "half down"',
        ", [advice], order: 'half down'; wanted a number such as 1, -0.5 or -1 1/2",
    ),
    "an infinite order": (
        LAST + "sizes = 9\n[advice]\norder = -inf",
        ", [advice], order: -inf; wanted sizes from the reading to the label, such as -0.5",
    ),
    "negative days": (
        LAST + "sizes = 9\n[terms]\nexchange_days = -1",
        ", [terms], exchange_days: -1; wanted 0 to 3650 days",
    ),
    "nothing measured": (
        LAST + "sizes = 9\n[[measured]]\nsize = 9",
        (
            ", measured 1, flex_line_mm: nothing measured;"
            " wanted flex_line_mm, inside_length_mm or ball_girth_mm"
        ),
    ),
    "a pair that is not offered": (
        LAST + 'sizes = 9\nwidths = ["D"]\n[[measured]]\nsize = 9\nwidth = "E"\nflex_line_mm = 200',
        ", measured 1, size: 9 E; wanted a label that the last is offered in",
    ),
    "a flex line in cm": (
        LAST + "sizes = 9\n[[measured]]\nsize = 9\nflex_line_mm = 20.5",
        ", measured 1, flex_line_mm: 20.5; wanted 50 to 400 mm",
    ),
    "too large": (
        LAST + "#" * TOML_LIMIT,
        f": {len(LAST) + TOML_LIMIT} bytes; wanted at most 1000000 bytes (1 MB)",
    ),
}


def put(file: Path, content: str | bytes) -> Path:
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return file


def of(files: dict[str, tuple[str | bytes, str]]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize(("content", "said"), files.values(), ids=files.keys())


@of(WEARERS)
def test_a_bad_wearer_file(tmp_path: Path, content: str | bytes, said: str) -> None:
    assert wearer_problems(put(tmp_path / "w12.toml", content)) == ["w12.toml" + said]


@of(CREWS)
def test_a_bad_csv(tmp_path: Path, content: str | bytes, said: str) -> None:
    found = wearer_problems(put(tmp_path / "crew.csv", content))
    assert found[0] == "crew.csv" + said
    assert len(found) == (7 if content == "W1,men,left,length,mm,270\n" else 1)


@of(LASTS)
def test_a_bad_last_file(tmp_path: Path, content: str | bytes, said: str) -> None:
    assert last_problems(put(tmp_path / "n7.toml", content)) == ["n7.toml" + said]


def test_a_csv_too_large_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write(tmp_path / "crew.csv", ROW)
    with file.open("r+b") as grown:
        grown.truncate(CSV_LIMIT + 1)
    assert wearer_problems(file) == ["crew.csv: 50000001 bytes; wanted at most 50000000 bytes (50 MB)"]


def test_what_tells_no_size_beforehand_is_read_no_further_than_the_limit(tmp_path: Path) -> None:
    (tmp_path / "endless.toml").symlink_to("/dev/zero")
    assert wearer_problems(tmp_path / "endless.toml") == [
        "endless.toml: 1000001 bytes; wanted at most 1000000 bytes (1 MB)"
    ]


@pytest.mark.parametrize("name", ["w12.toml", "crew.csv"])
def test_the_limit_itself_is_read(tmp_path: Path, name: str) -> None:
    text = READING + "#" if name == "w12.toml" else f"{ROW}\nW1,men,left,length,mm,270\n"
    limit = TOML_LIMIT if name == "w12.toml" else CSV_LIMIT
    filling = "x" if name == "w12.toml" else "\n"
    assert len(read_wearers([write(tmp_path / name, text + filling * (limit - len(text)))])) == 1


@pytest.mark.parametrize("name", ["folder.toml", "folder.csv", "folder"])
def test_a_directory_for_a_file(tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()
    wanted = "a file" if "." in name else "a .toml or .csv file"
    assert wearer_problems(tmp_path / name) == [f"{name}: a directory; wanted {wanted}"]


@pytest.mark.parametrize("name", ["nobody.toml", "nobody.csv"])
def test_a_file_that_is_not_there(tmp_path: Path, name: str) -> None:
    assert wearer_problems(tmp_path / name) == [f"{tmp_path / name}: no such file; wanted a file that exists"]


@pytest.mark.parametrize(
    ("name", "found"),
    [("w12.xlsx", "a file ending in .xlsx"), ("w12", "a file without an ending")],
)
def test_a_file_of_another_kind(tmp_path: Path, name: str, found: str) -> None:
    assert wearer_problems(write(tmp_path / name, READING)) == [
        f"{name}: {found}; wanted a .toml or .csv file"
    ]
    assert wearer_problems(tmp_path / "no" / name) == [f"{name}: no such file; wanted a .toml or .csv file"]


@pytest.mark.parametrize("ending", [".toml", ".csv", ""])
def test_a_name_that_no_file_can_have(tmp_path: Path, ending: str) -> None:
    (problem,) = wearer_problems(tmp_path / ("w" * 300 + ending))
    assert ": File name too long; wanted a" in problem


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_args: object, **_named: object) -> None:
        raise PermissionError(13, "Permission denied")

    file = write(tmp_path / "w12.toml", READING)
    monkeypatch.setattr(Path, "open", refuse)
    assert wearer_problems(file) == [f"{file}: Permission denied; wanted a file that can be read"]


def test_two_wearers_with_one_code(tmp_path: Path) -> None:
    files = [write(tmp_path / name, 'code = "W12"\n' + READING) for name in ("a.toml", "b.toml")]
    assert wearer_problems(*files) == ["b.toml, code: 'W12', also in a.toml; wanted a code of its own"]


def folder_problems(folder: Path) -> list[str]:
    with pytest.raises(InputError) as refused:
        read_lasts(folder)
    return refused.value.lines()


def test_no_lasts(tmp_path: Path) -> None:
    write(tmp_path / "notes.txt", "none yet")
    assert folder_problems(tmp_path) == [f"{tmp_path}: no lasts; wanted at least one last file (.toml)"]


@pytest.mark.parametrize(
    ("name", "found"), [("none", "no such folder"), ("n7.toml", "a file"), ("l" * 300, "File name too long")]
)
def test_a_folder_that_is_none(tmp_path: Path, name: str, found: str) -> None:
    write(tmp_path / "n7.toml", LAST)
    (problem,) = folder_problems(tmp_path / name)
    assert problem.startswith(f"{tmp_path / name}: {found}; wanted a folder")


def test_two_lasts_with_one_code(tmp_path: Path) -> None:
    for name in ("a.toml", "b.toml"):
        write(tmp_path / name, LAST + 'code = "N7"\nsizes = 9')
    assert folder_problems(tmp_path) == ["b.toml, code: 'N7', also in a.toml; wanted a code of its own"]


def test_a_directory_and_a_missing_file_for_a_last(tmp_path: Path) -> None:
    (tmp_path / "n7.toml").mkdir()
    assert folder_problems(tmp_path) == ["n7.toml: a directory; wanted a file"]
    with pytest.raises(InputError, match="no such file; wanted a file that exists"):
        read_last(tmp_path / "n8.toml")
