"""Arcs and smooth curves as chords that stay within a tolerance of the curve."""

from __future__ import annotations

from math import asin, atan2, ceil, cos, floor, hypot, pi, radians, sin, sqrt

import numpy as np
import shapely
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point, ShapeError

# Directions closer than this, in radians, are one: a metre away they lie a nanometre apart.
_SAME_TURN = 1e-9
# Three points whose sides turn by less than this, in radians, lie on one line: the arc through
# them would have a radius of 1e9 chords, whose centre no longer fits a float to the micrometre.
_STRAIGHT = 1e-9


def lengths_along(points: Floats) -> Floats:
    """(n,) mm along a polyline of (n, 2) points to each of them."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def places_along(points: Floats, lengths: Floats) -> Floats:
    """(m, 2) the places of a polyline of (n, 2) points at (m,) lengths along it, mm."""
    along = lengths_along(points)
    return np.column_stack([np.interp(lengths, along, points[:, axis]) for axis in (0, 1)])


def nearest_places(points: Floats, line: Floats) -> Floats:
    """(n, 2) the place of a polyline of (m, 2) points that is nearest to each of (n, 2) points.

    By a tree of its chords: looking at all chords for each point takes as long as both are many.
    """
    start, step = line[:-1], np.diff(line, axis=0)
    chords = shapely.linestrings(np.stack([start, line[1:]], axis=1))
    _, chord = shapely.STRtree(chords).query_nearest(shapely.points(points), all_matches=False)
    start, step = start[chord], step[chord]
    square = (step * step).sum(axis=1)
    along = ((points - start) * step).sum(axis=1) / np.where(square > 0, square, 1.0)
    return np.asarray(start + step * np.clip(along, 0.0, 1.0)[:, None])


def cos_sin(angle_deg: float) -> tuple[float, float]:
    """Cosine and sine; of quarter turns exactly."""
    quarters, rest = divmod(angle_deg, 90.0)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters % 4)]
    return cos(radians(angle_deg)), sin(radians(angle_deg))


def steps_for(radius: float, sweep: float, sagitta: float) -> int:
    """Chords needed so that each lies within `sagitta` (mm) of its arc: n >= pi/acos(1 - s/R) a turn.

    acos(1 - x) is taken as 2 asin(sqrt(x/2)), which does not come to 0 on huge radii.
    """
    widest = pi / 2 if sagitta >= radius else min(pi / 2, 4 * asin(sqrt(sagitta / radius / 2)))
    return max(1, ceil(abs(sweep) / widest - 1e-9))


def many_steps_for(radius: Floats, sweep: Floats, sagitta: float) -> NDArray[np.int64]:
    """steps_for() of (n,) arcs at once."""
    widest = np.minimum(4 * np.arcsin(np.sqrt(np.minimum(sagitta / radius, 1.0) / 2)), pi / 2)
    return np.asarray(np.maximum(np.ceil(np.abs(sweep) / widest - 1e-9), 1.0), np.int64)


def arc(centre: Point, start: Point, sweep: float, sagitta: float) -> Floats:
    """(n, 2) points of an arc, all on it, the first at `start`; sweep in radians, anticlockwise > 0.

    Its points farthest left, right, up and down are among them, so the chords measure over all
    what the arc does.
    """
    dx, dy = start[0] - centre[0], start[1] - centre[1]
    radius, angle = hypot(dx, dy), atan2(dy, dx)
    low, high = sorted((angle, angle + sweep))
    axes = np.arange(ceil(low / (pi / 2)), floor(high / (pi / 2)) + 1) * (pi / 2)
    axes = axes[(axes > low + _SAME_TURN) & (axes < high - _SAME_TURN)]
    stops = [low, *axes.tolist(), high][:: 1 if sweep > 0 else -1]
    turns = [stops[:1]]
    for a, b in zip(stops, stops[1:]):
        turns.append(np.linspace(a, b, steps_for(radius, b - a, sagitta) + 1)[1:].tolist())
    angles = np.concatenate(turns)
    chords = np.column_stack([centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)])
    chords[0] = start
    return chords


def sweep_between(centre: Point, start: Point, end: Point, clockwise: bool) -> float:
    """Signed radians from start to end about centre; a full turn where they coincide."""
    a = atan2(start[1] - centre[1], start[0] - centre[0])
    b = atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (a - b if clockwise else b - a) % (2 * pi)
    if turn < _SAME_TURN:
        turn = 2 * pi
    return -turn if clockwise else turn


def centre_of(a: Point, b: Point, c: Point) -> Point | None:
    """Centre of the circle through three points, or None where they lie on one line."""
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    cross = 2 * (bx * cy - by * cx)
    if abs(cross) <= _STRAIGHT * hypot(bx, by) * hypot(cx, cy):
        return None
    bb, cc = bx * bx + by * by, cx * cx + cy * cy
    return a[0] + (cy * bb - by * cc) / cross, a[1] + (bx * cc - cx * bb) / cross


def tangent_arc_centre(start: Point, heading: float, end: Point) -> Point | None:
    """Centre of the arc that leaves `start` along `heading` (radians) and ends at `end`; None if straight."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    nx, ny = -sin(heading), cos(heading)
    side = dx * nx + dy * ny
    if abs(side) <= _STRAIGHT * hypot(dx, dy):
        return None
    radius = (dx * dx + dy * dy) / (2 * side)
    return start[0] + radius * nx, start[1] + radius * ny


def smooth(points: Floats, sagitta: float, heading: float | None = None) -> tuple[Floats, float]:
    """A cubic spline through (n, 2) points: chords within `sagitta` mm of it, and its heading at the end.

    Second derivatives are continuous; the ends are free of curvature, unless `heading` (radians)
    fixes the first one's direction. Method: chordal parameter, the tridiagonal system of any
    numerical text. Chord error of a span of parameter length h is at most h^2/8 max|r''|, and
    r'' is linear on a span, so its greatest value stands at an end.
    """
    steps = np.hypot(*np.diff(points, axis=0).T)
    if (steps <= 0).any():
        x, y = points[int(np.argmin(steps))].tolist()
        raise ShapeError(f"Two points of a smooth curve coincide at ({x:g}, {y:g}).", (x, y))
    n = len(points)
    slopes = np.diff(points, axis=0) / steps[:, None]
    system, right = np.zeros((n, n)), np.zeros((n, 2))
    system[0, 0] = system[-1, -1] = 1.0
    if heading is not None:
        system[0, :2] = 2 * steps[0], steps[0]
        right[0] = 6 * (slopes[0] - [cos(heading), sin(heading)])
    for i in range(1, n - 1):
        system[i, i - 1 : i + 2] = steps[i - 1], 2 * (steps[i - 1] + steps[i]), steps[i]
        right[i] = 6 * (slopes[i] - slopes[i - 1])
    bend = np.linalg.solve(system, right)
    out = [points[:1]]
    for i, h in enumerate(steps):
        most = max(np.hypot(*bend[i]), np.hypot(*bend[i + 1]))
        count = max(1, ceil(h * np.sqrt(most / (8 * sagitta))))
        u = (np.arange(1, count + 1) / count)[:, None]
        t = 1 - u
        cubic = (t**3 - t) * bend[i] + (u**3 - u) * bend[i + 1]
        out.append(t * points[i] + u * points[i + 1] + cubic * h * h / 6)
    dx, dy = (slopes[-1] + (bend[-2] + 2 * bend[-1]) * steps[-1] / 6).tolist()
    return np.vstack(out), atan2(dy, dx)
