"""Unknowns from readings that depend on them linearly, with their covariance.

The law of propagation of uncertainty, JCGM 100:2008 (GUM) 5.1 and 5.2, for the weighted least-squares estimate; its
coverage factor for 95 % is that of the normal distribution (GUM table G.1: 1.96), since the calliper's uncertainty is
given and not estimated from the readings.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats

COVERAGE = 1.96


class Estimate(NamedTuple):
    """A number and how sure it is.

    value : the best estimate
    uncertainty : standard uncertainty, of the same unit
    """

    value: float
    uncertainty: float

    @property
    def half_range(self) -> float:
        """Half the interval that holds the true value in 95 of 100 cases: 1.96 standard uncertainties."""
        return COVERAGE * self.uncertainty


class Solution(NamedTuple):
    """Unknowns (n,), their covariance (n, n), and of each reading (m,) by how many of its standard deviations it is off
    what all of them together say; 0 for one that nothing else checks."""

    values: Floats
    covariance: Floats
    off: Floats
    chi_square: float


def solve(matrix: Floats, readings: Floats, sigma: float) -> Solution:
    """Least squares.

    matrix : (m, n), of full rank, by how much each reading changes with each unknown
    readings : (m,) less what they are where every unknown is 0
    sigma : standard uncertainty of each reading
    """
    # Columns are of one size first: shares of a length and mm differ by hundreds.
    size = np.linalg.norm(matrix, axis=0)
    u, s, vt = np.linalg.svd(matrix / size, full_matrices=False)
    inverse = (vt.T / s) / size[:, None]
    values = inverse @ (u.T @ readings)
    rest = readings - matrix @ values
    free = np.clip(1.0 - (u**2).sum(axis=1), 0.0, None)
    checked = free > 1e-9
    off = np.where(checked, rest / (sigma * np.sqrt(np.where(checked, free, 1.0))), 0.0)
    return Solution(values, sigma**2 * inverse @ inverse.T, off, float((rest**2).sum() / sigma**2))


def undetermined(matrix: Floats) -> list[int]:
    """The columns whose unknowns the readings do not tell from each other."""
    scaled = matrix / np.linalg.norm(matrix, axis=0)
    _, s, vt = np.linalg.svd(scaled)
    # 1e-6 of the largest: an unknown known a million times worse than another is not known.
    nothing = vt[int((s > 1e-6 * s[0]).sum()) :]
    return [int(n) for n in np.flatnonzero(np.abs(nothing).max(axis=0, initial=0.0) > 1e-6)]


def largest_chi_square(degrees: int) -> float:
    """What readings that agree exceed once in a million times (Wilson and Hilferty's approximation, 1931)."""
    part = 2.0 / (9.0 * degrees)
    return float(degrees * (1.0 - part + 4.753 * part**0.5) ** 3)
