"""A track: where a cutter's axis goes in the plane, as lines and arcs end to end, measured by length."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import atan2, cos, dist, hypot, pi, sin
from typing import NamedTuple

from toolpaths.base.errors import Point

# mm; what is shorter is left out where a track is parted.
_NOTHING = 1e-9


class Segment(NamedTuple):
    """A line (sweep 0) or an arc about `centre`, sweep in radians, anticlockwise > 0."""

    start: Point
    end: Point
    centre: Point = (0.0, 0.0)
    sweep: float = 0.0

    @property
    def radius(self) -> float:
        """Radius of an arc; infinite for a line."""
        if self.sweep == 0:
            return float("inf")
        return dist(self.start, self.centre)

    @property
    def length(self) -> float:
        if self.sweep == 0:
            return dist(self.start, self.end)
        return dist(self.start, self.centre) * abs(self.sweep)

    def at(self, share: float) -> Point:
        """The point a share 0..1 of the way along."""
        if share <= 0:
            return self.start
        if share >= 1:
            return self.end
        (x0, y0), (x1, y1) = self.start, self.end
        if self.sweep == 0:
            return x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        (cx, cy), turn = self.centre, self.sweep * share
        dx, dy, c, s = x0 - cx, y0 - cy, cos(turn), sin(turn)
        return cx + dx * c - dy * s, cy + dx * s + dy * c

    def part(self, a: float, b: float) -> Segment:
        """The segment between two shares of the way."""
        return Segment(self.at(a), self.at(b), self.centre, self.sweep * (b - a))

    def heading(self, share: float) -> float:
        """Direction of travel there, radians."""
        if self.sweep == 0:
            return atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])
        x, y = self.at(share)
        return atan2(y - self.centre[1], x - self.centre[0]) + (pi / 2 if self.sweep > 0 else -pi / 2)

    def nearest(self, place: Point) -> tuple[float, float]:
        """(share of the way, distance) of the point of the segment nearest to a place."""
        (x0, y0), (x1, y1), (px, py) = self.start, self.end, place
        if self.sweep == 0:
            dx, dy = x1 - x0, y1 - y0
            along = ((px - x0) * dx + (py - y0) * dy) / max(dx * dx + dy * dy, 1e-300)
            share = min(max(along, 0.0), 1.0)
        else:
            cx, cy = self.centre
            turn = atan2(py - cy, px - cx) - atan2(y0 - cy, x0 - cx)
            turn = turn % (2 * pi) if self.sweep > 0 else -(-turn % (2 * pi))
            share = turn / self.sweep
            if share > 1:
                share = min((0.0, 1.0), key=lambda s: hypot(self.at(s)[0] - px, self.at(s)[1] - py))
        x, y = self.at(share)
        return share, hypot(x - px, y - py)

    def farthest(self, place: Point) -> float:
        """mm from a place to the point of the segment farthest from it."""
        if self.sweep == 0:
            return max(dist(self.start, place), dist(self.end, place))
        # On a circle the farthest from a place is the nearest to where its centre mirrors that.
        (cx, cy), (x, y) = self.centre, place
        share, _ = self.nearest((2 * cx - x, 2 * cy - y))
        return dist(self.at(share), place)

    def reversed(self) -> Segment:
        return Segment(self.end, self.start, self.centre, -self.sweep)


def wrapped(angle: float) -> float:
    """The same direction or turn in [-pi, pi)."""
    return (angle + pi) % (2 * pi) - pi


def turn_between(before: Segment, after: Segment) -> float:
    """By how much the direction changes from the end of a segment to the start of another, radians, 0 to pi."""
    return abs(wrapped(after.heading(0.0) - before.heading(1.0)))


@dataclass(frozen=True)
class Track:
    """Segments end to end. On a closed track lengths go on past one round, for as many rounds as asked."""

    segments: tuple[Segment, ...]
    closed: bool

    @cached_property
    def lengths(self) -> list[float]:
        """Length of each segment."""
        return [segment.length for segment in self.segments]

    @cached_property
    def ends(self) -> list[float]:
        """Length from the start to the end of each segment."""
        return list(accumulate(self.lengths))

    @property
    def length(self) -> float:
        return self.ends[-1]

    @property
    def start(self) -> Point:
        return self.segments[0].start

    def at(self, along: float) -> Point:
        """The point at a length along the track; round and round a closed one."""
        segment, share = self._locate(along % self.length if self.closed else along)
        return segment.at(share)

    def heading(self, along: float) -> float:
        """Direction of travel at a length along it, radians; at a joint that of the segment that begins there."""
        segment, share = self._locate(along % self.length if self.closed else along)
        return segment.heading(share)

    def _locate(self, along: float) -> tuple[Segment, float]:
        index = min(bisect_right(self.ends, along), len(self.segments) - 1)
        length = self.lengths[index]
        return self.segments[index], (along - (self.ends[index] - length)) / length

    def between(self, a: float, b: float) -> list[Segment]:
        """The segments from length a to length b > a; on a closed track b may lie rounds further."""
        out: list[Segment] = []
        rounds = int(a // self.length) if self.closed else 0
        index = bisect_right(self.ends, a - rounds * self.length)
        start = rounds * self.length + (self.ends[index - 1] if index else 0.0)
        while start < b - _NOTHING:
            if index == len(self.segments):
                if not self.closed:
                    break
                index, rounds = 0, rounds + 1
            segment, end = self.segments[index], rounds * self.length + self.ends[index]
            if a <= start and end <= b:
                if end - start > _NOTHING:
                    out.append(segment)
            elif min(end, b) - max(start, a) > _NOTHING:
                # The share 1 gives the end as it is, so that segments go on meeting exactly.
                length = end - start
                out.append(segment.part(max(a - start, 0.0) / length, 1.0 if end <= b else (b - start) / length))
            start, index = end, index + 1
        return out

    def nearest(self, place: Point) -> tuple[float, float]:
        """(length along the track, distance) of the point of the track nearest to a place."""
        found = []
        for segment, length, end in zip(self.segments, self.lengths, self.ends, strict=True):
            share, away = segment.nearest(place)
            found.append((end - (1 - share) * length, away))
        return min(found, key=lambda each: each[1])

    def starting_at(self, along: float) -> Track:
        """A closed track begun elsewhere."""
        return Track(tuple(self.between(along, along + self.length)), True)

    def reversed(self) -> Track:
        return Track(tuple(segment.reversed() for segment in reversed(self.segments)), self.closed)


def circle_track(centre: Point, radius: float, clockwise: bool, from_angle: float = 0.0) -> Track:
    """A full circle as two half arcs."""
    (cx, cy), dx, dy = centre, radius * cos(from_angle), radius * sin(from_angle)
    a, b, sweep = (cx + dx, cy + dy), (cx - dx, cy - dy), -pi if clockwise else pi
    return Track((Segment(a, b, centre, sweep), Segment(b, a, centre, sweep)), True)
