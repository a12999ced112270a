"""Millimetres inside; other units are converted here, at the door, and in the writer."""

from __future__ import annotations

import re

from toolpaths.base.checks import finite, shown
from toolpaths.base.errors import InputError

MM_PER_INCH = 25.4
_MIXED = re.compile(r"\s*(?:(\d+(?:\.\d*)?|\.\d+)|(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+))\s*")


def inch(value: float | str) -> float:
    """Millimetres in so many inches, exactly 25.4 each.

    Takes a number or a text such as "3/4", "3 3/4", "3-3/4" or "0.25".
    Also turns inches per minute into mm per minute.

    >>> inch("3 3/4"), inch(2)
    (95.25, 50.8)

    Raises InputError for a text that is no length.
    """
    if not isinstance(value, str):
        return finite("inch", finite("inch", value) * MM_PER_INCH)
    match = _MIXED.fullmatch(value)
    if match is None or (match[4] is not None and int(match[4]) == 0):
        raise InputError(f'inch={shown(value)} is not a length; write for instance "3/4", "3 3/4" or 0.25.')
    from fractions import Fraction

    inches = Fraction(match[1]) if match[1] else int(match[2] or 0) + Fraction(int(match[3]), int(match[4]))
    return finite("inch", inches * Fraction(254, 10))
