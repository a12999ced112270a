"""Whole numbers as short text: as many bytes as each needs.

No packer does it, since what a packer makes of them differs from one version of its library to the next.
"""

from __future__ import annotations

from base64 import b64encode
from typing import Any

import numpy as np
from numpy.typing import NDArray

# Bits of a number in each byte; the eighth says that more follow.
_BITS = 7
_MOST_BYTES = 5


def packed(numbers: NDArray[Any]) -> str:
    """Whole numbers from 0 to 2^31, the low bits of each first, in base 64 (RFC 4648).

    >>> packed(np.array([0, 1, 128]))
    'AAGAAQ=='
    """
    values = np.asarray(numbers, np.int64)
    size = np.searchsorted(1 << (_BITS * np.arange(1, _MOST_BYTES)), values, "right") + 1
    ends = np.cumsum(size)
    found = np.zeros(int(ends[-1]) if len(ends) else 0, np.uint8)
    for nth in range(_MOST_BYTES):
        some = np.flatnonzero(size > nth)
        part = (values[some] >> (_BITS * nth)) & 0x7F
        found[ends[some] - size[some] + nth] = part | np.where(size[some] > nth + 1, 0x80, 0)
    return b64encode(found.tobytes()).decode("ascii")


def signed(numbers: NDArray[Any]) -> NDArray[np.int64]:
    """Numbers of either sign as such from 0 up: 0, -1, 1, -2 become 0, 1, 2, 3.

    >>> signed(np.array([0, -1, 1, -2])).tolist()
    [0, 1, 2, 3]
    """
    values = np.asarray(numbers, np.int64)
    return np.where(values < 0, -2 * values - 1, 2 * values)


def steps(numbers: NDArray[Any]) -> str:
    """Numbers that change little, packed by what each differs from the one before, the first from 0."""
    return packed(signed(np.diff(np.asarray(numbers, np.int64), prepend=0)))
