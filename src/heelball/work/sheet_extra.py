"""Whether what reads photographs is installed: an extra that pages and commands do without."""

from __future__ import annotations

from importlib.util import find_spec

from heelball.errors import MissingExtra


def need_reader() -> None:
    """Refuse to go on without the extra that photographs are read with.

    Raises
    ------
    MissingExtra
        Where OpenCV or Pillow is not installed.
    """
    for module, part in (("cv2", "OpenCV"), ("PIL", "Pillow")):
        if find_spec(module) is None:
            raise MissingExtra(part, "sheet")
