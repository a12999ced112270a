"""A smooth way between two places, each with its direction: two arcs that meet tangentially.

K. M. Bolton, "Biarc curves", Computer-Aided Design 7(2), 1975 (from memory, unverified; the tests hold
what is claimed). Of the many such pairs the one whose two tangent lengths are equal is taken.
"""

from __future__ import annotations

from math import acos, atan2, copysign, cos, hypot, pi, sin, sqrt

from toolpaths.errors import Point
from toolpaths.geometry.track import Piece

# Bends of which the two ends differ by less than this, in radians, are lines.
_STRAIGHT = 1e-6


def biarc(start: Point, heading: float, end: Point, arrival: float) -> tuple[Piece, ...]:
    """One or two pieces from `start`, setting out in direction `heading`, to `end`, arriving in direction `arrival`.

    Directions in radians. The pieces meet tangentially with each other and with both directions. Empty where start
    and end are one place.
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
        # Straight back or across, in the same direction: two half circles.
        reach = float("inf")
    if reach > 1e6:
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        turn = copysign(pi, ax * vy - ay * vx)
        return (_half(start, middle, turn), _half(middle, end, -turn))
    p, q = (start[0] + reach * ax, start[1] + reach * ay), (end[0] - reach * bx, end[1] - reach * by)
    middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
    return (_bend(start, heading, middle), _bend(end, arrival + pi, middle).reversed())


def _half(start: Point, end: Point, sweep: float) -> Piece:
    return Piece(start, end, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), sweep)


def _bend(start: Point, heading: float, end: Point) -> Piece:
    """The arc, or the line, from a place and a direction to another place."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = hypot(dx, dy)
    off = atan2(cos(heading) * dy - sin(heading) * dx, cos(heading) * dx + sin(heading) * dy)
    if long < 1e-12 or abs(off) < _STRAIGHT:
        return Piece(start, end)
    radius = long / 2 / sin(off)
    centre = (start[0] - radius * sin(heading), start[1] + radius * cos(heading))
    return Piece(start, end, centre, 2 * off)


def turned(heading: float, other: float) -> float:
    """The angle, 0 to pi, between two directions."""
    return acos(min(1.0, max(-1.0, cos(heading - other))))
