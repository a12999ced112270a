"""Lines and circles moved sideways, and where they cross: what loops inside an outline are made of."""

from __future__ import annotations

from math import dist, hypot, sqrt
from typing import NamedTuple

from toolpaths.base.errors import Point
from toolpaths.shapes.curves import centre_of, sweep_between
from toolpaths.shapes.tangent import LARGEST_RADIUS, LARGEST_SWEEP
from toolpaths.shapes.track import Segment

# Two circles, or a line and a circle, this far apart, mm, touch but for rounding.
_TOUCH = 1e-3


class Curve(NamedTuple):
    """A line through `place` in the direction `ahead`, or a circle about `place`.

    radius : of a circle, > 0 anticlockwise and < 0 clockwise; 0 for a line
    """

    place: Point
    ahead: Point = (0.0, 0.0)
    radius: float = 0.0

    def moved(self, left: float) -> Curve | None:
        """The same moved to its left; None for a circle of which nothing is left."""
        (x, y), (ux, uy) = self.place, self.ahead
        if not self.radius:
            return Curve((x - left * uy, y + left * ux), self.ahead)
        radius = self.radius - left
        return Curve(self.place, radius=radius) if radius * self.radius > 0 else None

    def heading(self, place: Point) -> Point:
        """Unit vector of the direction in which it goes by a place."""
        if not self.radius:
            return self.ahead
        x, y = place[0] - self.place[0], place[1] - self.place[1]
        far = hypot(x, y) if self.radius > 0 else -hypot(x, y)
        return -y / far, x / far

    def nearest(self, place: Point) -> Point:
        """The place on it nearest to another, which is not the centre."""
        (x, y), (px, py) = self.place, place
        if not self.radius:
            along = (px - x) * self.ahead[0] + (py - y) * self.ahead[1]
            return x + along * self.ahead[0], y + along * self.ahead[1]
        share = abs(self.radius) / hypot(px - x, py - y)
        return x + (px - x) * share, y + (py - y) * share

    def segments(self, start: Point, end: Point) -> list[Segment]:
        """The segment of it from one place to another, two where it turns by more than half a circle."""
        if not self.radius:
            return [Segment(start, end)]
        sweep = sweep_between(self.place, start, end, self.radius < 0)
        middle = self.nearest(start)
        if abs(sweep) > LARGEST_SWEEP:
            middle = Segment(start, end, self.place, sweep).at(0.5)
            return [*self.segments(start, middle), *self.segments(middle, end)]
        middle = self.nearest(Segment(start, end, self.place, sweep).at(0.5))
        centre = centre_of(start, middle, end)
        if centre is None or abs(self.radius) > LARGEST_RADIUS:
            return [Segment(start, end)]
        sweep = sweep_between(centre, start, end, self.radius < 0)
        # Of a flat one whose ends lie a little off it, the arc through them may bend the other way.
        return [Segment(start, end, centre, sweep) if abs(sweep) <= LARGEST_SWEEP else Segment(start, end)]


def curve_of(segment: Segment) -> Curve:
    """The line or the circle that a segment lies on."""
    if segment.sweep:
        return Curve(segment.centre, radius=segment.radius if segment.sweep > 0 else -segment.radius)
    length = segment.length
    (x0, y0), (x1, y1) = segment.start, segment.end
    return Curve(segment.start, ((x1 - x0) / length, (y1 - y0) / length))


def crossing(a: Curve, b: Curve, near: Point) -> Point | None:
    """Where two curves cross or touch, the nearest such place to another; None where they do not."""
    if a.radius and not b.radius:
        a, b = b, a
    (x, y), (ux, uy) = a.place, a.ahead
    if not a.radius and not b.radius:
        (vx, vy), (wx, wy) = b.ahead, (b.place[0] - x, b.place[1] - y)
        sine = ux * vy - uy * vx
        if abs(sine) < 1e-9:
            return None
        along = (wx * vy - wy * vx) / sine
        return x + along * ux, y + along * uy
    if not a.radius:
        foot, reach = a.nearest(b.place), abs(b.radius)
    else:
        apart = dist(a.place, b.place)
        if apart < 1e-9:
            return None
        ux, uy = (y - b.place[1]) / apart, (b.place[0] - x) / apart
        along = (apart * apart + a.radius * a.radius - b.radius * b.radius) / (2 * apart)
        foot, reach = (x + uy * along, y - ux * along), abs(a.radius)
    off = dist(foot, a.place if a.radius else b.place)
    if off > reach + _TOUCH:
        return None
    aside = sqrt(max(reach * reach - off * off, 0.0))
    places = [(foot[0] + side * ux, foot[1] + side * uy) for side in (aside, -aside)]
    return min(places, key=lambda place: dist(place, near))
