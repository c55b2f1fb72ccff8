"""What is known of two feet, and of the gauge, before anything is read (MODEL 1 and 2)."""

from __future__ import annotations

from functools import lru_cache
from typing import Final, Literal

import numpy as np

from heelball.foot.vector import MEASURES
from heelball.gaussian.normal import Array, Gaussian
from heelball.package_data import defaults, foot_moments

Sex = Literal["men", "women"]

#: The gauge's own offsets, in the order of the state vector.
OFFSETS: Final = ("ball", "length", "breadth")

#: State vector: left foot (5), right foot (5), the gauge's offsets (3).
FEET_SIZE: Final = 2 * len(MEASURES)
STATE_SIZE: Final = FEET_SIZE + len(OFFSETS)

#: Variance [mm²] that stands for "nothing is known", for children's feet: no moments are open.
VAGUE: Final = 1e6


@lru_cache(maxsize=2)
def feet_prior(population: Sex) -> Gaussian:
    """Return the prior of both feet and the gauge's offsets, 13 numbers [mm].

    Either foot has the survey's mean m and covariance S. Left and right differ by D, built of
    the left-right sds and the survey's correlations: Cov(left, right) = S - D/2.
    """
    survey = foot_moments()["populations"][population]
    cov = np.array(survey["cov"])
    sd = np.sqrt(np.diag(cov))
    apart = np.array([defaults()["foot"]["left_right_sd"][measure] for measure in MEASURES])
    difference = np.outer(apart, apart) * cov / np.outer(sd, sd)
    between = cov - difference / 2
    mean = np.array(survey["mean"])
    feet = Gaussian(np.concatenate([mean, mean]), np.block([[cov, between], [between, cov]]))
    return feet.joined(offset_prior())


def vague_prior() -> Gaussian:
    """Return the prior of a child's feet: nothing known, so that readings alone speak."""
    mean = np.zeros(FEET_SIZE)
    return Gaussian(mean, VAGUE * np.eye(FEET_SIZE)).joined(offset_prior())


def offset_prior() -> Gaussian:
    """Return the prior of the gauge's offsets c: what our formula says of a mark, less the truth."""
    sd: Array = np.array([defaults()["gauge"]["offset_sd"][measure] for measure in OFFSETS])
    return Gaussian(np.zeros(len(OFFSETS)), np.diag(sd**2))
