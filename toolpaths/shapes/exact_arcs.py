"""The arcs that a polyline was drawn from: runs of vertices that lie on one circle but for the rounding of floats.

A fit within a tolerance cannot tell an arc from the short side before it, nor one of a degree or two from a line. But
whoever draws an arc in chords puts every vertex on it, to some thirteen digits, and no other curve does that.
"""

from __future__ import annotations

from math import ceil, pi
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes.curves import centre_of
from toolpaths.shapes.tangent import LARGEST_RADIUS, LARGEST_SWEEP
from toolpaths.shapes.track import Segment

# A vertex lies on the circle through three others to this share of the bulge of a chord, and so many mm.
_SHARE, _ROUNDING = 1e-5, 2e-10
# mm by which any vertex of a run may lie off the circle through its ends and its middle.
_WHOLE = 1e-6
# Vertices of an arc: three are on some circle always, and a fourth may be by symmetry.
_FEWEST = 6
# Radians: chords of an arc turn by less.
_MOST_TURN = pi / 4


class ExactArc(NamedTuple):
    """An arc from one vertex to another."""

    first: int
    last: int
    centre: Point
    sweep: float


def exact_arcs(points: Floats, tolerance: float) -> list[ExactArc]:
    """The arcs on which (n, 2) points lie exactly, in order, none over another.

    tolerance : mm; chords lie off their arc by no more, so that a polygon with few corners stays one
    """
    found = []
    for first, last in _runs(_on_one_circle(points, tolerance)):
        arc = _arc(points, first, last)
        if arc is not None:
            found.append(arc)
    return found


def _on_one_circle(points: Floats, tolerance: float) -> NDArray[np.bool_]:
    """Of each point but the last three, whether it and the three after it lie on one circle, going round it one way."""
    if len(points) < _FEWEST:
        return np.zeros(0, dtype=bool)
    a, b, c, d = points[:-3], points[1:-2], points[2:-1], points[3:]
    ab, bc, cd = b - a, c - b, d - c
    first_turn, second_turn = _turn(ab, bc), _turn(bc, cd)
    one_way = (first_turn * second_turn > 0) & (np.abs(first_turn) < _MOST_TURN) & (np.abs(second_turn) < _MOST_TURN)
    cross = ab[:, 0] * bc[:, 1] - ab[:, 1] * bc[:, 0]
    ac = c - a
    with np.errstate(divide="ignore", invalid="ignore"):
        radius = np.hypot(*ab.T) * np.hypot(*bc.T) * np.hypot(*ac.T) / (2 * np.abs(cross))
        # The centre seen from a, by the two squares.
        p, q = (ab * ab).sum(axis=1), (ac * ac).sum(axis=1)
        double = 2 * (ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0])
        centre = np.column_stack([ac[:, 1] * p - ab[:, 1] * q, ab[:, 0] * q - ac[:, 0] * p]) / double[:, None]
        bulge = np.minimum.reduce([(side * side).sum(axis=1) for side in (ab, bc, cd)]) / (8 * radius)
        widest = np.maximum.reduce([(side * side).sum(axis=1) for side in (ab, bc, cd)]) / (8 * radius)
        off = np.abs(np.hypot(*(d - a - centre).T) - radius)
        near: NDArray[np.bool_] = one_way & (radius <= LARGEST_RADIUS) & (widest <= tolerance)
        near &= off <= _SHARE * bulge + _ROUNDING
    return near


def _turn(before: Floats, after: Floats) -> Floats:
    turn: Floats = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    return turn


def _runs(near: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last vertex of each run of windows that are one circle's."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], near, [False]]).astype(np.int8)))
    return [(int(i), int(j) + 2) for i, j in zip(edges[::2], edges[1::2]) if j + 2 - i + 1 >= _FEWEST]


def _arc(points: Floats, first: int, last: int) -> ExactArc | None:
    a, m, b = ((float(x), float(y)) for x, y in points[[first, (first + last) // 2, last]])
    if a == b:  # all round
        m, b = ((float(x), float(y)) for x, y in points[[first + (last - first) // 3, first + 2 * (last - first) // 3]])
    centre = centre_of(a, m, b)
    if centre is None:
        return None
    ray = points[first : last + 1] - centre
    if np.abs(np.hypot(*ray.T) - np.hypot(*ray[0])).max() > _WHOLE:
        return None
    return ExactArc(first, last, centre, float(_turn(ray[:-1], ray[1:]).sum()))


def parted(points: Floats, arc: ExactArc) -> list[tuple[int, int, Segment]]:
    """An arc as segments of at most half a turn, each with its first and last vertex."""
    ray = points[arc.first : arc.last + 1] - arc.centre
    turned = np.concatenate([[0.0], np.cumsum(_turn(ray[:-1], ray[1:]))])
    for count in range(max(1, ceil(abs(arc.sweep) / LARGEST_SWEEP)), len(points)):
        places = np.abs(turned[:, None] - np.linspace(0.0, turned[-1], count + 1)).argmin(axis=0)
        sweeps = np.diff(turned[places])
        if (np.abs(sweeps) <= LARGEST_SWEEP).all():
            break
    ends = [(float(x), float(y)) for x, y in points[arc.first + places]]
    return [
        (arc.first + int(i), arc.first + int(j), Segment(start, end, arc.centre, float(sweep)))
        for i, j, start, end, sweep in zip(places, places[1:], ends, ends[1:], sweeps)
    ]
