"""A sentence for every reason the core gives, as a bench ledger would say it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from heelball.errors import InternalFault
from heelball.fit.answers import Reason
from heelball.last.values import Label, Last
from heelball.show.care_words import CARE_WORDS
from heelball.show.labels import label_text
from heelball.show.reason_words import REASON_WORDS
from heelball.show.trade_words import TRADE_WORDS, Words

#: Words for every kind of reason there is.
WORDS: Final[dict[str, Words]] = {**CARE_WORDS, **REASON_WORDS, **TRADE_WORDS}


def sentence(reason: Reason, last: Last | None = None) -> str:
    """Return a reason in words.

    Parameters
    ----------
    reason
        What is to be said.
    last
        The last it speaks of, for its labels.

    Raises
    ------
    InternalFault
        Where there are no words for that kind of reason, or a fact they need is missing.

    Examples
    --------
    >>> sentence(Reason("trade-no-breadth"))
    'No breadth was read: the average letter is taken.'
    """
    facts = {name: _said(fact, last) for name, fact in reason.facts.items()}
    try:
        words = WORDS[reason.kind]
        return words.format_map(facts) if isinstance(words, str) else words(facts)
    except KeyError as missing:
        raise InternalFault(f"No words for the reason {reason.kind!r}: {missing} is missing.") from None


def _said(fact: Any, last: Last | None) -> Any:
    """Return a fact with labels as they are stamped."""
    if not isinstance(fact, Label):
        return fact
    if last is None:
        raise InternalFault("A label can be written only on its last's scale.")
    return label_text(fact, last)


def sentences(reasons: Iterable[Reason], last: Last | None = None) -> list[str]:
    """Return reasons in words, each once."""
    return list(dict.fromkeys(sentence(reason, last) for reason in reasons))
