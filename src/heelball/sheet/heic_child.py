"""The child process that decodes a HEIC: its file comes in on stdin, grey goes out on stdout.

It is started for one picture and may use little memory and time and write no file, so that a file
made to harm harms nothing that lasts.
"""

from __future__ import annotations

import io
import sys
from typing import Final

from heelball.sheet.heic import ANSWER, ANSWER_BEGINS
from heelball.sheet.unopened import MOST_PIXELS

_ADDRESS_SPACE_BYTES: Final = 700_000_000
_CPU_SECONDS: Final = 16
_MOST_EXIF: Final = 65_536


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
        exif = picture.info.get("exif") or b""
        grey = picture.convert("L")
    exif = exif.removeprefix(b"Exif\0\0")[:_MOST_EXIF]
    out = sys.stdout.buffer
    out.write(ANSWER.pack(ANSWER_BEGINS, grey.width, grey.height, len(exif)))
    out.write(exif)
    out.write(grey.tobytes())
    out.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
