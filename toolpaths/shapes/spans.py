"""The lines and arcs that lie in a polyline: each through its first, a middle and its last vertex.

Two tolerances are at work. A segment that holds within the tolerance given is good enough to cut by,
but reaches beyond where a true arc or a straight side ends, as far as the tolerance lets it. So the
middle of each segment is asked whether its vertices lie on it but for rounding; if so it is a true one,
and ends at the vertex where that ceases. That is how tangent points and radii stay what they were.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from math import atan2, hypot, pi
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes.curves import centre_of
from toolpaths.shapes.tangent import LARGEST_RADIUS, LARGEST_SWEEP
from toolpaths.shapes.track import Segment

# Vertices of a true line or arc lie on it to this share of the tolerance: an engine rounds them by a
# thousandth of it. An arc that only fits a curve leaves its middle by more, and so tells itself apart.
_TRUE = 0.05
# The next vertex is off it by at least so many times as much; where it is not, a curve only bends away slowly.
_ABRUPT = 3.0
# The middle of a segment, as shares of its length, and the fewest steps that tell what an arc's middle is.
_MIDDLE = (0.1, 0.9)
_FEWEST = 4
# A turn of which the cosine is less than this, 11 degrees, is a corner and not a step of a curve.
CORNER = 0.98
# Points nearer than this, in mm, are one.
COINCIDENT = 1e-9


class Span(NamedTuple):
    """A segment from one vertex to another; `true` where the polyline's own line or arc ends with it."""

    first: int
    last: int
    segment: Segment
    true: bool


class Polyline:
    """(n, 2) vertices and the tolerance within which segments must hold."""

    def __init__(self, points: Floats, tolerance: float) -> None:
        self.points, self.tolerance = points, tolerance
        self.last = len(points) - 1
        self.x, self.y = np.ascontiguousarray(points.T)
        dx, dy = np.diff(self.x), np.diff(self.y)
        self.steps = np.hypot(dx, dy)
        self.along: list[float] = [0.0, *np.cumsum(self.steps).tolist()]
        self.places: list[Point] = list(zip(self.x.tolist(), self.y.tolist(), strict=True))
        straight = dx[:-1] * dx[1:] + dy[:-1] * dy[1:] >= CORNER * self.steps[:-1] * self.steps[1:]
        ends = True
        if self.places[0] == self.places[-1]:
            ends = bool(dx[-1] * dx[0] + dy[-1] * dy[0] < CORNER * self.steps[-1] * self.steps[0])
        self.corners: list[bool] = [ends, *(~straight).tolist(), ends]

    def segment(self, i: int, j: int) -> Segment | None:
        """The line, or else the arc, from vertex i to vertex j; None if neither holds."""
        a, b, m = self.places[i], self.places[j], (i + j) // 2
        if j == i + 1:
            return Segment(a, b)
        dx, dy = b[0] - a[0], b[1] - a[1]
        chord = hypot(dx, dy)
        aside = (self.places[m][0] - a[0]) * dy - (self.places[m][1] - a[1]) * dx
        if chord > COINCIDENT and abs(aside) <= self.tolerance * chord:
            x, y = self.x[i : j + 1] - a[0], self.y[i : j + 1] - a[1]
            if np.abs(x * dy - y * dx).max() <= self.tolerance * chord:
                along = x * dx + y * dy
                if along.min() >= 0 and along.max() <= chord * chord:
                    return Segment(a, b)
        centre = centre_of(a, self.places[m], b)
        if centre is None:
            return None
        radius = hypot(a[0] - centre[0], a[1] - centre[1])
        if radius > LARGEST_RADIUS:
            return None
        # Most that do not hold show it at once.
        for x0, y0 in (self.places[(i + m) // 2], self.places[(m + j) // 2]):
            if abs(hypot(x0 - centre[0], y0 - centre[1]) - radius) > self.tolerance:
                return None
        x, y = self.x[i : j + 1] - centre[0], self.y[i : j + 1] - centre[1]
        far = np.hypot(x, y)
        if max(far.max() - radius, radius - far.min()) > self.tolerance:
            return None
        cross, dot = x[:-1] * y[1:] - x[1:] * y[:-1], x[:-1] * x[1:] + y[:-1] * y[1:]
        if cross.min() <= 0 <= cross.max():
            return None
        turn = float(np.arctan2(cross, dot).sum())
        if abs(turn) > LARGEST_SWEEP:
            return None
        # A chord's foot lies on it where both its ends are seen at less than a right angle from there.
        squares = far * far
        on = (dot < squares[:-1]) & (dot < squares[1:])
        if (on & (np.abs(cross) < (radius - self.tolerance) * self.steps[i:j])).any():
            return None
        # Free of the sum's rounding.
        sweep = atan2(b[1] - centre[1], b[0] - centre[0]) - atan2(a[1] - centre[1], a[0] - centre[0])
        return Segment(a, b, centre, sweep + 2 * pi * round((turn - sweep) / (2 * pi)))

    def longest(self, i: int, last: int, guess: int) -> tuple[int, Segment]:
        """The farthest vertex that one segment from vertex i reaches: outwards from a guess, then halved."""
        good, best, bad = i + 1, Segment(self.places[i], self.places[i + 1]), last + 1
        j, stride = min(i + max(guess, 2), last), max(1, guess // 4)
        while bad - good > 1:
            segment = self.segment(i, j)
            if segment is None:
                bad = j
            else:
                good, best = j, segment
            if bad > last:
                j, stride = min(good + stride, last), 2 * stride
            else:
                j = (good + bad) // 2
        return good, best

    def true_part(self, i: int, j: int, segment: Segment, low: int) -> tuple[int, int] | None:
        """Where the true line or arc in the middle of a segment begins and ends, as vertices from `low` to j."""
        if j == i + 1:
            return i, j
        begin, length = self.along[i], self.along[j] - self.along[i]
        near, far = (begin + share * length for share in _MIDDLE)
        if segment.sweep == 0:
            a = bisect_right(self.along, near, i, j) - 1
            b = bisect_left(self.along, far, a + 1, j)
            core = Segment(self.places[a], self.places[b])
        else:
            a, b = bisect_left(self.along, near, i, j), bisect_right(self.along, far, i, j) - 1
            if b - a < _FEWEST:
                return None
            start, end = self.places[a], self.places[b]
            centre = centre_of(start, self.places[(a + b) // 2], end)
            if centre is None:
                return None
            core = Segment(start, end, centre, segment.sweep)
        if core.start == core.end:
            return None
        high = min(j + 1, self.last)
        off = self._aside(core, low, high) / self.tolerance
        wrong = off > _TRUE
        if wrong[a - low : b + 1 - low].any():
            return None
        before, after = np.flatnonzero(wrong[: a - low]), np.flatnonzero(wrong[b - low :])
        first = int(before[-1]) + 1 + low if len(before) else low
        last = min(b + int(after[0]) - 1, j) if len(after) else j
        # The vertices just outside, unless the polyline ends there.
        slow = _ABRUPT * float(off[first - low : last + 1 - low].max())
        outside = [k for k in (first - 1, last + 1) if low <= k <= high and wrong[k - low]]
        if any(off[k - low] < slow for k in outside):
            return None
        if first == i + 1 and self.corners[i]:
            first = i
        if last == j - 1 and self.corners[j]:
            last = j
        return first, last

    def _aside(self, segment: Segment, i: int, j: int) -> Floats:
        """How far vertices i to j lie from the line or circle of a segment."""
        (x0, y0), (x1, y1), (cx, cy) = segment.start, segment.end, segment.centre
        x, y = self.x[i : j + 1], self.y[i : j + 1]
        if segment.sweep:
            off: Floats = np.hypot(x - cx, y - cy) - segment.radius
        else:
            off = ((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) / segment.length
        return np.abs(off)
