"""The segments that drawings are made of, as formulas: lines, arcs of circles and ellipses, Bezier curves, splines.

A map of the plane changes their points and vectors and nothing else, so a circle stays one through moves, turns,
mirrors and even scales, and is an ellipse after others. In chords, all vertices lie on the curve itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, ceil, cos, dist, hypot, isfinite, pi, sin, sqrt
from typing import NamedTuple, Protocol

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.drawings.affine import Affine
from toolpaths.shapes.bezier import bezier, chords_needed
from toolpaths.shapes.curves import steps_for

# An ellipse whose axes differ by less than this share, or lean by it, is a circle drawn with rounding.
_ROUND = 1e-9
# Fewest chords of a curve that bends: an arc in fewer is told from straight sides by nothing.
_FEWEST = 6
# Most chords of a span of a rational spline.
_MOST_CHORDS = 100_000
# mm: a line from the end to a start that it meets but for rounding.
_NO_LENGTH = 1e-6
# Radians: a turning point of an arc nearer to its end than this is that end.
_SAME_TURN = 1e-6


class Circle(NamedTuple):
    """A circle as drawn, mm."""

    centre: Point
    diameter: float


class Segment(Protocol):
    """What every segment of a drawn curve can say of itself."""

    def mapped(self, by: Affine) -> Segment:
        """The same where a map of the plane puts it."""

    def chords(self, sagitta: float) -> Floats:
        """(n, 2) points from its start to its end, so near each other that no chord is off by more than `sagitta`."""

    def most_chords(self, sagitta: float) -> float:
        """About how many chords that comes to, before they are made."""

    def reversed(self) -> Segment:
        """The same from its end to its start."""


class Line(NamedTuple):
    """Straight from start to end."""

    start: Point
    end: Point

    def mapped(self, by: Affine) -> Line:
        return Line(by.of(self.start), by.of(self.end))

    def chords(self, sagitta: float) -> Floats:
        return np.array((self.start, self.end))

    def most_chords(self, sagitta: float) -> float:
        return 1.0

    def reversed(self) -> Line:
        return Line(self.end, self.start)


class Arc(NamedTuple):
    """centre + u cos t + v sin t for t from `first` on by `sweep` radians; u and v are half diameters.

    They are those of the major and minor axis, or what a map made of them: any two that belong together.
    """

    centre: Point
    u: Point
    v: Point
    first: float
    sweep: float

    def mapped(self, by: Affine) -> Arc:
        return Arc(by.of(self.centre), by.turned(self.u), by.turned(self.v), self.first, self.sweep)

    @property
    def radius(self) -> float | None:
        """mm; None where it is no circle's."""
        (ux, uy), (vx, vy) = self.u, self.v
        long, other = hypot(ux, uy), hypot(vx, vy)
        rough = _ROUND * max(long, other)
        return long if abs(long - other) <= rough and abs(ux * vx + uy * vy) <= rough * long else None

    def at(self, turns: Floats) -> Floats:
        """(n, 2) its places at so many parameters."""
        cos_turns, sin_turns = np.cos(turns), np.sin(turns)
        places = np.empty((len(turns), 2))
        for axis in (0, 1):
            places[:, axis] = self.centre[axis] + self.u[axis] * cos_turns + self.v[axis] * sin_turns
        return places

    def chords(self, sagitta: float) -> Floats:
        low, high = sorted((self.first, self.first + self.sweep))
        # Its places farthest left, right, up and down are among them, so the chords measure over all what it does.
        inner = list[float]()
        for ahead in (atan2(self.v[0], self.u[0]), atan2(self.v[1], self.u[1])):
            turn = ahead + ceil((low + _SAME_TURN - ahead) / pi) * pi
            while turn < high - _SAME_TURN:
                inner.append(turn)
                turn += pi
        stops = [low]
        for turn in sorted(inner):
            if turn - stops[-1] > _SAME_TURN:
                stops.append(turn)
        stops.append(high)
        radius, turns = self.radius, [low]
        for a, b in zip(stops, stops[1:]):
            count = max(ceil(_FEWEST * (b - a) / (high - low)), self._steps(radius, b - a, sagitta))
            step = (b - a) / count
            turns += [a + k * step for k in range(1, count)]
            turns.append(b)
        places = self.at(np.array(turns))
        return places if self.sweep > 0 else places[::-1]

    def _steps(self, radius: float | None, sweep: float, sagitta: float) -> int:
        if radius is not None:
            return steps_for(radius, sweep, sagitta)
        widest = max(hypot(*self.u), hypot(*self.v))
        return max(1, ceil(sweep * sqrt(widest / (8 * sagitta))))

    def most_chords(self, sagitta: float) -> float:
        return _FEWEST + 4 + abs(self.sweep) * sqrt(max(hypot(*self.u), hypot(*self.v)) / (8 * sagitta))

    def reversed(self) -> Arc:
        return Arc(self.centre, self.u, self.v, self.first + self.sweep, -self.sweep)


class Bezier(NamedTuple):
    """A Bezier curve of any degree: its control points, the first and the last of which lie on it."""

    points: tuple[Point, ...]

    def mapped(self, by: Affine) -> Bezier:
        return Bezier(tuple(by.of(place) for place in self.points))

    def chords(self, sagitta: float) -> Floats:
        return bezier(self.points, sagitta, fewest=_FEWEST)

    def most_chords(self, sagitta: float) -> float:
        return _FEWEST + chords_needed(self.points, sagitta)

    def reversed(self) -> Bezier:
        return Bezier(self.points[::-1])


class RationalBezier(NamedTuple):
    """A Bezier curve whose control points have weights: spans of rational splines."""

    points: tuple[Point, ...]
    weights: tuple[float, ...]

    def mapped(self, by: Affine) -> RationalBezier:
        return RationalBezier(tuple(by.of(place) for place in self.points), self.weights)

    def chords(self, sagitta: float) -> Floats:
        count = _FEWEST
        while True:
            fine = self._at(np.linspace(0.0, 1.0, 2 * count + 1))
            off = np.abs(fine[1::2] - (fine[:-2:2] + fine[2::2]) / 2).max()
            # Twice as many chords lie within a quarter of that.
            if off <= 4 * sagitta or not count < _MOST_CHORDS:
                return fine
            count *= 2

    def _at(self, t: Floats) -> Floats:
        weights = np.array(self.weights)
        level = list(np.column_stack([np.array(self.points) * weights[:, None], weights]))
        share = t[:, None]
        while len(level) > 1:
            level = [(1 - share) * a + share * b for a, b in zip(level, level[1:])]
        places: Floats = level[0][:, :2] / level[0][:, 2:]
        return places

    def most_chords(self, sagitta: float) -> float:
        return 2 * _FEWEST + 4 * Bezier(self.points).most_chords(sagitta)

    def reversed(self) -> RationalBezier:
        return RationalBezier(self.points[::-1], self.weights[::-1])


@dataclass(frozen=True)
class DrawnSubpath:
    """Segments end to end as a file draws them in one go, in its own units until they are mapped.

    closed : whether the file says so; an end that merely meets the start is open
    """

    segments: tuple[Segment, ...]
    closed: bool

    def mapped(self, by: Affine) -> DrawnSubpath:
        return DrawnSubpath(tuple(segment.mapped(by) for segment in self.segments), self.closed)

    def chords(self, sagitta: float) -> Floats:
        """(n, 2) points; of a closed one the first is not repeated."""
        parts = [segment.chords(sagitta) for segment in self.segments]
        return np.vstack([parts[0][:1], *(part[1:] for part in parts)])

    def circle(self) -> Circle | None:
        """The circle on which all of it lies; None where there is none."""
        return common_circle(self.segments)


def common_circle(segments: Sequence[Segment]) -> Circle | None:
    """The circle of which all segments in mm are arcs, but for lines of no length; None where there is none."""
    found: Circle | None = None
    for segment in segments:
        if isinstance(segment, Line) and dist(segment.start, segment.end) <= _NO_LENGTH:
            continue
        if not isinstance(segment, Arc) or (radius := segment.radius) is None or not isfinite(radius):
            return None
        circle = Circle(segment.centre, 2 * radius)
        if found is None:
            found = circle
        elif not same_circle(found, circle):
            return None
    return found


def same_circle(one: Circle, other: Circle) -> bool:
    """Whether two circles are one but for the rounding of a file."""
    (x, y), (u, v) = one.centre, other.centre
    rough = 1e-4 + 1e-9 * one.diameter
    return abs(one.diameter - other.diameter) <= rough and hypot(x - u, y - v) <= rough


def circle_arc(centre: Point, radius: float, first: float, sweep: float) -> Arc:
    """An arc of a circle; angles in radians."""
    return Arc(centre, (radius, 0.0), (0.0, radius), first, sweep)


def arc_by_bulge(start: Point, end: Point, bulge: float) -> Segment:
    """The arc of a quarter of whose sweep the tangent is `bulge`, < 0 clockwise; a line for 0."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    if bulge == 0 or (dx == 0 and dy == 0):
        return Line(start, end)
    # From the middle of the chord to the centre, as a share of the chord, to its left.
    share = (1 - bulge * bulge) / (4 * bulge)
    centre = ((start[0] + end[0]) / 2 - dy * share, (start[1] + end[1]) / 2 + dx * share)
    ray = (start[0] - centre[0], start[1] - centre[1])
    sweep = 4 * atan2(bulge, 1.0)
    return Arc(centre, ray, (-ray[1], ray[0]), 0.0, sweep)


def polar(centre: Point, radius: float, angle: float) -> Point:
    """The place at an angle (radians) on a circle."""
    return centre[0] + radius * cos(angle), centre[1] + radius * sin(angle)
