"""Style, script and the drawings' look: read once, named by their content, kept by browsers for good."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Final

from attrs import frozen
from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import Response

from heelball.show.drawing_style import STYLE

_TYPES: Final = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
#: The look of the drawings that stand in a page, where no style may stand inline.
DRAWING: Final = "drawing.css"


@frozen
class StaticFile:
    """A file as sent: its bytes, type, and a mark that changes with its content."""

    content: bytes
    media_type: str
    mark: str


class StaticFiles:
    """The files of a folder, by name."""

    def __init__(self, folder: Path, further: dict[str, str]) -> None:
        contents = {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix in _TYPES}
        contents |= {name: text.encode() for name, text in further.items()}
        self._files = {
            name: StaticFile(content, _TYPES[Path(name).suffix], hashlib.sha256(content).hexdigest()[:16])
            for name, content in contents.items()
        }

    def address(self, name: str) -> str:
        """Return the address of a file; another one as soon as its content is another."""
        return f"/static/{self._files[name].mark}/{name}"

    def find(self, mark: str, name: str) -> StaticFile | None:
        """Return the file of this name if it has this mark."""
        file = self._files.get(name)
        return file if file is not None and file.mark == mark else None


FILES: Final = StaticFiles(Path(__file__).parent / "static", {DRAWING: STYLE})

router: Final = APIRouter()


@router.get("/static/{mark}/{name}", name="static")
async def send_static(mark: str, name: str) -> Response:
    """Send a file that a browser may keep for good."""
    file = FILES.find(mark, name)
    if file is None:
        raise HTTPException(404)
    return Response(
        file.content,
        media_type=file.media_type,
        headers={"Cache-Control": "public, max-age=31536000, immutable"},
    )
