"""Paths through an area: the straight line where the area covers it, else the shortest path round its corners."""

from __future__ import annotations

from heapq import heappop, heappush
from math import dist

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point

# A path keeps at least this far from the edge of the area where it goes round a corner, mm.
_MARGIN = 0.05
# An area with more corners than this is not searched.
_MOST = 400


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
    queue = [(float(ahead[start]), start)]
    while queue:
        total, here = heappop(queue)
        if total > longest:
            return None
        if here == goal:
            return _back(places, came, goal, start)
        if done[here]:
            continue
        done[here] = True
        far = best[here] + np.hypot(*(places - places[here]).T)
        open_ = np.flatnonzero(~done & (far < best - 1e-9) & (far + ahead <= longest))
        if not len(open_):
            continue
        lines = shapely.linestrings(np.stack([np.broadcast_to(places[here], (len(open_), 2)), places[open_]], axis=1))
        for there in open_[shapely.covers(room, lines)].tolist():
            best[there], came[there] = far[there], here
            heappush(queue, (float(far[there] + ahead[there]), there))
    return None


def _back(places: np.ndarray, came: np.ndarray, goal: int, start: int) -> tuple[Point, ...]:
    found = []
    here = goal
    while here != start:
        found.append((float(places[here][0]), float(places[here][1])))
        here = int(came[here])
    return tuple(reversed(found))


def _corners(area: BaseGeometry) -> np.ndarray:
    """The corners about which a shortest path may turn: where the area's edge bends away from it."""
    inner = shapely.buffer(area, -2 * _MARGIN, quad_segs=2, join_style="mitre")
    slim = shapely.simplify(inner, _MARGIN, preserve_topology=False)
    found = []
    for part in shapely.get_parts(slim):
        if part.is_empty:
            continue
        for ring in shapely.get_rings(shapely.geometry.polygon.orient(part)):
            points = shapely.get_coordinates(ring)
            after = np.diff(points, axis=0)
            before = np.concatenate([after[-1:], after[:-1]])
            found.append(points[:-1][before[:, 0] * after[:, 1] < before[:, 1] * after[:, 0]])
    return np.vstack(found) if found else np.empty((0, 2))
