"""Where true lines and arcs of a polyline touch: their tangent point, if it is no vertex.

An engine that moves or thins out a polyline cuts off the vertex at which a side became an arc; the
chord left there spans both. Each of the two is known from its other vertices, and so is the point
at which they touch. Likewise it rounds the vertex between two sides: where they hardly bend, that arc
is shorter than a cutter notices, and within the tolerance they meet in a point again.
"""

from __future__ import annotations

from math import hypot, pi, radians

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes.curves import centre_of, sweep_between
from toolpaths.shapes.spans import Polyline, Span
from toolpaths.shapes.tangent import LARGEST_SWEEP, distances
from toolpaths.shapes.track import Segment, turn_between

# Two segments may be off each other where they should touch by this share of the tolerance.
_OFF = 0.5
# Bends below the one, in radians, are rounding; those above the other are corners.
_NO_BEND, _CORNER = radians(0.02), radians(11.0)
# The tangent point is looked for among the chords between two segments, at most so many, and as many on either side.
_GAP = _NEAR = 3
# A tangent point this near to a vertex, as a share of the tolerance, is that vertex.
_AT_VERTEX = 0.2
# Points nearer than this, in mm, are one.
_NOTHING = 1e-9


def joined(line: Polyline, spans: list[Span], closed: bool) -> list[Span]:
    """The spans, true ones that meet with a bend, or a chord or so apart, made to touch where they can.

    A span may then begin or end beside the polyline; its vertices are those between.
    """
    once = _joined(line, spans, closed)
    # Twice: where one end of an arc did not touch because of the other, it may afterwards.
    return once if once == spans else _joined(line, once, closed)


def _joined(line: Polyline, spans: list[Span], closed: bool) -> list[Span]:
    spans = list(spans)
    k = 0
    while k < len(spans) - (not closed):
        after, beyond = (k + 1) % len(spans), (k + 2) % len(spans)
        gap = spans[after].last - spans[after].first
        if len(spans) > 2 and (closed or beyond > k) and gap <= (1 if spans[after].true else _GAP):
            met = _met(line, spans[k], spans[beyond], closed)
            if met is not None:
                spans[k], spans[beyond] = met
                del spans[after]
                k += k < after
                continue
        met = _met(line, spans[k], spans[after], closed) if len(spans) > 1 else None
        if met is not None:
            spans[k], spans[after] = met
        k += 1
    return spans


def _met(line: Polyline, before: Span, after: Span, closed: bool) -> tuple[Span, Span] | None:
    """Both made to meet where they touch; None where they do not, or already do."""
    if not (before.true and after.true):
        return None
    if before.segment.sweep == 0 and after.segment.sweep == 0:
        return _crossed(line, before, after, closed)
    bend = turn_between(before.segment, after.segment)
    if bend > _CORNER or (bend < _NO_BEND and before.segment.end == after.segment.start):
        return None
    touching = _touching(before.segment, after.segment, _OFF * line.tolerance)
    if touching is None:
        return None
    vertices = line.points[: line.last] if closed else line.points
    count = len(vertices)
    near = np.arange(before.last - _NEAR, before.last + (after.first - before.last) % count + _NEAR + 1)
    near = near % count if closed else near[(near >= 0) & (near < count)]
    last, first, off = _vertices_next_to(vertices[near], touching, _AT_VERTEX * line.tolerance)
    if last == first:
        touching = line.places[near[last]]
    before, after = before._replace(last=int(near[last])), after._replace(first=int(near[first]))
    met = []
    for span, start, end in ((before, before.segment.start, touching), (after, touching, after.segment.end)):
        inner = vertices[(span.first + np.arange((span.last - span.first) % count + 1)) % count]
        segment = _through(start, inner[len(inner) // 2], end, span.segment)
        if segment is None or not _holds(segment, inner, line.tolerance - off):
            return None
        met.append(span._replace(segment=segment))
    if turn_between(met[0].segment, met[1].segment) > bend:
        return None
    return met[0], met[1]


def _crossed(line: Polyline, before: Span, after: Span, closed: bool) -> tuple[Span, Span] | None:
    """Two sides that hardly bend made to meet where their lines cross, close to the short steps between them."""
    (x0, y0), (x1, y1) = before.segment.start, before.segment.end
    (x2, y2), (x3, y3) = after.segment.start, after.segment.end
    if (x1, y1) == (x2, y2) or turn_between(before.segment, after.segment) > _CORNER:
        return None
    ux, uy, vx, vy = x1 - x0, y1 - y0, x3 - x2, y3 - y2
    sine = ux * vy - uy * vx
    if abs(sine) < _NO_BEND * before.segment.length * after.segment.length:
        return None
    ahead = ((x2 - x1) * vy - (y2 - y1) * vx) / sine
    crossing = (x1 + ux * ahead, y1 + uy * ahead)
    # Both are made longer, as far as the point lies beyond what is between them.
    back = ((crossing[0] - x2) * vx + (crossing[1] - y2) * vy) / (vx * vx + vy * vy)
    if ahead <= 0 or back >= 0:
        return None
    vertices = line.points[: line.last] if closed else line.points
    between = vertices[(before.last + np.arange((after.first - before.last) % len(vertices) + 1)) % len(vertices)]
    chords = zip(between.tolist(), between[1:].tolist())
    if min(Segment((ax, ay), (bx, by)).nearest(crossing)[1] for (ax, ay), (bx, by) in chords) > line.tolerance:
        return None
    return (
        before._replace(segment=Segment(before.segment.start, crossing)),
        after._replace(segment=Segment(crossing, after.segment.end)),
    )


def _vertices_next_to(places: Floats, touching: Point, at_vertex: float) -> tuple[int, int, float]:
    """Which of some vertices in a row a point is one of, twice, or which two it lies between, and how far aside."""
    off = np.hypot(*(places - touching).T)
    nearest = int(np.argmin(off))
    if off[nearest] < at_vertex:
        return nearest, nearest, 0.0
    steps = np.diff(places, axis=0)
    share = np.clip(((touching - places[:-1]) * steps).sum(axis=1) / (steps * steps).sum(axis=1), 0.0, 1.0)
    off = np.hypot(*(places[:-1] + steps * share[:, None] - touching).T)
    k = int(np.argmin(off))
    return k, k + 1, float(off[k])


def _touching(a: Segment, b: Segment, tolerance: float) -> Point | None:
    """The point where the line or circle of one segment touches that of the other, if they do within the tolerance."""
    if a.sweep == 0 and b.sweep == 0:
        return None
    if a.sweep == 0 or b.sweep == 0:
        straight, curved = (a, b) if a.sweep == 0 else (b, a)
        # The line stays where it is: the foot of the centre on it.
        (x, y), (x1, y1), (cx, cy) = straight.start, straight.end, curved.centre
        share = ((cx - x) * (x1 - x) + (cy - y) * (y1 - y)) / straight.length**2
        foot = (x + (x1 - x) * share, y + (y1 - y) * share)
        return foot if abs(hypot(foot[0] - cx, foot[1] - cy) - curved.radius) <= tolerance else None
    (x, y), (x1, y1) = a.centre, b.centre
    apart = hypot(x1 - x, y1 - y)
    if apart == 0:
        return None
    # Both touch on the line through the centres: side by side, or the smaller one inside the other.
    ux, uy = (x1 - x) / apart, (y1 - y) / apart
    if a.sweep * b.sweep < 0:
        first, second = a.radius, apart - b.radius
    elif a.radius > b.radius:
        first, second = a.radius, apart + b.radius
    else:
        first, second = -a.radius, apart - b.radius
    if abs(first - second) > tolerance:
        return None
    away = (first + second) / 2
    return x + ux * away, y + uy * away


def _through(start: Point, middle: Floats, end: Point, like: Segment) -> Segment | None:
    """A line, or an arc that turns as another does, with new ends."""
    if start == end:
        return None
    if like.sweep == 0:
        return Segment(start, end)
    centre = centre_of(start, (float(middle[0]), float(middle[1])), end)
    if centre is None:
        return None
    sweep = sweep_between(centre, start, end, like.sweep < 0)
    if abs(sweep) > LARGEST_SWEEP:
        # Half a turn but for rounding, or else it will not hold.
        centre, sweep = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), -pi if sweep < 0 else pi
    return Segment(start, end, centre, sweep)


def _holds(segment: Segment, inner: Floats, tolerance: float) -> bool:
    """Whether a segment lies within the tolerance of the vertices beside it and their chords, its own ends included."""
    line = np.vstack([segment.start, inner, segment.end])
    line = line[np.append(True, np.abs(np.diff(line, axis=0)).max(axis=1) > _NOTHING)]
    return len(line) > 1 and bool(
        (distances([segment], line, np.zeros(len(line) - 1, dtype=np.int64)) <= tolerance).all()
    )
