"""A smooth way between two places, each with its direction: two arcs that meet tangentially.

K. M. Bolton, "Biarc curves", Computer-Aided Design 7(2), 1975 (from memory, unverified; the tests hold
what is claimed). Of the many such pairs the one whose two tangent lengths are equal is taken.
"""

from __future__ import annotations

from math import atan2, cos, hypot, pi, sin, sqrt

from toolpaths.base.errors import Point
from toolpaths.shapes.track import Segment

# Bends of which the two ends differ by less than this, in radians, are lines.
_STRAIGHT = 1e-6
# mm to where the tangents meet, beyond which arcs are nothing for a controller.
_FARTHEST = 1e5


def biarc(start: Point, heading: float, end: Point, arrival: float) -> tuple[Segment, ...] | None:
    """One or two segments from `start`, setting out in direction `heading`, to `end`, arriving in direction `arrival`.

    Directions in radians. The segments meet tangentially with each other and with both directions. Empty where start
    and end are one place; None where no two such arcs lead there, as to a place straight behind.
    """
    vx, vy = end[0] - start[0], end[1] - start[1]
    square = vx * vx + vy * vy
    if square < 1e-18:
        return ()
    ax, ay, bx, by = cos(heading), sin(heading), cos(arrival), sin(arrival)
    along = vx * (ax + bx) + vy * (ay + by)
    apart = 2 * (1 - ax * bx - ay * by)
    if apart > 1e-12:
        reach = (sqrt(along * along + apart * square) - along) / apart
    elif along > 1e-12:
        reach = square / (2 * along)
    else:
        return None
    if reach > _FARTHEST:
        return None
    p, q = (start[0] + reach * ax, start[1] + reach * ay), (end[0] - reach * bx, end[1] - reach * by)
    middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
    return (_bend(start, heading, middle), _bend(end, arrival + pi, middle).reversed())


def _bend(start: Point, heading: float, end: Point) -> Segment:
    """The arc, or the line, from a place and a direction to another place."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = hypot(dx, dy)
    off = atan2(cos(heading) * dy - sin(heading) * dx, cos(heading) * dx + sin(heading) * dy)
    if long < 1e-12 or abs(off) < _STRAIGHT:
        return Segment(start, end)
    radius = long / 2 / sin(off)
    centre = (start[0] - radius * sin(heading), start[1] + radius * cos(heading))
    return Segment(start, end, centre, 2 * off)
