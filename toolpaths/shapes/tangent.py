"""A short stretch of smooth curve as arcs that go on into each other without a bend.

In the coordinates of the curve itself, arcs joined without a bend are a spline: the distance to the
side is quadratic over each arc, and its slope is continuous. So the best of them follows from one
banded system of least squares. Their joints lie beside the curve, not on it, which is what lets as
few arcs as with bends do: the error of either is that of the third Bernoulli polynomial (derived).
The arcs themselves are then built one after the other, each tangent to the one before, and measured
against the polyline as they are; where one is off by more than the tolerance, it becomes shorter,
and where that does not help there is one arc more.

Sources: de Boor, A practical guide to splines (1978), for least squares by quadratic B-splines;
Bolton, Biarc curves (1975), and Meek and Walton (1995) for arcs joined without a bend. From memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes.track import Segment, wrapped

# Flatter arcs are written as lines: a controller's arithmetic suffers from huge radii.
LARGEST_RADIUS = 10_000.0
# An arc of up to half a turn is unambiguous on any controller; a circle becomes two.
LARGEST_SWEEP = pi * (1 + 1e-6)
# Rounds in which the joints move before there is one arc more.
_FIRST_ROUNDS, _ROUNDS = 3, 5
# An error grows with the third power of an arc's length; in one round that changes within these shares.
_SHORTER, _LONGER = 0.7, 1.25
# Where all arcs made as long as they may be come to less than this share of the whole, or are to change alike but for
# this, there is one more at once.
_FALLS_SHORT, _EVEN = 0.95, 1.01
# The polyline is parted beside a joint, not quite where its own normal is; a hundredth covers that.
_SURELY = 0.99
# A step shorter than this, in mm, has no direction.
_NO_STEP = 1e-9
# Directions this close, in radians, are one.
_SAME_HEADING = 1e-3

Ints = NDArray[np.int64]


class End(NamedTuple):
    """The direction of what comes before or after, radians, and by how much a chain may differ from it there."""

    heading: float
    slack: float


def chain(
    points: Floats,
    guide: Sequence[Segment],
    counts: Sequence[int],
    head: End | None,
    tail: End | None,
    tolerance: float,
    more: int,
) -> list[Segment] | None:
    """Tangent arcs from the first to the last of (n, 2) points, within the tolerance of the polyline; None if there
    are none with up to `more` arcs more than the guide has.

    guide : segments end to end that hold, if with bends
    counts : of steps from point to point beside each of them
    head, tail : how it must start and end; free where None
    """
    line = _Guide(points, guide, counts)
    if (np.diff(line.along) <= 0).any():
        return None
    first, last = (end.heading if end is not None and end.slack == 0 else None for end in (head, tail))
    for number in range(len(guide), len(guide) + more + 1):
        lengths = line.even(number)
        for _ in range(_ROUNDS if number > len(guide) else _FIRST_ROUNDS):
            if number == 1 and first is not None and last is not None:
                break
            knots = np.concatenate([[0.0], np.cumsum(lengths)])
            knots *= line.length / knots[-1]
            segments = line.arcs(knots, first, last)
            if segments is None:
                break
            off, widths = line.errors(segments, knots) / tolerance, np.diff(knots)
            shares = np.maximum(off, 1e-3) ** (-1 / 3)
            if off.max() <= _SURELY:
                good = _meets(head, segments[0].heading(0.0)), _meets(tail, segments[-1].heading(1.0))
                if all(good):
                    return segments
                first = first if good[0] or head is None else head.heading
                last = last if good[1] or tail is None else tail.heading
            elif (widths * shares).sum() < _FALLS_SHORT * line.length or shares.max() < _EVEN * shares.min():
                break
            lengths = widths * np.minimum(np.maximum(shares, _SHORTER), _LONGER)
    return None


def _meets(end: End | None, heading: float) -> bool:
    return end is None or abs(wrapped(heading - end.heading)) <= max(end.slack, _SAME_HEADING)


class _Guide:
    """The first fit as a line to measure along and aside from: for each point how far along, and how far left."""

    def __init__(self, points: Floats, segments: Sequence[Segment], counts: Sequence[int]) -> None:
        self.points, self.segments = points, segments
        lengths = np.array([segment.length for segment in segments])
        self.starts = np.concatenate([[0.0], np.cumsum(lengths)])
        self.length = float(self.starts[-1])
        self.bends = np.array([segment.sweep for segment in segments]) / lengths
        # Headings unwound along the way, from the first one on.
        self.origin = segments[0].heading(0.0)
        at, headings = 0.0, []
        for segment in segments:
            at += wrapped(segment.heading(0.0) - self.origin - at)
            headings.append(at)
            at += segment.sweep
        self.headings, self.arrival = np.array(headings), at
        self.left = np.concatenate([[0.0], np.cumsum(self.headings * lengths + self.bends * lengths**2 / 2)])
        # Each point's segment, and where it lies seen from that segment's start in its first direction.
        owner = np.append(np.repeat(np.arange(len(segments)), counts), len(segments) - 1)
        first = (self.headings + self.origin)[owner]
        rel = points - np.array([segment.start for segment in segments])[owner]
        ahead = rel[:, 0] * np.cos(first) + rel[:, 1] * np.sin(first)
        aside = rel[:, 1] * np.cos(first) - rel[:, 0] * np.sin(first)
        bend = self.bends[owner]
        side = np.sign(bend)
        with np.errstate(divide="ignore", invalid="ignore"):
            radius = 1 / np.abs(bend)
            inward = radius - aside * side
            turn = np.arctan2(ahead, inward)
            turn = np.where(turn < -0.5, turn + 2 * pi, turn)
            u = np.where(side == 0, ahead, turn * radius)
            off = np.where(side == 0, aside, side * (radius - np.hypot(ahead, inward)))
        self.along = self.starts[owner] + u
        self.along[0], self.along[-1] = 0.0, self.length
        off[0] = off[-1] = 0.0
        self.target = self._left(self.along) + off

    def _owner(self, along: Floats) -> Ints:
        return np.searchsorted(self.starts[1:-1], along, side="right")

    def _left(self, along: Floats) -> Floats:
        """The integral of the guide's own heading: how far to the left of straight on a spline counts it."""
        owner = self._owner(along)
        u = along - self.starts[owner]
        found: Floats = self.left[owner] + self.headings[owner] * u + self.bends[owner] * u * u / 2
        return found

    def even(self, number: int) -> Floats:
        """Lengths for so many arcs, in the proportions of the guide's."""
        marks = np.linspace(0, len(self.segments), number + 1)
        found: Floats = np.diff(np.interp(marks, np.arange(len(self.segments) + 1), self.starts))
        return found

    def arcs(self, knots: Floats, head: float | None, tail: float | None) -> list[Segment] | None:
        """Tangent arcs with joints at such lengths along the guide; None where too few points tell them."""
        widths = np.diff(knots)
        first = None if head is None else wrapped(head - self.origin)
        last = None if tail is None else self.arrival + wrapped(tail - self.origin - self.arrival)
        spline = _least_squares(self.along, self.target, knots, first, last)
        if spline is None:
            return None
        wide = np.concatenate([[0.0], widths, [0.0]])
        share = wide[1:] / (wide[:-1] + wide[1:])
        off = spline[:-1] * share + spline[1:] * (1 - share) - self._left(knots)
        joints = []
        for k, s, left in zip(self._owner(knots).tolist(), knots.tolist(), off.tolist()):
            share_of = (s - float(self.starts[k])) / self.segments[k].length
            (x, y), heading = self.segments[k].at(share_of), self.segments[k].heading(share_of)
            joints.append((x - sin(heading) * left, y + cos(heading) * left))
        joints[0], joints[-1] = self.segments[0].start, self.segments[-1].end
        heading = self.origin + 2 * float(spline[1] - spline[0]) / float(widths[0])
        segments = []
        for a, b in zip(joints, joints[1:]):
            segment, heading = tangent_arc(a, b, heading)
            segments.append(segment)
        return segments

    def errors(self, segments: list[Segment], knots: Floats) -> Floats:
        """How far each arc and its part of the polyline lie from each other, infinite where that goes back."""
        inner = knots[1:-1]
        at = np.searchsorted(self.along, inner)
        share = (inner - self.along[at - 1]) / (self.along[at] - self.along[at - 1])
        cut = self.points[at - 1] + (self.points[at] - self.points[at - 1]) * share[:, None]
        places = at + np.arange(len(inner))
        line = np.empty((len(self.points) + len(inner), 2))
        kept = np.ones(len(line), bool)
        kept[places] = False
        line[places], line[kept] = cut, self.points
        begins = np.concatenate([[0], places])
        counts = np.diff(np.append(begins, len(line) - 1))
        owner = np.repeat(np.arange(len(segments)), counts)
        found: Floats = np.maximum.reduceat(distances(segments, line, owner), begins)
        return np.where([abs(segment.sweep) > LARGEST_SWEEP for segment in segments], np.inf, found)


def distances(segments: Sequence[Segment], line: Floats, owner: Ints) -> Floats:
    """For each step of a polyline how far it lies from its segment, and that from it; infinite where it goes back."""
    flat = np.array([segment.sweep == 0 for segment in segments])[owner]
    side = np.array([-1.0 if segment.sweep < 0 else 1.0 for segment in segments])[owner]
    origin = np.array([segment.centre if segment.sweep else segment.start for segment in segments])[owner]
    radius = np.array([segment.radius if segment.sweep else 0.0 for segment in segments])[owner]
    a, b = line[:-1] - origin, line[1:] - origin
    step = b - a
    cross = a[:, 0] * step[:, 1] - a[:, 1] * step[:, 0]
    # A step comes nearest to the centre at its foot, or at one of its ends.
    square = (step * step).sum(axis=1)
    foot = -(a * step).sum(axis=1) / np.maximum(square, 1e-300)
    near = a + step * np.minimum(np.maximum(foot, 0.0), 1.0)[:, None]
    far = np.maximum(np.hypot(a[:, 0], a[:, 1]), np.hypot(b[:, 0], b[:, 1]))
    off = np.maximum(far - radius, radius - np.hypot(near[:, 0], near[:, 1]))
    forward = cross * side > 0
    if flat.any():
        way = np.array([(p.end[0] - p.start[0], p.end[1] - p.start[1]) for p in segments])[owner]
        length = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-300)
        aside = [np.abs(way[:, 0] * p[:, 1] - way[:, 1] * p[:, 0]) for p in (a, b)]
        off = np.where(flat, np.maximum(*aside) / length, off)
        forward = np.where(flat, (way * step).sum(axis=1) > 0, forward)
    # A step of no length, as where a line is parted at a vertex, goes neither on nor back.
    return np.where(forward | (square < _NO_STEP**2), off, np.inf)


def tangent_arc(a: Point, b: Point, heading: float) -> tuple[Segment, float]:
    """The arc from a to b that leaves a along `heading`, and the heading with which it comes to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    half = wrapped(atan2(dy, dx) - heading)
    out = heading + 2 * half
    if abs(2 * LARGEST_RADIUS * sin(half)) <= hypot(dx, dy):
        return Segment(a, b), out
    # The centre lies on the chord's bisector, to the left where the arc turns left.
    rise = cos(half) / sin(half) / 2
    return Segment(a, b, (a[0] + dx / 2 - dy * rise, a[1] + dy / 2 + dx * rise), 2 * half), out


def _least_squares(
    along: Floats, target: Floats, knots: Floats, head: float | None, tail: float | None
) -> Floats | None:
    """Coefficients of the quadratic spline nearest to the targets; its ends are kept, and slopes there if given."""
    widths = np.diff(knots)
    size = len(widths) + 2
    inner, goal = along[1:-1], target[1:-1]
    span = np.searchsorted(knots[1:-1], inner, side="right")
    wide = np.concatenate([[0.0], widths, [0.0]])
    t = (inner - knots[span]) / widths[span]
    first = (1 - t) ** 2 * wide[span + 1] / (wide[span] + wide[span + 1])
    third = t**2 * wide[span + 1] / (wide[span + 1] + wide[span + 2])
    basis = (first, 1 - first - third, third)
    weight = np.abs(along[2:] - along[:-2])
    bands = [np.zeros(size) for _ in range(3)]
    right = np.zeros(size)
    for i in range(3):
        right += np.bincount(span + i, weight * basis[i] * goal, size)
        for j in range(i, 3):
            bands[j - i] += np.bincount(span + i, weight * basis[i] * basis[j], size)
    known = {0: float(target[0]), size - 1: float(target[-1])}
    if head is not None:
        known[1] = known[0] + head * float(widths[0]) / 2
    if tail is not None:
        known[size - 2] = known[size - 1] - tail * float(widths[-1]) / 2
    return _solved(bands, right, known)


def _solved(bands: list[Floats], right: Floats, known: dict[int, float]) -> Floats | None:
    """A symmetric system with two bands beside its diagonal, some of its unknowns known; None where it is singular."""
    d, e, f = (band.tolist() for band in bands)
    r = right.tolist()
    size = len(d)
    for i, value in known.items():
        for j, band, k in ((i - 2, f, i - 2), (i - 1, e, i - 1), (i + 1, e, i), (i + 2, f, i)):
            if 0 <= j < size:
                r[j] -= band[k] * value
                band[k] = 0.0
        d[i] = max(d[i], 1.0)
    for i, value in known.items():
        r[i] = d[i] * value
    least = 1e-7 * max(d)
    for i in range(size):
        if d[i] <= least:
            return None
        if i + 1 < size:
            low = e[i] / d[i]
            d[i + 1] -= low * e[i]
            r[i + 1] -= low * r[i]
            if i + 2 < size:
                e[i + 1] -= low * f[i]
                low = f[i] / d[i]
                d[i + 2] -= low * f[i]
                r[i + 2] -= low * r[i]
    for i in reversed(range(size)):
        after = e[i] * r[i + 1] if i + 1 < size else 0.0
        after += f[i] * r[i + 2] if i + 2 < size else 0.0
        r[i] = (r[i] - after) / d[i]
    return np.array(r)
