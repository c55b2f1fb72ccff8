"""Names and codes found in free text, whatever their case, accents and spacing, and taken out of it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterator, Mapping
from typing import Any, Final

from attrs import frozen

from heelball.records.found import folded

#: What stands where a name or code stood.
ERASED: Final = "[erased]"

#: A name's last word of so many letters is found with an ending on it too: a genitive, a plural.
_WITH_ENDING: Final = 5
#: A single word of a name is worth a look from so many letters on.
_WORTH_A_LOOK: Final = 4
#: Thai, Lao, Khmer, Burmese, Chinese, Japanese.
_UNSPACED: Final = re.compile("[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u3040-\u30ff\u3400-\u9fff]")


@frozen
class _Word:
    folded: str
    start: int
    end: int


class Called:
    """What somebody is or was called: names and codes.

    Parameters
    ----------
    names, codes
        All of them, as written.
    """

    def __init__(self, names: Collection[str], codes: Collection[str]) -> None:
        whole = {tuple(folded(name).split()) for name in names}
        coded = {tuple(folded(code).split()) for code in codes}
        # A code like 10 or EE is a size or a width wherever else it stands.
        plain = {words for words in coded if _is_plain(words)}
        # The longest first: of "Ann Lee" and "Ann", the whole name goes.
        self._sought = sorted((whole | coded) - plain - {()}, key=len, reverse=True)
        self._coded = coded
        # Where a script puts no spaces between words, a name is found within them.
        self._unspaced = [name for name in {*names, *codes} if len(name) > 1 and _UNSPACED.search(name)]
        parts = {word for words in whole for word in words if len(word) >= _WORTH_A_LOOK}
        self._doubtful = plain | {(word,) for word in parts}

    def out_of(self, text: str) -> str:
        """Return a text with every name and code in it reworded."""
        kept, upto = [], 0
        for start, end in self._spans(text):
            kept += [text[upto:start], ERASED]
            upto = end
        text = "".join([*kept, text[upto:]])
        for name in self._unspaced:
            text = text.replace(name, ERASED)
        return text

    def doubtful_in(self, text: str) -> list[str]:
        """Return words of a text that may mean this person and may not."""
        words = _words(text)
        return [
            text[words[i].start : words[i + len(sought) - 1].end]
            for i in range(len(words))
            for sought in self._doubtful
            if tuple(word.folded for word in words[i : i + len(sought)]) == sought
        ]

    def _spans(self, text: str) -> Iterator[tuple[int, int]]:
        words = _words(text)
        i = 0
        while i < len(words):
            length = next((len(sought) for sought in self._sought if self._stands_at(words, i, sought)), 0)
            if length:
                yield words[i].start, words[i + length - 1].end
            i += length or 1

    def _stands_at(self, words: list[_Word], at: int, sought: tuple[str, ...]) -> bool:
        found = tuple(word.folded for word in words[at : at + len(sought)])
        if found == sought:
            return True
        # W1234 with an ending is another's code.
        last = sought[-1]
        return (
            sought not in self._coded
            and len(last) >= _WITH_ENDING
            and found[:-1] == sought[:-1]
            and len(found) == len(sought)
            and found[-1].startswith(last)
        )


def _is_plain(words: tuple[str, ...]) -> bool:
    joined = "".join(words)
    return joined.isdecimal() or len(set(joined)) <= 1


def _words(text: str) -> list[_Word]:
    """Return the words of a text, folded, and where each stands in it."""
    words: list[_Word] = []
    begun: int | None = None
    for i, sign in enumerate(text + " "):
        inside = sign.isalnum() or (begun is not None and unicodedata.combining(sign))
        if inside and begun is None:
            begun = i
        elif not inside and begun is not None:
            # A sign may fold into several words (a fraction does): they stand in one place.
            words += [_Word(word, begun, i) for word in folded(text[begun:i]).split()]
            begun = None
    return words


def reworded(value: Any, called: Called, keys: frozenset[str], *, inside: bool = False) -> Any:
    """Return a value out of JSON with the free texts in it reworded.

    Parameters
    ----------
    value, called
        What is kept, and whose name and code go.
    keys
        Fields that hold free text; what stands elsewhere (codes, names of makers) is left alone.
    inside
        Whether the value itself stands in such a field.
    """
    if isinstance(value, str):
        return called.out_of(value) if inside else value
    if isinstance(value, Mapping):
        return {
            name: reworded(one, called, keys, inside=inside or name in keys) for name, one in value.items()
        }
    if isinstance(value, list):
        return [reworded(one, called, keys, inside=inside) for one in value]
    return value
