"""What the records refuse, as errors that a caller may want to answer one by one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelball.errors import RecordsError


class NotFound(RecordsError):
    """Nothing of that name is kept.

    Parameters
    ----------
    what
        The thing looked for, as the subject of a sentence: ``"This wearer"``.
    """

    def __init__(self, what: str) -> None:
        self.what = what
        super().__init__(
            f"{what} is not in the records.", "It may have been removed since; go back and look again."
        )


class Conflict(RecordsError):
    """Another fitter wrote meanwhile: nothing was written, and the second chooses.

    Parameters
    ----------
    theirs
        The value as it is kept now.
    seen
        What the second fitter had seen of it: its version, or the highest number of a reading.
    changes
        What the second fitter wanted.
    """

    def __init__(self, theirs: Any, seen: int, changes: Mapping[str, Any]) -> None:
        self.theirs = theirs
        self.seen = seen
        self.changes = changes
        super().__init__(
            "Someone else changed this meanwhile; nothing was written.",
            "Look at both and choose which to keep.",
        )


class AlreadyUndone(RecordsError):
    """A change was undone before."""

    def __init__(self) -> None:
        super().__init__("This change was undone already.", "Look at the history for what stands now.")


class StillNeeded(RecordsError):
    """Something cannot be removed or put back while other things in the records stand as they do."""

    def __init__(
        self,
        message: str = "Other things in the records name this one, so it stays.",
        remedy: str = "Remove or change those first.",
    ) -> None:
        super().__init__(message, remedy)


class DiskFull(RecordsError):
    """There is no room left where the records are kept; nothing was written, nothing is lost."""

    def __init__(self, place: str) -> None:
        super().__init__(
            f"There is no room left for the records ({place}); this was not written, all before it is kept.",
            "Make room there, then do it again.",
        )
