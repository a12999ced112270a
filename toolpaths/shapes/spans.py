"""The lines and arcs that lie in a polyline: each through its first, a middle and its last vertex.

Two tolerances are at work. A segment that holds within the tolerance given is good enough to cut by,
but reaches beyond where a true arc or a straight side ends, as far as the tolerance lets it. So the
middle of each segment is asked whether its vertices lie on it but for rounding; if so it is a true one,
and ends at the vertex where that ceases. That is how tangent points and radii stay what they were.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import cached_property
from math import atan2, hypot, inf, pi
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
# The next segment tried is no shorter or longer than these shares of the last; so many are foretold before the rest is
# halved.
_SHORTER, _LONGER, _FORETOLD = 0.5, 2.0, 4
# Of a tolerance: what is over it by more is so however it is reckoned.
_MARGIN = 1e-6


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
        # As complex numbers: one product is a dot and a cross product.
        self.z = points[:, 0] + 1j * points[:, 1]
        step = np.diff(self.z)
        self.steps = np.abs(step)
        self.along: list[float] = [0.0, *np.cumsum(self.steps).tolist()]
        self.places: list[Point] = list(map(tuple, points.tolist()))
        straight = (step[:-1].conj() * step[1:]).real >= CORNER * self.steps[:-1] * self.steps[1:]
        ends = True
        if self.places[0] == self.places[-1]:
            ends = bool((step[-1].conj() * step[0]).real < CORNER * self.steps[-1] * self.steps[0])
        self.corners: list[bool] = [ends, *(~straight).tolist(), ends]

    @cached_property
    def alone(self) -> list[bool]:
        """Of each vertex, whether no segment from it reaches the second after it, as at every corner of a polygon.

        All looked at in one go: off its chord the vertex between lies too far for a line, and of the one circle
        through the three a chord is too far inside.
        """
        step, across = np.diff(self.z), self.z[2:] - self.z[:-2]
        chord, most = np.abs(across), self.tolerance * (1 + _MARGIN)
        cross = np.abs((step[:-1].conj() * step[1:]).imag)
        longer = np.maximum(self.steps[:-1], self.steps[1:])
        with np.errstate(divide="ignore", invalid="ignore"):
            radius = self.steps[:-1] * self.steps[1:] * chord / (2 * cross)
            inside = radius - np.sqrt(np.maximum(radius * radius - longer * longer / 4, 0.0))
            found = (cross > most * chord) & (inside > most)
        return [*found.tolist(), True, True]

    def segment(self, i: int, j: int) -> Segment | None:
        """The line, or else the arc, from vertex i to vertex j; None if neither holds."""
        return self.tried(i, j)[0]

    def tried(self, i: int, j: int) -> tuple[Segment | None, float]:
        """The same, and by how many tolerances it is off, about; infinite where it is nothing like it."""
        a, b, m = self.places[i], self.places[j], (i + j) // 2
        if j == i + 1:
            return Segment(a, b), 0.0
        dx, dy = b[0] - a[0], b[1] - a[1]
        chord = hypot(dx, dy)
        aside = (self.places[m][0] - a[0]) * dy - (self.places[m][1] - a[1]) * dx
        if chord > COINCIDENT and abs(aside) <= self.tolerance * chord:
            from_start = (self.z[i : j + 1] - complex(*a)) * complex(dx, -dy)
            off = float(np.abs(from_start.imag).max()) / chord / self.tolerance
            if off <= 1:
                along = from_start.real
                if along.min() >= 0 and along.max() <= chord * chord:
                    return Segment(a, b), off
        centre = centre_of(a, self.places[m], b)
        if centre is None:
            return None, inf
        radius = hypot(a[0] - centre[0], a[1] - centre[1])
        if radius > LARGEST_RADIUS:
            return None, inf
        # Most that do not hold show it at once: by a vertex, or by the chord after one.
        for k in ((i + m) // 2, (m + j) // 2):
            x0, y0 = self.places[k]
            off = abs(hypot(x0 - centre[0], y0 - centre[1]) - radius) / self.tolerance
            if off > 1:
                return None, off
        for k in (i, m):
            (x0, y0), (x1, y1) = self.places[k], self.places[k + 1]
            off = (radius - hypot((x0 + x1) / 2 - centre[0], (y0 + y1) / 2 - centre[1])) / self.tolerance
            if off > 1:
                return None, off
        ray = self.z[i : j + 1] - complex(*centre)
        far = np.abs(ray)
        off = max(float(far.max()) - radius, radius - float(far.min())) / self.tolerance
        if off > 1:
            return None, off
        seen = ray[:-1].conj() * ray[1:]
        onwards = float(seen[0].imag) > 0
        cross = seen.imag if onwards else -seen.imag
        # Twice the area seen over a chord is its length times how near its line comes to the centre.
        inside = cross <= max(radius - self.tolerance, 0.0) * self.steps[i:j]
        if inside.any():
            if float(cross.min()) <= 0:
                return None, inf
            # A chord's foot lies on it where both its ends are seen at less than a right angle from there.
            nearest = np.minimum(far[:-1], far[1:])
            if (inside & (seen.real < nearest * nearest)).any():
                return None, 1.0
        # Its chords are hardly shorter than the arc, which tells how often it goes round.
        turn = (self.along[j] - self.along[i]) / (radius if onwards else -radius)
        sweep = atan2(b[1] - centre[1], b[0] - centre[0]) - atan2(a[1] - centre[1], a[0] - centre[0])
        sweep += 2 * pi * round((turn - sweep) / (2 * pi))
        if abs(sweep) > LARGEST_SWEEP:
            return None, inf
        return Segment(a, b, centre, sweep), off

    def longest(self, i: int, last: int, guess: int) -> tuple[int, Segment]:
        """The farthest vertex that one segment from vertex i reaches. Looked for from a guess on, since segments that
        follow each other are about as long, and then where the last one tried tells."""
        good, best, bad = i + 1, Segment(self.places[i], self.places[i + 1]), last + 1
        j, tries = min(i + max(guess, 2), last), 0
        while bad - good > 1:
            segment, off = self.tried(i, j)
            tries += 1
            if segment is None:
                bad = j
            else:
                good, best = j, segment
            if tries < _FORETOLD or bad > last:
                # On a curve an arc is off by the third power of its length.
                share = min(max(off ** (-1 / 3), _SHORTER), _LONGER) if off else _LONGER
                j = min(max(i + int((j - i) * share), good + 1), bad - 1)
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
        z = self.z[i : j + 1]
        if segment.sweep:
            off: Floats = np.abs(z - complex(cx, cy)) - segment.radius
        else:
            off = ((z - complex(x0, y0)) * complex(x1 - x0, y0 - y1)).imag / segment.length
        return np.abs(off)
