"""Lengths to be compared, counted in whole parts of a mm, a power of two.

Libraries and processors work out a distance to within its last digits. Counted, the same length is the same number
everywhere, and sums are exact in any order: of ways that are as long as each other the same one is taken always.
"""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats

_PARTS = 2.0**20


def counted(length: float) -> float:
    """mm, to the nearest part.

    >>> counted(0.1 + 0.2) == counted(0.3)
    True
    """
    return round(length * _PARTS) / _PARTS


def all_counted(lengths: Floats) -> Floats:
    """The same of any number of lengths; what is endless stays so."""
    return np.asarray(np.rint(lengths * _PARTS) / _PARTS)
