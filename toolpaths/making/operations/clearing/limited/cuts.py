"""The lines along which fronts are cut, in order: what begins beside the last, else the nearest.

Of two fronts near each other the one found first is cut first, as its stroke opens the room that the other needs. Those
farther apart than the cutter reaches know nothing of each other, and may change places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.fronts import SHORTEST, Front, FrontEdge, along
from toolpaths.shapes.curves import lengths_along

# Radii apart at which strokes meet no wood that the other takes: one to either side, and one for the way on to a loop.
_APART = 3.0
# A closed loop is reached along a spiral of so many steps, and at least so many radii.
_SPIRAL_STEPS, _SPIRAL_RADII = 10.0, 1.0


@dataclass(frozen=True, slots=True)
class Cut:
    """A line for the axis, (n, 2) points, and the number of its front."""

    points: Floats
    front: int


def cuts_of(fronts: Sequence[Front], here: Point, radius: float, climb: bool) -> list[Cut]:
    """All edges of all fronts, from a place on.

    climb : whether the wood is on the right of the travel
    """
    before, after = _neighbours(fronts, _APART * radius)
    waiting = np.array([len(some) for some in before])
    starts = [_starts(front, climb) for front in fronts]
    open_ = set(np.flatnonzero(waiting == 0).tolist())
    found: list[Cut] = []
    beside: set[int] = set()
    while open_:
        number = min(open_, key=lambda i: (i not in beside, _far(starts[i], here), i))
        open_.remove(number)
        front = fronts[number]
        left = list(front.edges)
        while left:
            edge = left.pop(int(np.argmin([_far(_start(edge, climb), here) for edge in left])))
            points = edge.points if climb else edge.points[::-1]
            if edge.closed:
                points = _spiral(points, front, here, radius)
            points = _from(here, points)
            found.append(Cut(points, number))
            here = (float(points[-1, 0]), float(points[-1, 1]))
        beside = set(after[number])
        for other in after[number]:
            waiting[other] -= 1
            if waiting[other] == 0:
                open_.add(other)
    return found


def _neighbours(fronts: Sequence[Front], apart: float) -> tuple[list[list[int]], list[list[int]]]:
    """The fronts before and after each that are nearer to it than so much."""
    before: list[list[int]] = [[] for _ in fronts]
    after: list[list[int]] = [[] for _ in fronts]
    lines = np.array([shapely.MultiLineString([edge.points for edge in front.edges]) for front in fronts])
    tree = shapely.STRtree(lines)
    for one, other in tree.query(lines, predicate="dwithin", distance=apart).T.tolist():
        if one < other:
            before[other].append(one)
            after[one].append(other)
    return before, after


def _start(edge: FrontEdge, climb: bool) -> Floats:
    """Where an edge may begin: everywhere if it is closed."""
    if edge.closed:
        return edge.points
    return edge.points[:1] if climb else edge.points[-1:]


def _starts(front: Front, climb: bool) -> Floats:
    return np.vstack([_start(edge, climb) for edge in front.edges])


def _far(places: Floats, here: Point) -> float:
    return float(np.hypot(*(places - here).T).min())


def _from(here: Point, points: Floats) -> Floats:
    """Points that begin where the cutter is, if they begin so near that the move to them would hold a machine up."""
    away = np.hypot(*(points - here).T) >= SHORTEST
    first = int(np.argmax(away))
    return np.vstack([[here], points[first:]]) if first and away.any() else points


def _spiral(points: Floats, front: Front, here: Point, radius: float) -> Floats:
    """A closed loop, reached from the edge of the free room along a spiral that begins near the cutter."""
    ring = LineString(np.vstack([points, points[:1]]))
    edge = shapely.boundary(front.free)
    # The loop lies unevenly far from that edge, nowhere farther than the advance.
    long = min(max(_SPIRAL_STEPS * front.discs.step, _SPIRAL_RADII * radius), ring.length / 2)
    start = ring.project(shapely.Point(here))
    outer = shapely.get_coordinates(shapely.segmentize(LineString(along(ring, start, long)), radius / 20))
    inner = shapely.get_coordinates(shapely.shortest_line(edge, shapely.points(outer)))[::2]
    done = lengths_along(outer) / long
    out = (done * done * (3 - 2 * done))[:, None]
    return np.vstack([inner + (outer - inner) * out, along(ring, start + long, ring.length)[1:]])
