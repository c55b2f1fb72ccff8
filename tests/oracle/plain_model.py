"""MODEL 1 to 4 once more, written plainly from its page: one explicit joint matrix, and one simulation.

Nothing of the package's own matrices is used: every number below stands in MODEL.md, but for the
survey's moments and the foot length of a size.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heelball.package_data import foot_moments

#: Order of a foot's numbers.
LENGTH, BALL, BREADTH, GIRTH, HEEL = range(5)
APART = np.array([3.2, 2.5, 2.0, 4.0, 2.0])
SIZE = 25.4 / 3
#: One size in each place: ball, toe, breadth, girth, heel.
G = np.array([6.27, 8.467, 3.175, 6.35, 1.59])
Q_SD = np.array([2.5, 2.5, 2.5, 5.0, 2.5])
GRADE_SD = np.array([0.3, 0.4, 0.2, 0.5, 0.1])
LETTER_SD = {2: 0.8, 3: 1.5}
#: Which number of the foot each place is held against.
AT = [BALL, LENGTH, BREADTH, GIRTH, HEEL]
#: The gauge's offset at each measure.
C_SD = {BALL: 3.0, LENGTH: 1.0, BREADTH: 1.0}
T_SD = {BALL: 1.5, LENGTH: 0.7, BREADTH: 0.7}


class Joint:
    """Named numbers, each a linear combination of independent standard normals."""

    def __init__(self) -> None:
        self.rows: dict[str, dict[str, float]] = {}
        self.means: dict[str, float] = {}
        self.sources: list[str] = []

    def new(self, name: str, sd: float) -> None:
        """Add an independent number of mean nought."""
        self.sources.append(name)
        self.rows[name], self.means[name] = {name: sd}, 0.0

    def define(self, name: str, constant: float, *terms: tuple[float, str]) -> None:
        """Define a number as a constant and multiples of others."""
        row: dict[str, float] = {}
        for times, other in terms:
            constant += times * self.means[other]
            for source, value in self.rows[other].items():
                row[source] = row.get(source, 0.0) + times * value
        self.rows[name], self.means[name] = row, constant

    def matrix(self, names: Sequence[str]) -> np.ndarray:
        return np.array([[self.rows[name].get(source, 0.0) for source in self.sources] for name in names])

    def given(self, wanted: Sequence[str], seen: dict[str, float]) -> tuple[np.ndarray, np.ndarray]:
        """Return mean and covariance of some numbers given others."""
        a, b = self.matrix(wanted), self.matrix(list(seen))
        miss = np.array(list(seen.values())) - np.array([self.means[name] for name in seen])
        gain = a @ b.T @ np.linalg.pinv(b @ b.T)
        mean = np.array([self.means[name] for name in wanted]) + gain @ miss
        return mean, a @ a.T - gain @ b @ a.T

    def simulate(self, generator: np.random.Generator, names: Sequence[str], count: int) -> np.ndarray:
        """Draw some numbers together, shape (count, names)."""
        draws = generator.standard_normal((count, len(self.sources)))
        worlds: np.ndarray = np.array([self.means[name] for name in names]) + draws @ self.matrix(names).T
        return worlds


def feet(joint: Joint, sex: str) -> None:
    """Add both feet, ``foot0.0`` to ``foot1.4``, and the gauge's offsets ``c0`` to ``c2``."""
    survey = foot_moments()["populations"][sex]
    cov, mean = np.array(survey["cov"]), np.array(survey["mean"])
    sd = np.sqrt(np.diag(cov))
    difference = np.outer(APART, APART) * cov / np.outer(sd, sd)
    # A common part of covariance S - D/2, and each foot's own of covariance D/2.
    for i in range(5):
        joint.new(f"common{i}", 1.0)
        for foot in range(2):
            joint.new(f"own{foot}{i}", 1.0)
    common, own = np.linalg.cholesky(cov - difference / 2), np.linalg.cholesky(difference / 2)
    for foot in range(2):
        for i in range(5):
            terms = [(common[i, j], f"common{j}") for j in range(5)] + [
                (own[i, j], f"own{foot}{j}") for j in range(5)
            ]
            joint.define(f"foot{foot}.{i}", mean[i], *terms)
    for i in range(3):
        joint.new(f"c{i}", C_SD[i])
        joint.new(f"t{i}", T_SD[i])


def gauge_reading(joint: Joint, name: str, foot: int, what: int, step: float) -> None:
    """Add a reading of the gauge: y = x + c + t + noise, rounded."""
    joint.new(f"noise {name}", (1.5**2 + step**2 / 12) ** 0.5)
    joint.define(name, 0.0, (1, f"foot{foot}.{what}"), (1, f"c{what}"), (1, f"t{what}"), (1, f"noise {name}"))


def other_reading(
    joint: Joint, name: str, foot: int, what: int, method: str, noise: float, step: float
) -> None:
    """Add a reading of another method: y = x + bias + noise, rounded."""
    bias = f"bias {method} {what}"
    if bias not in joint.rows:
        joint.new(bias, 1.0)
    joint.new(f"noise {name}", (noise**2 + step**2 / 12) ** 0.5)
    joint.define(name, 0.0, (1, f"foot{foot}.{what}"), (1, bias), (1, f"noise {name}"))


def run(joint: Joint, *, grades: bool) -> None:
    """Add a last's run: s, q, and the grade errors where evidence names a label."""
    joint.new("s", 0.6)
    for place in range(5):
        joint.new(f"q{place}", Q_SD[place])
        joint.new(f"grade{place}", GRADE_SD[place] if grades else 0.0)
    for place, sd in LETTER_SD.items():
        joint.new(f"letter{place}", sd if grades else 0.0)


def true_run(joint: Joint, name: str, place: int, sizes_off: float, n: float, *, in_frame: bool) -> None:
    """Define a last's true run in one place at a label."""
    terms = [(G[place], "s"), (1.0, f"q{place}"), (sizes_off, f"grade{place}")]
    if place in LETTER_SD:
        terms.append((n, f"letter{place}"))
    if in_frame and AT[place] in C_SD:
        terms.append((-1.0, f"c{AT[place]}"))
    joint.define(name, 0.0, *terms)


def built_for(length: float, n: float, sex: str) -> np.ndarray:
    """Return flex line, inside length, breadth, girth and heel of a label without any run."""
    survey = foot_moments()["populations"][sex]["mean"]
    men_size = length / SIZE - 22
    return np.array(
        [
            {"men": 0.741, "women": 0.739}[sex] * length,
            length + 16.9,
            69.85 + 3.175 * men_size + 4.7625 * n,
            survey[GIRTH] + 0.75 * (length - survey[LENGTH]) + 6.35 * n,
            survey[HEEL] + 0.1875 * (length - survey[LENGTH]) + 0.8 * n,
        ]
    )


def margins(joint: Joint, built: np.ndarray, toe_taken: float, toe_sd: float) -> list[str]:
    """Define the ten margins of a label whose true runs are ``run0`` to ``run4``; return their names."""
    joint.new("toe shape", toe_sd)
    names = []
    for foot in range(2):
        for place in range(5):
            name = f"margin{foot}{place}"
            terms = [(1.0, f"run{place}"), (-1.0, f"foot{foot}.{AT[place]}")]
            constant = built[place]
            if place == 1:
                constant -= toe_taken
                terms.append((-1.0, "toe shape"))
            joint.define(name, constant, *terms)
            names.append(name)
    return names
