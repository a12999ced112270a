"""Numbers as a program prints them: in its units, places counted from its zero.

Places are rounded once, to `DECIMALS`. With four decimals in mm (five in inches) the two ends of an arc differ in
radius by at most 2 sqrt(2) digits, 0.00028 mm (0.000028 in); the standard allows 0.002 mm (0.0002 in).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil
from typing import Literal

from toolpaths.base.errors import InputError
from toolpaths.base.units import MM_PER_INCH

Units = Literal["mm", "inch"]
UNITS: tuple[Units, ...] = ("mm", "inch")
DECIMALS = {"mm": 4, "inch": 5}
# Of lengths in comments: what an operator can measure.
COMMENT_DECIMALS = {"mm": 3, "inch": 4}
_BEYOND_ANY_MACHINE = 1e7


@dataclass(frozen=True, slots=True)
class NumberFormat:
    """How lengths are printed.

    units : of the program
    zero : (x, y, z) in mm, what places are counted from
    scale : units of the program in a millimetre
    """

    units: Units
    zero: tuple[float, float, float]
    scale: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "scale", 1.0 if self.units == "mm" else 1 / MM_PER_INCH)

    def place(self, x: float, y: float, z: float) -> dict[str, str]:
        """The words of a place of the board as it lies, mm."""
        return {**self.across(x, y), "Z": self.z(z)}

    def across(self, x: float, y: float) -> dict[str, str]:
        """The words of a place in the plane."""
        return {"X": self._length((x - self.zero[0]) * self.scale), "Y": self._length((y - self.zero[1]) * self.scale)}

    def z(self, z: float) -> str:
        """A height, from the board's top in mm."""
        return self._length((z - self.zero[2]) * self.scale)

    def to_centre(self, centre: tuple[float, float], start: Mapping[str, str]) -> dict[str, str]:
        """The words from a printed place to the centre of an arc."""
        x, y = (centre[0] - self.zero[0]) * self.scale, (centre[1] - self.zero[1]) * self.scale
        return {"I": self._length(x - float(start["X"])), "J": self._length(y - float(start["Y"]))}

    def printed(self, words: Mapping[str, str]) -> tuple[float, float, float]:
        """The place that words stand for, mm of the board as it lies."""
        (x, y, z), scale = self.zero, self.scale
        return float(words["X"]) / scale + x, float(words["Y"]) / scale + y, float(words["Z"]) / scale + z

    def at_least(self, length: float) -> str:
        """A length rounded up: a peck a digit short would leave a sliver for one more."""
        digits = 10 ** DECIMALS[self.units]
        return self._length(ceil(length * self.scale * digits - 1e-6) / digits)

    def feed(self, mm_min: float) -> str:
        """A feed; InputError where nothing of it would be left."""
        feed = mm_min * self.scale
        text = plain(feed, 0 if feed >= 100 else 2)
        if float(text) <= 0:
            raise InputError(f"A feed of {mm_min:g} mm/min is too slow to be written.")
        return text

    def comment(self, length: float) -> str:
        """A length in a comment."""
        return f"{round(length * self.scale, COMMENT_DECIMALS[self.units]) + 0.0:g}"

    def _length(self, value: float) -> str:
        return plain(value, DECIMALS[self.units])


def plain(value: float, decimals: int) -> str:
    """Shortest text of a number rounded to so many decimals (ties to even, as Python's own).

    >>> plain(2.50004, 4), plain(-0.00004, 4), plain(18000, 0)
    ('2.5', '0', '18000')
    """
    if not abs(value) < _BEYOND_ANY_MACHINE:
        raise InputError(f"{value!r} is no number that a machine can go to.")
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
