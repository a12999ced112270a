"""From a polyline to lines and arcs that stay within a tolerance of it.

Greedy: from each vertex the longest line or arc that fits is taken. An arc passes through its
first, middle and last vertex; it fits if every vertex between lies within the tolerance of it and
it of every chord, so that long straight sides never become arcs and a coarse polygon stays one.
"""

from __future__ import annotations

from math import atan2, hypot, pi

import numpy as np

from toolpaths.checks import Floats
from toolpaths.errors import Point, ShapeError
from toolpaths.geometry.curves import centre_of
from toolpaths.geometry.track import Piece, Track

# Flatter arcs are written as lines: a controller's arithmetic suffers from huge radii.
_LARGEST_RADIUS = 10_000.0
# A turn of which the cosine is less than this, 11 degrees, is a corner and not a step of a curve.
_CORNER = 0.98
# Points nearer than this, in mm, are one.
_SAME = 1e-9
# An arc of up to half a turn is unambiguous on any controller; a circle becomes two.
_LARGEST_SWEEP = pi * (1 + 1e-6)


def fit(points: Floats, closed: bool, tolerance: float) -> Track:
    """Lines and arcs through some of the (n, 2) points, within `tolerance` mm of all of them.

    closed : whether the last point joins the first (not repeated)
    """
    points = _distinct(points, closed)
    if len(points) < 2:
        x, y = points[0].tolist()
        raise ShapeError(f"A path at ({x:.3f}, {y:.3f}) has no length.", (x, y))
    if closed:
        begun = _from_corner(points)
        points = np.vstack([begun, begun[:1]])
    pieces: list[Piece] = []
    i, last = 0, len(points) - 1
    while i < last:
        i, piece = _longest(points, i, last, tolerance)
        pieces.append(piece)
    return Track(tuple(pieces), closed)


def _distinct(points: Floats, closed: bool) -> Floats:
    """The points without those that repeat the one before."""
    apart = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > _SAME
    if not closed or not apart.any():
        apart[0] = True
    kept: Floats = points[apart]
    return kept


def _from_corner(points: Floats) -> Floats:
    """The ring begun at its sharpest corner, or in a smooth one at its longest side, so that no arc is split."""
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    straight = (before * after).sum(axis=1) / (np.hypot(*before.T) * np.hypot(*after.T))
    begin = np.argmin(straight) if straight.min() < _CORNER else np.argmax(np.hypot(*after.T))
    return np.roll(points, -int(begin), axis=0)


def _longest(points: Floats, i: int, last: int, tolerance: float) -> tuple[int, Piece]:
    """The farthest vertex that one piece from vertex i reaches, found by doubling and halving."""
    good, best, step = i + 1, _line(points, i, i + 1), 1
    bad = last + 1
    while good < last:
        j = min(i + 2 * step, last) if bad > last else (good + bad) // 2
        if j <= good:
            break
        piece = _piece(points, i, j, tolerance)
        if piece is None:
            bad = j
        else:
            good, best, step = j, piece, j - i
        if bad <= last and bad - good <= 1:
            break
    return good, best


def _line(points: Floats, i: int, j: int) -> Piece:
    return Piece(_point(points[i]), _point(points[j]))


def _point(row: Floats) -> Point:
    return float(row[0]), float(row[1])


def _piece(points: Floats, i: int, j: int, tolerance: float) -> Piece | None:
    a, b = _point(points[i]), _point(points[j])
    inner = points[i + 1 : j]
    dx, dy = b[0] - a[0], b[1] - a[1]
    chord = hypot(dx, dy)
    if chord > _SAME:
        away = np.abs((inner[:, 0] - a[0]) * dy - (inner[:, 1] - a[1]) * dx)
        if away.max() <= tolerance * chord:
            along = (inner[:, 0] - a[0]) * dx + (inner[:, 1] - a[1]) * dy
            if along.min() >= 0 and along.max() <= chord * chord:
                return Piece(a, b)
    centre = centre_of(a, _point(points[(i + j) // 2]), b)
    if centre is None:
        return None
    radius = hypot(a[0] - centre[0], a[1] - centre[1])
    if radius > _LARGEST_RADIUS:
        return None
    run = points[i : j + 1] - centre
    far = np.hypot(run[1:-1, 0], run[1:-1, 1])
    if np.abs(far - radius).max() > tolerance:
        return None
    if radius - _nearest_to_origin(run) > tolerance:
        return None
    cross = run[:-1, 0] * run[1:, 1] - run[:-1, 1] * run[1:, 0]
    dot = (run[:-1] * run[1:]).sum(axis=1)
    turns = np.arctan2(cross, dot)
    if not ((turns > 0).all() or (turns < 0).all()):
        return None
    sweep = float(turns.sum())
    if abs(sweep) > _LARGEST_SWEEP:
        return None
    return Piece(a, b, centre, _exact_sweep(a, b, centre, sweep))


def _nearest_to_origin(run: Floats) -> float:
    """The least distance from the origin to the chords of a polyline."""
    a, d = run[:-1], np.diff(run, axis=0)
    foot = np.clip(-(a * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300), 0.0, 1.0)
    near = a + d * foot[:, None]
    return float(np.hypot(near[:, 0], near[:, 1]).min())


def _exact_sweep(a: Point, b: Point, centre: Point, sweep: float) -> float:
    """The sweep recomputed from the ends, free of the sum's rounding."""
    turn = atan2(b[1] - centre[1], b[0] - centre[0]) - atan2(a[1] - centre[1], a[0] - centre[0])
    return turn + 2 * pi * round((sweep - turn) / (2 * pi))
