"""Where letters stand: on straight lines of text, or each at its middle on a curve."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, sin
from typing import Literal

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.shapes.curves import lengths_along, places_along

Align = Literal["left", "centre", "right"]
ALIGNS: tuple[Align, ...] = ("left", "centre", "right")
# mm to either side of a place over which a curve's direction is taken.
_SHORT = 0.05


@dataclass(frozen=True)
class Straight:
    """Level from a place on, which is the text's left end, middle or right end by `align`."""

    place: Point
    align: Align

    def placed(self, points: Floats, start: float, middle: float, whole: float) -> Floats:
        """Points of a letter, drawn about its origin on the base line, where the letter belongs.

        start, middle, whole : mm along the text to the letter's origin and to its middle, and of the whole text
        """
        left = {"left": 0.0, "centre": -whole / 2, "right": -whole}[self.align]
        return np.asarray(points + np.array([self.place[0] + left + start, self.place[1]]))


@dataclass(frozen=True, eq=False)
class Along:
    """On a curve of (n, 2) points: from its start, about its middle, or up to its end, by `align`.

    A letter's middle stands on the curve, and the letter is turned with the curve there.
    """

    curve: Floats
    align: Align

    def placed(self, points: Floats, start: float, middle: float, whole: float) -> Floats:
        long = float(lengths_along(self.curve)[-1])
        if whole > long:
            raise DoesNotFitError(
                f"The text is {whole:.2f} mm long and the curve {long:.2f} mm; smaller letters would go.",
                (float(self.curve[0][0]), float(self.curve[0][1])),
            )
        at = middle + {"left": 0.0, "centre": (long - whole) / 2, "right": long - whole}[self.align]
        behind, place, ahead = places_along(self.curve, np.array([at - _SHORT, at, at + _SHORT]))
        angle = atan2(ahead[1] - behind[1], ahead[0] - behind[0])
        turn = np.array([[cos(angle), sin(angle)], [-sin(angle), cos(angle)]])
        return np.asarray((points + np.array([start - middle, 0.0])) @ turn + place)


BaseLine = Straight | Along
