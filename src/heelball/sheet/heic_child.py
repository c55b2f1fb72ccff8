"""The child process that decodes a HEIC: its file comes in on stdin, grey or colour goes out on stdout.

It is started for one picture and may use little memory and time and write no file, so that a file
made to harm harms nothing that lasts.
"""

from __future__ import annotations

import io
import sys
from typing import Final

from heelball.sheet.heic import ANSWER, COLOUR
from heelball.sheet.unopened import MOST_PIXELS

_ADDRESS_SPACE_BYTES: Final = 700_000_000
_CPU_SECONDS: Final = 16
_MOST_EXIF: Final = 65_536
#: Rows that are handed on at a time.
_BAND: Final = 256


def limit() -> None:
    """Give up what the decoding does not need; systems without such limits have the parent's clock."""
    try:
        import resource
    except ModuleNotFoundError:
        return
    for which, most in (
        (resource.RLIMIT_AS, _ADDRESS_SPACE_BYTES),
        (resource.RLIMIT_CPU, _CPU_SECONDS),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(which, (most, most))


def close_files() -> None:
    """Let no further file be opened: everything needed is loaded."""
    try:
        import resource
    except ModuleNotFoundError:
        return
    resource.setrlimit(resource.RLIMIT_NOFILE, (3, 3))


def main() -> int:
    """Decode what comes in; say nothing where it cannot be done."""
    content = sys.stdin.buffer.read()
    limit()
    from PIL import Image
    from pillow_heif import HeifImageFile, options

    options.DECODE_THREADS = 1
    options.THUMBNAILS = False
    options.DEPTH_IMAGES = False
    options.AUX_IMAGES = False
    close_files()
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    with HeifImageFile(io.BytesIO(content)) as picture:  # type: ignore[no-untyped-call]
        if picture.width * picture.height > MOST_PIXELS:
            return 1
        exif = (picture.info.get("exif") or b"").removeprefix(b"Exif\0\0")[:_MOST_EXIF]
        picture.load()  # type: ignore[no-untyped-call]
        out = sys.stdout.buffer
        out.write(ANSWER.pack(sys.argv[1].encode(), picture.width, picture.height, len(exif)))
        out.write(exif)
        # In bands, so that the picture is never held twice.
        for top in range(0, picture.height, _BAND):
            band = picture.crop((0, top, picture.width, min(top + _BAND, picture.height)))
            if sys.argv[1] == COLOUR:
                out.write(band.convert("RGB").tobytes("raw", "BGR"))
            else:
                out.write(band.convert("L").tobytes())
    out.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
