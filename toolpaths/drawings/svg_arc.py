"""Arcs as SVG writes them, by their ends, as centre and half diameters: appendix B.2 of SVG 2."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, radians, sin, sqrt

from toolpaths.base.errors import Point
from toolpaths.drawings.curve_segments import Arc, Line


def arc_by_ends(
    start: Point, end: Point, radii: Point, turned_deg: float, *, large: bool, anticlockwise: bool
) -> Arc | Line | None:
    """The arc from start to end; a line where a radius is 0, None where both are one place.

    turned_deg : from the x axis to that of the first radius
    large, anticlockwise : the two flags, large-arc and sweep; the second says towards growing angles
    """
    if start == end:
        return None
    rx, ry = abs(radii[0]), abs(radii[1])
    if rx == 0 or ry == 0:
        return Line(start, end)
    c, s = cos(radians(turned_deg)), sin(radians(turned_deg))
    # In units of the radii and their directions the ellipse is a circle of radius 1.
    half = ((start[0] - end[0]) / 2, (start[1] - end[1]) / 2)
    x, y = (c * half[0] + s * half[1]) / rx, (c * half[1] - s * half[0]) / ry
    far = hypot(x, y)
    if far > 1:  # the radii do not reach: both grow until they do
        rx, ry, x, y = rx * far, ry * far, x / far, y / far
        far = 1.0
    aside = sqrt(max(1 - far * far, 0.0)) / far * (1 if large != anticlockwise else -1)
    middle_x, middle_y = aside * y, -aside * x
    centre = (
        c * rx * middle_x - s * ry * middle_y + (start[0] + end[0]) / 2,
        s * rx * middle_x + c * ry * middle_y + (start[1] + end[1]) / 2,
    )
    first = atan2(y - middle_y, x - middle_x)
    last = atan2(-y - middle_y, -x - middle_x)
    sweep = (last - first) % (2 * pi)
    if not anticlockwise:
        sweep -= 2 * pi
    return Arc(centre, (c * rx, s * rx), (-s * ry, c * ry), first, sweep)
