"""A size guide as one page of HTML that needs nothing beside it: phone and desk, day and night, paper."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from heelball.show.size_guide_words import GuideWords
from heelball.show.svg import escape

_STYLE: Final = """
:root{--paper:#fbf8f1;--ink:#24211c;--thin:#756e61;--line:#d9d2c3;--accent:#1f4f7d;color-scheme:light dark}
@media screen and (prefers-color-scheme:dark){
:root{--paper:#1c1a17;--ink:#ece5d8;--thin:#a39a8a;--line:#423d35;--accent:#8fbce6}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:60rem;padding:1.25rem;background:var(--paper);color:var(--ink);
font:1rem/1.5 Charter,'Bitstream Charter',Cambria,'Noto Serif','Liberation Serif',serif}
h1{font-size:1.5rem;line-height:1.25;margin:.5rem 0 1rem}
h2{font-size:1.1rem;margin:1.75rem 0 .5rem;border-bottom:1px solid var(--line)}
.known,.doubt,footer{color:var(--thin)}
.example{border-left:3px solid var(--accent);padding:.25rem 0 .25rem .75rem}
.wide{overflow-x:auto;border:1px solid var(--line)}
.wide:focus-visible{outline:2px solid var(--accent)}
table{border-collapse:collapse;font-variant-numeric:lining-nums tabular-nums;width:100%}
th,td{padding:.35rem .6rem;border-bottom:1px solid var(--line);text-align:left;white-space:nowrap}
td{line-height:1.25}
thead th{border-bottom:2px solid var(--line)}
tbody th,thead th:first-child{position:sticky;left:0;background:var(--paper);color:var(--accent)}
td.none{color:var(--thin)}
td span{display:block;color:var(--thin);font-size:.85em}
svg{max-width:100%;height:auto;display:block}
@media print{body{max-width:none;padding:0;font-size:9.5pt}.wide{overflow:visible;border:0}
th,td{padding:.15rem .35rem}
h2{break-after:avoid}tr{break-inside:avoid}}
"""


def guide_page(words: GuideWords, drawing: str) -> str:
    """Return the page.

    Parameters
    ----------
    words
        The guide in words.
    drawing
        How the last runs, an ``svg`` element.
    """
    head = "".join(f'<th scope="col">{escape(one)}</th>' for one in words.head)
    rows = "\n".join(_row(row) for row in words.rows)
    example = f'<p class="example">{escape(words.example)}</p>' if words.example else ""
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(words.title)}</title>
<style>{_STYLE}</style>
</head>
<body>
<main>
<h1>{escape(words.title)}</h1>
<p>{escape(words.intro)}</p>
{example}
<h2>How to use it</h2>
<ol>{_items(words.how)}</ol>
<h2>The table</h2>
<div class="wide" tabindex="0" role="region" aria-label="The table">
<table>
<thead><tr>{head}</tr></thead>
<tbody>
{rows}
</tbody>
</table>
</div>
<p class="doubt">{escape(words.doubt)}</p>
<h2>Be measured in person</h2>
<ul>{_items(words.who)}</ul>
<h2>How this last runs</h2>
{drawing}
<ul>{_items(words.runs)}</ul>
<p class="known">{escape(words.known)}</p>
<h2>What this guide cannot know</h2>
<ul>{_items(words.cannot)}</ul>
</main>
</body>
</html>
"""


def _items(texts: Iterable[str]) -> str:
    return "".join(f"<li>{escape(one)}</li>" for one in texts)


def _row(row: tuple[str, ...]) -> str:
    first, *cells, lengths = row
    told = "".join(_cell(cell) for cell in cells)
    return f'<tr><th scope="row">{escape(first)}</th>{told}<td>{escape(lengths)}</td></tr>'


def _cell(cell: str) -> str:
    if cell == "–":
        return '<td class="none">–</td>'
    order, _, other = cell.partition(" or ")
    second = f"<span>or {escape(other)}</span>" if other else ""
    return f"<td>{escape(order)}{second}</td>"
