"""What a use case hands to the commands: lines to print, and whether they ask for care."""

from __future__ import annotations

from attrs import frozen

from heelball.show.page import Line


@frozen
class Told:
    """What is printed of one wearer or last.

    Parameters
    ----------
    lines
        To standard output.
    needs_care
        Whether nothing serves, or someone else must look first: the command then ends with 1.
    """

    lines: tuple[Line, ...]
    needs_care: bool
