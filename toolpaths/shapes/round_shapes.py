"""Shapes made of circles: rings, slots along an arc or along any line, holes with a keyway or a flat."""

from __future__ import annotations

from math import acos, asin, cos, pi, radians, sin, sqrt

import numpy as np
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import Floats, between, finite, length, point
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.curves import arc, cos_sin
from toolpaths.shapes.offset import along
from toolpaths.shapes.plain_shapes import circle
from toolpaths.shapes.symmetry import Line
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

# A hole whose flat leaves less than this share of its radius is none.
_LEAST_SHARE = 1e-3


def ring(
    outer_diameter: float, inner_diameter: float, centre: Point = (0.0, 0.0), *, tolerance: float = DEFAULT_TOLERANCE
) -> Polygon:
    """The area between two circles about one centre.

    >>> from toolpaths import ring
    >>> ring(90, 60, (50, 50)).bounds
    (5.0, 5.0, 95.0, 95.0)

    Raises InputError where the inner diameter is not the lesser one.
    """
    outer, inner = length("outer_diameter", outer_diameter), length("inner_diameter", inner_diameter)
    if inner >= outer:
        raise InputError(f"inner_diameter={inner:g} must be less than outer_diameter={outer:g}.")
    hole = circle(inner, centre, tolerance=tolerance)
    return Polygon(circle(outer, centre, tolerance=tolerance).exterior, [hole.exterior])


def arc_slot(
    centre: Point,
    radius: float,
    width: float,
    *,
    start_deg: float,
    sweep_deg: float,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Polygon:
    """A slot with round ends along an arc: what a cutter of `width` leaves on it.

    radius : of the middle of the slot, mm
    start_deg, sweep_deg : where its middle begins, anticlockwise from the right, and how far it goes, < 0 clockwise

    >>> from toolpaths import arc_slot
    >>> [round(edge, 6) for edge in arc_slot((0, 0), 40, 10, start_deg=0, sweep_deg=90).bounds]
    [-5.0, -5.0, 45.0, 45.0]

    Raises InputError for a width of twice the radius or more, ShapeError for a sweep of 0 and where the ends of the
    slot run into each other, with the sweep that would go.
    """
    x, y = point("centre", centre)
    middle, half = length("radius", radius), length("width", width) / 2
    if half >= middle:
        raise InputError(f"width={width:g} must be less than twice the radius, {2 * middle:g}.")
    first, sweep = radians(between("start_deg", start_deg, -360, 360)), radians(finite("sweep_deg", sweep_deg))
    # The ends touch where the chord between their centres is as long as the slot is wide.
    most = 2 * pi - 2 * asin(half / middle)
    if sweep == 0:
        raise ShapeError("sweep_deg=0 is no slot but a round hole; circle() makes one.", (x, y))
    if abs(sweep) >= most:
        raise ShapeError(
            f"sweep_deg={np.degrees(sweep):g}: the slot's two ends would run into each other; less than "
            f"{np.degrees(most):.2f} degrees would go, or ring()."
        )
    fine = checks.tolerance("tolerance", tolerance) * FLATTEN
    low, high = min(first, first + sweep), max(first, first + sweep)

    def at(angle: float, far: float) -> Point:
        return x + far * cos(angle), y + far * sin(angle)

    sides = [
        arc((x, y), at(low, middle + half), high - low, fine),
        arc(at(high, middle), at(high, middle + half), pi, fine),
        arc((x, y), at(high, middle - half), low - high, fine),
        arc(at(low, middle), at(low, middle - half), pi, fine),
    ]
    return Polygon(np.vstack([side[:-1] for side in sides]))


def slot_along(line: Line, width: float, *, tolerance: float = DEFAULT_TOLERANCE) -> BaseGeometry:
    """A slot with round ends along any line: an Outline, a shapely line, or points (x, y).

    >>> from toolpaths import Outline, slot_along
    >>> groove = slot_along(Outline((0, 0)).line_to((40, 0)).line_to((40, 30)), 6)
    >>> [round(edge, 3) for edge in groove.bounds]
    [-3.0, -3.0, 43.0, 33.0]

    Raises InputError for a width that is no length above 0, ShapeError for a line without length.
    """
    fine = checks.tolerance("tolerance", tolerance)
    half = length("width", width) / 2
    lines = door.lines("line", door.as_line("line", line))
    return along([np.vstack([points, points[:1]]) if closed else points for points, closed in lines], half, fine)


def keyed_hole(
    diameter: float,
    key_width: float,
    across: float,
    centre: Point = (0.0, 0.0),
    *,
    angle_deg: float = 0.0,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Polygon:
    """A round hole with a keyway.

    across : from the floor of the keyway to the opposite side of the hole, mm, as a calliper measures it
    angle_deg : where the keyway is, anticlockwise from the right

    >>> from toolpaths import keyed_hole
    >>> keyed_hole(20, 6, 22.8).bounds
    (-10.0, -10.0, 12.8, 10.0)

    Raises InputError for a key as wide as the hole or wider, and an `across` that leaves no keyway.
    """
    radius, half = length("diameter", diameter) / 2, length("key_width", key_width) / 2
    far = length("across", across) - radius
    if half >= radius:
        raise InputError(f"key_width={key_width:g} must be less than the diameter, {2 * radius:g}.")
    mouth = sqrt(radius * radius - half * half)
    if far <= mouth:
        raise InputError(f"across={far + radius:g} leaves no keyway; more than {radius + mouth:.3f} would.")
    fine = checks.tolerance("tolerance", tolerance) * FLATTEN
    edge = asin(half / radius)
    round_part = arc((0.0, 0.0), (mouth, half), 2 * pi - 2 * edge, fine)
    return _turned(np.vstack([round_part, [[far, -half], [far, half]]]), angle_deg, centre)


def flatted_hole(
    diameter: float,
    across: float,
    centre: Point = (0.0, 0.0),
    *,
    angle_deg: float = 0.0,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Polygon:
    """A round hole with a flat, for a shaft with one.

    across : from the flat to the opposite side of the hole, mm, as a calliper measures it
    angle_deg : where the flat is, anticlockwise from the right

    >>> from toolpaths import flatted_hole
    >>> flatted_hole(6, 4.5).bounds
    (-3.0, -3.0, 1.5, 3.0)

    Raises InputError where `across` is no less than the diameter.
    """
    radius = length("diameter", diameter) / 2
    flat = length("across", across) - radius
    if flat <= -radius * (1 - _LEAST_SHARE):
        raise InputError(f"across={across} leaves no hole.")
    if flat >= radius:
        raise InputError(f"across={flat + radius:g} must be less than the diameter, {2 * radius:g}.")
    fine = checks.tolerance("tolerance", tolerance) * FLATTEN
    edge = acos(flat / radius)
    half = radius * sin(edge)
    return _turned(arc((0.0, 0.0), (flat, half), 2 * pi - 2 * edge, fine), angle_deg, centre)


def _turned(points: Floats, angle_deg: float, centre: Point) -> Polygon:
    """The hole drawn about the origin with its feature on the right, turned and moved to its place."""
    c, s = cos_sin(between("angle_deg", angle_deg, -360, 360))
    return Polygon(points @ np.array([[c, s], [-s, c]]) + point("centre", centre))
