"""Loops inside an area as drawn: the lines and arcs of its outline moved inwards, none of them fitted.

An engine that moves areas in chords tells how a loop goes: beside which segments of the outline, and round which of its
corners. What it rounds is left out; each segment is moved by itself, exactly, and where two meet they cross, or an arc
of the rounding that is wanted leads from one to the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import acos, dist, pi, radians
from typing import NamedTuple

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes.drawn_area import DrawnArea
from toolpaths.shapes.moved_curves import Curve, crossing, curve_of
from toolpaths.shapes.track import Segment, Track

# mm; a segment shorter than this is left out, and its neighbours go on to meet.
_SHORT = 0.12
# A bend of less than this, in radians, between segments that follow each other is none.
_SMOOTH = radians(3.0)
# A corner that turns less than this is not rounded.
_SLIGHT = radians(1.0)
# How often segments that turn out short are left out.
_TRIES = 4
# A loop is no longer or shorter than the ring that tells it by more than this share.
_AS_LONG = 0.02


class _Stretch(NamedTuple):
    """Chords of a ring, from one vertex to another, that run beside a curve.

    label : the number of a segment of the outline, or so many more for the corner at its start
    length : mm of them
    """

    label: int
    first: int
    last: int
    curve: Curve
    length: float


class _Joint(NamedTuple):
    """Where a segment ends, the arc from there to the next one, and where that begins."""

    end: Point
    rounding: tuple[Segment, ...]
    start: Point


class _Corner(NamedTuple):
    """A vertex of the outline: unit vectors of the directions in which it is reached and left, and the turn between."""

    place: Point
    reached: Point
    left: Point
    turn: float


class RingToFollow(NamedTuple):
    """A ring that a loop follows.

    points : (n, 2) of the ring, the area on its left
    away : mm from the outline
    rounding : radius of its corners; 0 for sharp ones
    """

    points: Floats
    away: float
    rounding: float


@dataclass(frozen=True, eq=False)
class DrawnLoops:
    """What runs at any distance inside an area.

    within : mm by which the rings that tell it may be off
    """

    drawn: DrawnArea
    within: float

    def loops(self, rings: Sequence[RingToFollow]) -> list[Track | None]:
        """The loops that rings follow, all looked up in one go; None for a ring that follows none."""
        if not self.drawn.tracks or not rings:
            return [None] * len(rings)
        found = [self._loop(ring, stretches) for ring, stretches in zip(rings, self._stretches(rings), strict=True)]
        follows = iter(self._follow([(track, ring.points) for track, ring in zip(found, rings) if track is not None]))
        return [track if track is not None and next(follows) else None for track in found]

    def _loop(self, ring: RingToFollow, stretches: list[_Stretch]) -> Track | None:
        """The loop that goes beside these stretches of a ring."""
        points, away, rounding = ring
        for _ in range(_TRIES):
            if len(stretches) < 2:
                return None
            joints = [
                self._joint(a, b, points, away, rounding) for a, b in zip(stretches, [*stretches[1:], stretches[0]])
            ]
            segments, kept = list[Segment](), list[_Stretch]()
            for stretch, before, after in zip(stretches, [joints[-1], *joints], joints):
                if before is None or after is None:
                    return None
                found = stretch.curve.segments(before.start, after.end) if before.start != after.end else []
                if _goes_on(found, stretch):
                    kept.append(stretch)
                    segments += [*found, *after.rounding]
            if len(kept) == len(stretches):
                return Track(tuple(segments), True)
            stretches = _merged(kept)
        return None

    def _stretches(self, rings: Sequence[RingToFollow]) -> Iterator[list[_Stretch]]:
        """Each ring in stretches beside one curve each, from a joint on, without those that run beside none."""
        counts = [len(ring.points) for ring in rings]
        points, ends = np.concatenate([ring.points for ring in rings]), np.cumsum(counts)
        after = np.arange(1, len(points) + 1)
        after[ends - 1] = ends - counts
        ahead = points[after]
        steps = np.hypot(*(ahead - points).T)
        labels, far = self.drawn.nearest.find((ahead + points) / 2, counts)
        labels = np.where(np.abs(far - np.repeat([ring.away for ring in rings], counts)) <= self.within / 2, labels, -1)
        changed = np.empty(len(points), bool)
        changed[after] = labels[after] != labels
        for ring, end, count in zip(rings, ends.tolist(), counts):
            own = slice(end - count, end)
            changes, numbers = np.flatnonzero(changed[own]).tolist(), labels[own].tolist()
            along = [0.0, *np.cumsum(steps[own]).tolist()]
            found = []
            for first, last in zip(changes, [*changes[1:], *changes[:1]]):
                length = along[last] - along[first] + (along[-1] if last <= first else 0.0)
                label = numbers[first]
                curve = self._curve(label, ring.away) if label >= 0 and length >= _SHORT else None
                if curve is not None:
                    found.append(_Stretch(label, first, last, curve, length))
            yield _merged(found)

    @cached_property
    def _curves(self) -> list[Curve]:
        """What each segment of the outline lies on."""
        return [curve_of(segment) for segment in self.drawn.segments]

    @cached_property
    def _corners(self) -> list[_Corner]:
        """Where each segment of the outline begins: the same for every loop."""
        found = []
        for segment, before, after in zip(self.drawn.segments, self.drawn.before, self._curves, strict=True):
            place = segment.start
            ahead, on = self._curves[before].heading(place), after.heading(place)
            found.append(_Corner(place, ahead, on, _turn(ahead, on)))
        return found

    def _curve(self, label: int, away: float) -> Curve | None:
        """The segment with this label, or the corner, moved inwards."""
        segments, count = self.drawn.segments, len(self.drawn.segments)
        if label >= count:
            return Curve(segments[label - count].start, radius=-away)
        return self._curves[label].moved(away)

    def _joint(self, a: _Stretch, b: _Stretch, points: Floats, away: float, rounding: float) -> _Joint | None:
        """Where one stretch goes over into the next; None where they do not meet."""
        met = self._smoothly(a, b, away)
        if met is not None:
            return _Joint(met, (), met)
        between = (b.first - a.last) % len(points)
        x, y = points[(a.last + between // 2) % len(points)].tolist()
        met = crossing(a.curve, b.curve, (x, y))
        if met is None or dist(met, (x, y)) > _SHORT:
            # Two that hardly bend, with next to nothing between them, meet there.
            apart = [dist((x, y), curve.nearest((x, y))) for curve in (a.curve, b.curve)]
            slight = abs(_turn(a.curve.heading((x, y)), b.curve.heading((x, y)))) <= _SLIGHT
            if slight and max(apart) <= self.within / 2:
                met = (x, y)
        if rounding and (met is None or _turn(a.curve.heading(met), b.curve.heading(met)) > _SLIGHT):
            rounded = _rounded(a.curve, b.curve, (x, y), rounding)
            if rounded is not None:
                return rounded
        return None if met is None else _Joint(met, (), met)

    def _smoothly(self, a: _Stretch, b: _Stretch, away: float) -> Point | None:
        """Where two stretches meet that run beside the same vertex of the outline, but at a corner that closes."""
        count = len(self.drawn.segments)
        number = b.label % count
        if a.label not in (number + count, self.drawn.before[number]) or a.label == b.label:
            return None
        (x, y), (ax, ay), (bx, by), turn = self._corners[number]
        if b.label >= count:
            return x - away * ay, y + away * ax
        if a.label >= count:
            return x - away * by, y + away * bx
        if abs(turn) > _SMOOTH:
            return None
        share = away / (1 + ax * bx + ay * by)
        return x - share * (ay + by), y + share * (ax + bx)

    def _follow(self, pairs: Sequence[tuple[Track, Floats]]) -> list[bool]:
        """Of each track and (n, 2) points of a ring, whether it goes where that does, all the way."""
        if not pairs:
            return []
        rings = np.array([shapely.linearrings(points) for _, points in pairs])
        lengths, shapes = np.array([track.length for track, _ in pairs]), [track.segments for track, _ in pairs]
        places = [place for segments in shapes for segment in segments for place in (segment.start, segment.at(0.5))]
        counts = np.array([2 * len(segments) for segments in shapes])
        shapely.prepare(rings)
        near = shapely.dwithin(np.repeat(rings, counts), shapely.points(places), self.within)
        as_long = np.abs(lengths - shapely.length(rings)) <= _AS_LONG * shapely.length(rings)
        follows: list[bool] = (as_long & np.logical_and.reduceat(near, np.cumsum(counts) - counts)).tolist()
        return follows


def _goes_on(segments: list[Segment], stretch: _Stretch) -> bool:
    """Whether segments go ahead along a stretch, and are long enough to be told."""
    length = sum(segment.length for segment in segments)
    if length < _SHORT:
        return False
    ahead = stretch.curve.ahead
    if stretch.curve.radius:
        # One that ends before it begins goes almost once round, unlike its chords.
        return length < pi * abs(stretch.curve.radius) or length < 2 * stretch.length
    (x0, y0), (x1, y1) = segments[0].start, segments[-1].end
    return (x1 - x0) * ahead[0] + (y1 - y0) * ahead[1] > 0


def _merged(stretches: list[_Stretch]) -> list[_Stretch]:
    """Stretches beside the same curve that follow each other as one."""
    found: list[_Stretch] = []
    for stretch in stretches:
        if found and found[-1].label == stretch.label:
            found[-1] = found[-1]._replace(last=stretch.last, length=found[-1].length + stretch.length)
        else:
            found.append(stretch)
    if len(found) > 1 and found[0].label == found[-1].label:
        last = found.pop()
        found[0] = found[0]._replace(first=last.first, length=last.length + found[0].length)
    return found


def _turn(before: Point, after: Point) -> float:
    """The turn from one unit vector to another, radians, > 0 to the left."""
    cosine = min(max(before[0] * after[0] + before[1] * after[1], -1.0), 1.0)
    cross = before[0] * after[1] - before[1] * after[0]
    return acos(cosine) if cross > 0 else -acos(cosine)


def _rounded(a: Curve, b: Curve, corner: Point, radius: float) -> _Joint | None:
    """An arc to the left from one curve to the next."""
    beside_a, beside_b = a.moved(radius), b.moved(radius)
    centre = None if beside_a is None or beside_b is None else crossing(beside_a, beside_b, corner)
    if centre is None:
        return None
    start, end = a.nearest(centre), b.nearest(centre)
    if dist(start, end) < _SHORT:
        return None
    return _Joint(start, tuple(Curve(centre, radius=radius).segments(start, end)), end)
