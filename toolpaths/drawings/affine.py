"""Maps of the plane that keep lines straight: what the transforms, view boxes and inserts of a drawing come to."""

from __future__ import annotations

from math import hypot, radians, tan
from typing import NamedTuple

from toolpaths.base.errors import Point
from toolpaths.shapes.curves import cos_sin


class Affine(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f; the order of the letters is that of `matrix()` in SVG."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def of(self, place: Point) -> Point:
        """Where a place comes to lie."""
        x, y = place
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def turned(self, vector: Point) -> Point:
        """What a vector becomes: it has no place, so nothing is added."""
        x, y = vector
        return self.a * x + self.c * y, self.b * x + self.d * y

    def after(self, first: Affine) -> Affine:
        """The map that does `first`, and then this."""
        a, b = self.turned((first.a, first.b))
        c, d = self.turned((first.c, first.d))
        e, f = self.of((first.e, first.f))
        return Affine(a, b, c, d, e, f)

    @property
    def determinant(self) -> float:
        """By how much areas grow; negative where it mirrors."""
        return self.a * self.d - self.b * self.c

    @property
    def stretch(self) -> float:
        """The most by which any length grows: the larger singular value."""
        half_sum, half_gap = (self.a + self.d) / 2, (self.a - self.d) / 2
        across, along = (self.b + self.c) / 2, (self.b - self.c) / 2
        return hypot(half_sum, along) + hypot(half_gap, across)


def moved(dx: float, dy: float) -> Affine:
    return Affine(e=dx, f=dy)


def scaled(across: float, up: float) -> Affine:
    return Affine(a=across, d=up)


def turned_by(angle_deg: float) -> Affine:
    """About the origin; from the x axis towards the y axis. Quarter turns are exact."""
    c, s = cos_sin(angle_deg)
    return Affine(c, s, -s, c)


def sheared(across_deg: float, up_deg: float) -> Affine:
    return Affine(b=tan(radians(up_deg)), c=tan(radians(across_deg)))
