"""How long a photograph of a sheet takes, bytes in and readings out, beside what OpenCV alone takes.

Ten pictures of 12 megapixels, five on plain floors and five on patterned ones. The reference, in the
same run: `cv2.imdecode` to grey, and `ArucoDetector` with corners refined on the full picture.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import cv2
import numpy as np

from benchmarks.command import heelball, peak_mb
from benchmarks.stopwatch import alternating_seconds, milliseconds, report
from heelball.sheet.reading import read_photograph
from heelball.sheet.values import Circumstances

_RUNS = 5
_THREADS = 2


def main() -> None:
    """Time every picture, and print a line for each and one for all."""
    with tempfile.TemporaryDirectory() as name:
        # In a process of its own: what it takes to make pictures is not counted as reading them.
        subprocess.run([sys.executable, "-m", "benchmarks.sheet_pictures", name], check=True)
        files = sorted(Path(name).glob("*.jpg"))
        peak = max(peak_mb([heelball(), "sheet", "read", str(file), "--tool", "pencil"]) for file in files)
        photographs = [(file.stem, file.read_bytes()) for file in files]
    ratios = [_timed(floor, content) for floor, content in photographs]
    report(
        "sheet: all",
        "median of the ten pictures' ratios; the greatest memory of `heelball sheet read` on any of them",
        target_ratio=1.0,
        ratio=round(statistics.median(ratios), 2),
        target_mb=400,
        peak_mb=peak,
    )


def _timed(name: str, content: bytes) -> float:
    """Return how long one picture's reading takes over OpenCV alone, and print its line."""
    cv2.setNumThreads(_THREADS)
    told = Circumstances(tool="pencil")
    reading, alone = alternating_seconds(
        lambda: read_photograph(content, name, told), lambda: _opencv_alone(content), _RUNS
    )
    report(
        f"sheet: {name}",
        f"a JPEG of 12 megapixels, bytes in, reading out, {_THREADS} threads, median of {_RUNS} in turns",
        median_ms=milliseconds(reading),
        target_ratio=1.3,
        reference="cv2.imdecode grey + ArucoDetector, SUBPIX, full picture",
        reference_ms=milliseconds(alone),
        ratio=round(reading / alone, 2),
    )
    return reading / alone


def _opencv_alone(content: bytes) -> None:
    grey = np.asarray(cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_GRAYSCALE))
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    cv2.aruco.ArucoDetector(dictionary, settings).detectMarkers(grey)


if __name__ == "__main__":
    main()
