"""What numpy finds of numbers only when it has loaded numpy.ma: of a small job a tenth of its judgement."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Kind = TypeVar("Kind", bound=np.generic)


def distinct(numbers: NDArray[Kind]) -> NDArray[Kind]:
    """(k,) each of some numbers of any shape once, rising.

    As np.unique().

    >>> distinct(np.array([3, 1, 3]))
    array([1, 3])
    """
    rising = np.sort(numbers, axis=None)
    first = np.ones(len(rising), bool)
    first[1:] = rising[1:] != rising[:-1]
    return rising[first]


def quantile(numbers: NDArray[np.float64], share: float) -> float:
    """Below which so great a share of some numbers lies, one at least; between two of them in proportion.

    As np.quantile(), to the last digit.

    >>> quantile(np.array([4.0, 1.0, 2.0]), 0.75)
    3.0
    """
    rising, at = np.sort(numbers, axis=None), share * (np.size(numbers) - 1)
    low, high = rising[[int(at), min(int(at) + 1, len(rising) - 1)]].tolist()
    beyond = at - int(at)
    return float(high - (high - low) * (1 - beyond) if beyond >= 0.5 else low + (high - low) * beyond)


def median(numbers: NDArray[np.float64]) -> float:
    """The middle of some numbers, one at least, or the mean of the two about it.

    As np.median(), to the last digit.

    >>> median(np.array([4.0, 1.0, 3.0, 2.0]))
    2.5
    """
    rising = np.sort(numbers, axis=None)
    return float(rising[(len(rising) - 1) // 2 : len(rising) // 2 + 1].mean())
