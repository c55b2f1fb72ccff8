"""One tree of errors: each has a sentence, a remedy and the exit code of the command it ends."""

from __future__ import annotations

from collections.abc import Iterable

from attrs import frozen


class HeelballError(Exception):
    """Base of every error a person may meet.

    Parameters
    ----------
    message
        One sentence: what was found and where.
    remedy
        One sentence: what to do about it; may be empty.
    """

    exit_code = 70

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy

    def lines(self) -> list[str]:
        """Return what is printed, one line for each problem."""
        return [f"{self.message} {self.remedy}".strip()]


@frozen
class Problem:
    """One thing wrong with an input: where it stands, what was found, what was wanted."""

    place: str
    found: str
    wanted: str

    def __str__(self) -> str:
        return f"{self.place}: {self.found}; wanted {self.wanted}"


class InputError(HeelballError):
    """The input was wrong; every problem found in it is named, and nothing was written."""

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    @classmethod
    def at(cls, place: str, found: str, wanted: str) -> InputError:
        """Return the error for a single problem."""
        return cls([Problem(place, found, wanted)])

    def lines(self) -> list[str]:
        """Return one line for each problem."""
        return [str(problem) for problem in self.problems]


class UsageError(HeelballError):
    """A command was called with words that do not go together."""

    exit_code = 2


class MissingExtra(HeelballError):
    """An optional part of Heelball is not installed."""

    exit_code = 3

    def __init__(self, part: str, extra: str) -> None:
        self.made_of = (part, extra)
        super().__init__(f"{part} is not installed.", f"Install it with: pip install 'heelball[{extra}]'")


class RecordsError(HeelballError):
    """The records cannot be opened, read, written or trusted."""

    exit_code = 4


class PhotographError(HeelballError):
    """A photograph cannot be read, or not trusted."""

    exit_code = 5


class InternalFault(HeelballError):
    """Something Heelball promised does not hold: our own fault, never the person's."""

    exit_code = 70


class UnreadableText(HeelballError):
    """A piece of text is not what it should be; whoever knows its place turns it into a Problem."""

    exit_code = 2

    def __init__(self, found: str, wanted: str) -> None:
        self.found = found
        self.wanted = wanted
        super().__init__(f"{found}; wanted {wanted}")

    def at(self, place: str) -> Problem:
        """Return the problem this is at `place`."""
        return Problem(place, self.found, self.wanted)
