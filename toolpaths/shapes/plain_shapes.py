"""Plain shapes: rectangle, circle, slot, regular polygon, ellipse. All as shapely polygons, in mm.

Curved sides are chords with every vertex on the true curve, its points farthest left, right, up
and down among them, so that overall sizes are exact.
"""

from __future__ import annotations

from math import cos, hypot, pi

import numpy as np
from shapely import Polygon

from toolpaths.base import checks
from toolpaths.base.checks import between, length, point, whole
from toolpaths.base.errors import InputError, Point
from toolpaths.shapes.curves import arc, steps_for
from toolpaths.shapes.spans import COINCIDENT
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

# A regular polygon of more sides is a circle.
_MOST_SIDES = 1000


def circle(diameter: float, centre: Point = (0.0, 0.0), *, tolerance: float = DEFAULT_TOLERANCE) -> Polygon:
    """A circle of the given diameter.

    >>> circle(80, (110, 70)).bounds
    (70.0, 30.0, 150.0, 110.0)

    Raises InputError for a diameter that is no length above 0.
    """
    wide = length("diameter", diameter)
    return ellipse(wide, wide, centre, tolerance=tolerance)


def ellipse(
    width: float, height: float, centre: Point = (0.0, 0.0), *, tolerance: float = DEFAULT_TOLERANCE
) -> Polygon:
    """An ellipse of the given overall width and height.

    >>> ellipse(76, 90, (38, 45)).bounds
    (0.0, 0.0, 76.0, 90.0)

    Raises InputError for a size that is no length above 0.
    """
    a, b = length("width", width) / 2, length("height", height) / 2
    x, y = point("centre", centre)
    # A chord of an ellipse is the image of a chord of its circle of radius max(a, b), never longer.
    quarter = steps_for(max(a, b), pi / 2, checks.tolerance("tolerance", tolerance) * FLATTEN)
    turns = np.arange(4 * quarter) * (pi / 2 / quarter)
    unit = np.column_stack([np.cos(turns), np.sin(turns)])
    unit[::quarter] = [[1, 0], [0, 1], [-1, 0], [0, -1]]
    return Polygon(unit * [a, b] + [x, y])


def rectangle(
    width: float,
    height: float,
    centre: Point = (0.0, 0.0),
    *,
    corner_radius: float = 0.0,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Polygon:
    """A rectangle, its corners sharp or rounded.

    >>> rectangle(120, 40, (60, 20), corner_radius=5).bounds
    (0.0, 0.0, 120.0, 40.0)

    Raises InputError for a size that is no length above 0, or a corner_radius of more than half the shorter side.
    """
    a, b = length("width", width) / 2, length("height", height) / 2
    x, y = point("centre", centre)
    r = between("corner_radius", corner_radius, 0.0, min(a, b))
    if r == 0:
        return Polygon([(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)])
    fine = checks.tolerance("tolerance", tolerance) * FLATTEN
    corners = [
        ((a - r, b - r), (a, b - r)),
        ((r - a, b - r), (r - a, b)),
        ((r - a, r - b), (-a, r - b)),
        ((a - r, r - b), (a - r, -b)),
    ]
    rounded = np.vstack([arc(middle, start, pi / 2, fine) for middle, start in corners])
    # (a - r) + r may differ from a in its last digit, and the sides must stand where they were asked for.
    rounded = np.where(np.abs(np.abs(rounded) - [a, b]) < COINCIDENT, np.copysign([a, b], rounded), rounded)
    repeated = (np.abs(rounded - np.roll(rounded, 1, axis=0)) < COINCIDENT).all(axis=1)
    return Polygon(rounded[~repeated] + [x, y])


def slot(start: Point, end: Point, width: float, *, tolerance: float = DEFAULT_TOLERANCE) -> Polygon:
    """A slot with round ends: what a cutter of `width` leaves on its way from start to end.

    >>> slot((20, 50), (60, 50), 10).bounds
    (15.0, 45.0, 65.0, 55.0)

    Raises InputError for a width that is no length above 0, and where it ends where it starts.
    """
    (x0, y0), (x1, y1) = point("start", start), point("end", end)
    r, long = length("width", width) / 2, hypot(x1 - x0, y1 - y0)
    if long == 0:
        raise InputError(f"start and end of the slot are both ({x0:g}, {y0:g}); use circle().")
    nx, ny = (y1 - y0) / long * r, (x0 - x1) / long * r
    fine = checks.tolerance("tolerance", tolerance) * FLATTEN
    far, near = arc((x1, y1), (x1 + nx, y1 + ny), pi, fine), arc((x0, y0), (x0 - nx, y0 - ny), pi, fine)
    return Polygon(np.vstack([far, near]))


def regular_polygon(sides: int, across_flats: float, centre: Point = (0.0, 0.0), *, angle_deg: float = 0.0) -> Polygon:
    """A regular polygon; across_flats is twice the distance from centre to side, angle_deg turns its first corner.

    >>> left, low, right, high = regular_polygon(6, 70).bounds
    >>> round(high - low, 6)
    70.0

    Raises InputError for fewer than 3 sides and a size that is no length above 0.
    """
    n = whole("sides", sides, 3, _MOST_SIDES)
    radius = length("across_flats", across_flats) / 2 / cos(pi / n)
    turns = np.radians(between("angle_deg", angle_deg, -360, 360)) + np.arange(n) * (2 * pi / n)
    return Polygon(np.column_stack([np.cos(turns), np.sin(turns)]) * radius + point("centre", centre))
