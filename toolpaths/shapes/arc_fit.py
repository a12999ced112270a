"""From a polyline to lines and arcs that stay within a tolerance of it.

Greedy: from each vertex the longest line or arc that fits is taken. An arc passes through its
first, a middle and its last vertex; it fits if every vertex between lies within the tolerance of it
and it of every chord, so that long straight sides never become arcs and a coarse polygon stays one.

True lines and arcs in the polyline keep their ends and radii (`spans`). On a curve the arcs so found
meet with hardly a bend, but where its curvature is greatest or least; there the next arc is taken
shorter, and where that is not enough a few arcs are made anew without any bend (`tangent`).
"""

from __future__ import annotations

from math import radians

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import ShapeError
from toolpaths.shapes.exact_arcs import ExactArc, exact_arcs, parted
from toolpaths.shapes.spans import COINCIDENT, CORNER, Polyline, Span
from toolpaths.shapes.tangent import End, chain
from toolpaths.shapes.touch import joined
from toolpaths.shapes.track import Segment, Track, turn_between

# Segments of a curve may meet at so much of a bend; a twentieth of what would be felt at full feed.
_BEND = radians(0.45)
# An arc that fits a curve may be off its direction by this many tolerances over its length: an error
# of 0.008 k l^3 for a change k of curvature, and k l^2/12 of direction (derived). More is a corner.
_LOOSE = 12.0
_ROUNDING, _CORNER = 0.002, 0.2
# Shares of what would fit that a segment is shortened to for the sake of a small bend.
_SHORTER = (0.95, 0.9, 0.85, 0.8, 0.7, 0.6)
# Segments on either side of a bend that are made anew with it.
_NEIGHBOURS = 2
# Where more than so many of them have bends, the polyline is rough, and no curve.
_MOST_BENT = 0.6


def fit(points: Floats, closed: bool, tolerance: float) -> Track:
    """Lines and arcs within `tolerance` mm of the (n, 2) points and their chords, and these of them.

    closed : whether the last point joins the first (not repeated)
    """
    points = distinct(points, closed)
    if len(points) < 2:
        x, y = points[0].tolist()
        raise ShapeError(f"A path at ({x:.3f}, {y:.3f}) has no length.", (x, y))
    if closed:
        begun = _from_corner(points)
        line, arcs, guess = _from_true_end(np.vstack([begun, begun[:1]]), tolerance)
    else:
        line, arcs, guess = Polyline(points, tolerance), exact_arcs(points, tolerance), 2
    spans = joined(line, _spans(line, arcs, guess), closed)
    return Track(tuple(_without_bends(line, spans, closed)), closed)


def distinct(points: Floats, closed: bool) -> Floats:
    """The points without those that repeat the one before."""
    apart = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > COINCIDENT
    if not closed or not apart.any():
        apart[0] = True
    kept: Floats = points[apart]
    return kept


def _from_corner(points: Floats) -> Floats:
    """The ring begun at its sharpest corner, or in a smooth one at its longest side, so that no arc is split."""
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    straight = (before * after).sum(axis=1) / (np.hypot(*before.T) * np.hypot(*after.T))
    begin = np.argmin(straight) if straight.min() < CORNER else np.argmax(np.hypot(*after.T))
    return np.roll(points, -int(begin), axis=0)


def _from_true_end(ring: Floats, tolerance: float) -> tuple[Polyline, list[ExactArc], int]:
    """A ring begun where the true line or arc ends with which it now begins, so that this one is not parted; the arcs
    that it was drawn from; and a guess at the steps of a segment."""
    line, arcs, guess = Polyline(ring, tolerance), exact_arcs(ring, tolerance), 2
    if arcs and arcs[0].first == 0 and arcs[0].last < line.last:
        begin = arcs[0].last
    else:
        guess, segment = line.longest(0, line.last, 2)
        part = line.true_part(0, guess, segment, 0)
        if part is None or part[1] == line.last:
            return line, arcs, guess
        begin = part[1]
    begun = np.roll(ring[:-1], -begin, axis=0)
    begun = np.vstack([begun, begun[:1]])
    return Polyline(begun, tolerance), exact_arcs(begun, tolerance), guess


def _spans(line: Polyline, arcs: list[ExactArc], guess: int) -> list[Span]:
    """The polyline as spans end to end, true ones where it holds such: first of all the arcs that it was drawn from."""
    spans: list[Span] = []
    for arc in arcs:
        _add_spans(line, spans, spans[-1].last if spans else 0, arc.first, guess)
        spans += [Span(i, j, segment, True) for i, j, segment in parted(line.points, arc)]
    _add_spans(line, spans, spans[-1].last if spans else 0, line.last, guess)
    return spans


def _add_spans(line: Polyline, spans: list[Span], i: int, last: int, guess: int) -> None:
    """Adds spans from vertex i, where the last one ends, to another."""
    while i < last:
        if guess <= 2 and line.alone[i]:
            # A side of a polygon.
            spans.append(Span(i, i + 1, Segment(line.places[i], line.places[i + 1]), True))
            i += 1
            continue
        j, segment = line.longest(i, last, guess)
        found = _true(line, i, j, segment, spans[-1] if spans else None, last)
        if found is None:
            j, segment = _less_bent(line, spans, i, j, segment)
            spans.append(Span(i, j, segment, False))
            guess = j - i
        else:
            if found.first < i:
                i = spans.pop().first
            _fill(line, spans, i, found.first)
            spans.append(found)
        i = spans[-1].last


def _true(line: Polyline, i: int, j: int, segment: Segment, before: Span | None, end: int) -> Span | None:
    """The true line or arc in a segment from vertex i to vertex j, if there is one; it may begin later, or earlier,
    within the span before where that is no true one. `end` is the last vertex it may reach."""
    part = line.true_part(i, j, segment, before.first if before else 0)
    if part is not None and part[0] > i:
        # Looked for again, and farther, from where it begins.
        i = part[0]
        j, segment = line.longest(i, end, j - i)
        part = line.true_part(i, j, segment, i)
    if part is None:
        return None
    first, last = part
    if before is not None and before.true:
        first = max(first, i)
    whole = line.segment(first, last)
    return None if whole is None else Span(first, last, whole, True)


def _less_bent(line: Polyline, spans: list[Span], i: int, j: int, segment: Segment) -> tuple[int, Segment]:
    """The segment from i to j, or a shorter one that goes on from the last span with less of a bend."""
    if spans and _Joint(spans[-1], Span(i, j, segment, False), line.tolerance).bent:
        for shorter in sorted({i + int(share * (j - i)) for share in _SHORTER} - {i, i + 1, i + 2, j}, reverse=True):
            other = line.segment(i, shorter)
            if other is not None and turn_between(spans[-1].segment, other) <= _BEND:
                return shorter, other
    return j, segment


def _fill(line: Polyline, spans: list[Span], i: int, last: int) -> None:
    """Adds the longest segments from vertex i to another."""
    while i < last:
        j, segment = line.longest(i, last, last - i)
        spans.append(Span(i, j, segment, False))
        i = j


def _without_bends(line: Polyline, spans: list[Span], closed: bool) -> list[Segment]:
    """The segments of the spans, but where a smooth curve has a bend, others without."""
    if all(span.true for span in spans):
        return [span.segment for span in spans]
    joints = [_Joint(a, b, line.tolerance) for a, b in zip(spans, [*spans[1:], *spans[:1]])]
    if not closed:
        joints[-1].smooth = joints[-1].bent = False
    if not any(joint.bent for joint in joints):
        return [span.segment for span in spans]
    if closed:
        # The ring is parted where no bend has to go: at a corner, or else where it is smoothest.
        part = min(range(len(spans)), key=lambda k: (joints[k].smooth, joints[k].bend)) + 1
        spans, joints = spans[part:] + spans[:part], joints[part:] + joints[:part]
    segments: list[Segment] = []
    done = 0
    for low, high in _windows(joints):
        bends = sum(joint.bent for joint in joints[max(low - 1, 0) : high])
        if bends > max(_NEIGHBOURS, _MOST_BENT * (high - low)):
            continue
        segments += [span.segment for span in spans[done:low]]
        bent = spans[low:high]
        before = segments[-1] if segments else spans[-1].segment
        after = spans[high].segment if high < len(spans) else (segments or [spans[0].segment])[0]
        counts = [span.last - span.first for span in bent]
        places = bent[0].first + np.arange(sum(counts) + 1)
        found = chain(
            line.points[places % line.last if closed else places],
            [span.segment for span in bent],
            counts,
            _end(joints[low - 1], spans[low - 1], before.heading(1.0)),
            _end(joints[high - 1], spans[high % len(spans)], after.heading(0.0)),
            line.tolerance,
            bends + 1,
        )
        segments += [span.segment for span in bent] if found is None else found
        done = high
    return segments + [span.segment for span in spans[done:]]


def _end(joint: _Joint, neighbour: Span, heading: float) -> End | None:
    """How a chain must end at a joint: as a true neighbour goes on, else nearly so; free at a corner."""
    return End(heading, 0.0 if neighbour.true else _BEND) if joint.smooth else None


def _windows(joints: list[_Joint]) -> list[tuple[int, int]]:
    """Stretches of spans to make anew, as (first, beyond the last): a few on either side of each bend."""
    found: list[tuple[int, int]] = []
    for k, joint in enumerate(joints[:-1]):
        if not joint.bent:
            continue
        low, high = k + joint.before.true, k + 2 - joint.after.true
        while low > max(0, k + 1 - _NEIGHBOURS) and joints[low - 1].inside:
            low -= 1
        while high < min(len(joints), k + 1 + _NEIGHBOURS) and joints[high - 1].inside:
            high += 1
        if found and low < found[-1][1]:
            low = found.pop()[0]
        found.append((low, high))
    return found


class _Joint:
    """Where one span ends and the next begins.

    bend : the turn there, radians
    smooth : whether it may be one that fitting made, and not a corner of the polyline
    bent : whether it is, and too large
    """

    def __init__(self, before: Span, after: Span, tolerance: float) -> None:
        self.before, self.after = before, after
        loose = sum(tolerance / span.segment.length for span in (before, after) if not span.true)
        self.bend = turn_between(before.segment, after.segment)
        self.smooth = self.bend < min(_ROUNDING + _LOOSE * loose, _CORNER)
        self.bent = self.smooth and self.bend > _BEND

    @property
    def inside(self) -> bool:
        """Whether a stretch made anew may go on over it."""
        return self.smooth and not self.before.true and not self.after.true
