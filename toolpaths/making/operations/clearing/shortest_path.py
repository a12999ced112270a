"""Paths through an area: the straight line where the area covers it, else the shortest path round its corners."""

from __future__ import annotations

from heapq import heappop, heappush
from math import dist

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point

Ints = NDArray[np.int64]

# A path keeps at least this far from the edge of the area where it goes round a corner, mm.
_MARGIN = 0.05
# An area with more corners than this is not searched.
_MOST = 400
# Ways on from a place that are looked at together, those that promise most first.
_AT_ONCE = 8


def shortest_path(area: BaseGeometry, a: Point, b: Point, longest: float, slack: float) -> tuple[Point, ...] | None:
    """The corners of a path from a to b, b the last of them, within `slack` of the area.

    None where no path that goes round corners is as short as `longest`; a straight one may be longer.
    """
    room = shapely.buffer(area, slack, quad_segs=2)
    shapely.prepare(room)
    if shapely.covers(room, shapely.linestrings([a, b])):
        return (b,)
    if dist(a, b) > longest:
        return None
    corners = _corners(area)
    corners = corners[np.hypot(*(corners - a).T) + np.hypot(*(corners - b).T) <= longest]
    if len(corners) > _MOST:
        return None
    places = np.vstack([corners, [a, b]])
    goal, start = len(places) - 1, len(places) - 2
    ahead = np.hypot(*(places - places[goal]).T)
    best = np.full(len(places), np.inf)
    best[start] = 0.0
    came = np.full(len(places), -1)
    done = np.zeros(len(places), bool)
    # Each with the least length of a path over it: a place that is reached, or one of which the ways on are still to be
    # looked at from that number on.
    queue = [(float(ahead[start]), start, -1)]
    ways: dict[int, tuple[Ints, Floats]] = {}
    while queue:
        _, here, first = heappop(queue)
        if here == goal:
            return _back(places, came, goal, start)
        if first < 0:
            if done[here]:
                continue
            done[here], first = True, 0
            far = best[here] + np.hypot(*(places - places[here]).T)
            on = np.flatnonzero(~done & (far < best - 1e-9) & (far + ahead <= longest))
            ways[here] = on[np.argsort((far + ahead)[on], kind="stable")], far
        on, far = ways[here]
        some = on[first : first + _AT_ONCE]
        some = some[~done[some] & (far[some] < best[some] - 1e-9)]
        lines = shapely.linestrings(np.stack([np.broadcast_to(places[here], (len(some), 2)), places[some]], axis=1))
        for there in some[shapely.covers(room, lines)].tolist():
            best[there], came[there] = far[there], here
            heappush(queue, (float(far[there] + ahead[there]), there, -1))
        if first + _AT_ONCE < len(on):
            following = on[first + _AT_ONCE]
            heappush(queue, (float(far[following] + ahead[following]), here, first + _AT_ONCE))
    return None


def _back(places: Floats, came: Ints, goal: int, start: int) -> tuple[Point, ...]:
    found = []
    here = goal
    while here != start:
        found.append((float(places[here][0]), float(places[here][1])))
        here = int(came[here])
    return tuple(reversed(found))


def _corners(area: BaseGeometry) -> Floats:
    """The corners about which a shortest path may turn: where the area's edge bends away from it."""
    inner = shapely.buffer(area, -2 * _MARGIN, quad_segs=2, join_style="mitre")
    slim = shapely.simplify(inner, _MARGIN, preserve_topology=False)
    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(slim)))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    begins = np.flatnonzero(np.diff(ring, prepend=-1))
    ends = np.append(begins[1:], len(ring)) - 1
    after = np.diff(points, axis=0, append=0.0)
    before = np.roll(after, 1, axis=0)
    before[begins] = after[ends - 1]
    away = before[:, 0] * after[:, 1] < before[:, 1] * after[:, 0]
    # The last point of a ring is its first again.
    away[ends] = False
    return np.asarray(points[away])
