"""How long a photograph of a sheet takes, bytes in and readings out, beside what OpenCV alone takes.

Ten pictures of 12 megapixels, five on plain floors and five on patterned ones. The reference, in the
same run: `cv2.imdecode` to grey, and `ArucoDetector` with corners refined on the full picture.
"""

from __future__ import annotations

import resource
import statistics

import cv2
import numpy as np

from benchmarks.sheet_pictures import pictures
from benchmarks.stopwatch import median_seconds, milliseconds, report
from heelball.sheet.reading import read_photograph
from heelball.sheet.values import Circumstances

_RUNS = 5
_THREADS = 2


def main() -> None:
    """Time every picture, and print a line for each and one for all."""
    cv2.setNumThreads(_THREADS)
    told = Circumstances(tool="pencil")
    ratios = []
    for number, (floor, content) in enumerate(pictures()):
        reading = median_seconds(lambda: read_photograph(content, floor, told), _RUNS)  # noqa: B023
        alone = median_seconds(lambda: _opencv_alone(content), _RUNS)  # noqa: B023
        ratios.append(reading / alone)
        report(
            f"sheet: picture {number + 1}",
            f"a JPEG of 12 megapixels, floor of {floor}, bytes in, reading out, {_THREADS} threads, "
            f"median of {_RUNS}",
            median_ms=milliseconds(reading),
            target_ratio=1.3,
            reference="cv2.imdecode grey + ArucoDetector, SUBPIX, full picture",
            reference_ms=milliseconds(alone),
            ratio=round(reading / alone, 2),
        )
    report(
        "sheet: all",
        "median of the ten pictures' ratios, and this process's greatest memory, pictures made in it too",
        target_ratio=1.0,
        ratio=round(statistics.median(ratios), 2),
        peak_mb=round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
    )


def _opencv_alone(content: bytes) -> None:
    grey = np.asarray(cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_GRAYSCALE))
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    cv2.aruco.ArucoDetector(dictionary, settings).detectMarkers(grey)


if __name__ == "__main__":
    main()
