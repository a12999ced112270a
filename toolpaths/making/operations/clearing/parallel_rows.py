"""Parallel passes: once along the walls, then rows side by side, to be laid with the grain.

Why no island is left: let f be the radius of the flat and s <= f the distance between rows. What the rounds along the
walls do not cut level lies more than f inside the edge of the centres. Take such a point. A row passes it at s / 2 at
most, and the foot of the perpendicular on that row lies more than f - s / 2 inside the edge. The rows fill the centres
eroded by f - s / 2, so the foot is on one of them, and within s / 2 < f of the point.
"""

from __future__ import annotations

from math import ceil, dist, inf

import shapely
from shapely import LineString, MultiLineString, affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.loop_order import Leg
from toolpaths.making.operations.clearing.loops import Room
from toolpaths.shapes import offset
from toolpaths.shapes.track import Segment, Track

# Rows are a little longer than need be: the engine that moves areas may be off by a hundredth of the distance.
_SURE = 0.98


def parallel(room: Room, angle_deg: float, longest: float = inf) -> list[Leg] | None:
    """The walls, then rows at an angle to X, forth and back; None where not every wall has wood along all of it, and
    where they come to more than `longest` mm."""
    walls = [loop for loop in room.loops if loop.depth == 0]
    if not walls or not all(loop.track.closed for loop in walls):
        return None
    walls.sort(key=lambda loop: -loop.line.length)
    legs = [Leg(loop.track, loop.line, loop.inside, True) for loop in walls]
    uncut = offset.zone(room.centres, -_SURE * room.flat, room.tolerance)
    if uncut.is_empty:
        return legs
    reach = offset.zone(room.centres, -_SURE * (room.flat - room.step / 2), room.tolerance)
    _, low, _, high = affinity.rotate(uncut, -angle_deg, origin=(0, 0)).bounds
    turned = affinity.rotate(reach, -angle_deg, origin=(0, 0))
    left, _, right, _ = turned.bounds
    count = max(1, ceil((high - low) / room.step - 1e-9))
    step = (high - low) / count
    near = offset.zone(affinity.rotate(room.wood, -angle_deg, origin=(0, 0)), room.radius, room.tolerance)
    rows = [LineString([(left - 1, low + (i + 0.5) * step), (right + 1, low + (i + 0.5) * step)]) for i in range(count)]
    cut = shapely.intersection(shapely.intersection(rows, turned), near)
    lines = [affinity.rotate(_lines(row, room.tolerance), angle_deg, origin=(0, 0)) for row in cut]
    chords = [[(part.coords[0], part.coords[-1]) for part in row.geoms] for row in lines]
    chords = [row for row in chords if row]
    if not chords:
        return legs
    if room.centres.length + sum(dist(start, end) for row in chords for start, end in row) > longest:
        return None
    inside = legs[0].inside
    for start, end in _in_turn(chords, legs[0].track.start):
        line = LineString([start, end])
        neighbour = int(shapely.distance([wall.line for wall in walls], shapely.Point(start)).argmin())
        legs.append(Leg(Track((Segment(start, end),), False), line, inside, False, neighbour))
    return legs


def shortest_rows(room: Room) -> float:
    """mm below which no course of parallel passes over a whole room comes.

    Each place that the walls leave lies within half a step of a row, so rows are at least that area over the step.
    """
    uncut = offset.zone(room.centres, -room.flat, room.tolerance)
    return float(room.centres.length + uncut.area / room.step)


def _lines(cut: BaseGeometry, least: float) -> MultiLineString:
    """The lines of any geometry that are longer than so much."""
    kept = [part for part in shapely.get_parts(cut) if isinstance(part, LineString) and part.length > least]
    return MultiLineString(kept)


def _in_turn(rows: list[list[tuple[Point, Point]]], here: Point) -> list[tuple[Point, Point]]:
    """The chords of the rows, forth and back through rows next to each other as long as there are any, from an end.

    A row of chords ends where no chord of the next row is left within reach; the next begins at the nearest chord end
    of all.
    """
    left = [list(chords) for chords in rows]
    found: list[tuple[Point, Point]] = []
    at, onward = (0, 1) if _nearest(left[0], here)[0] <= _nearest(left[-1], here)[0] else (len(rows) - 1, -1)
    while any(left):
        options = [_nearest(left[at], here)] if left[at] else []
        if not options:
            far = [(*_nearest(chords, here), i) for i, chords in enumerate(left) if chords]
            *_, at = min(far)
            # Onward is where more rows are still to be done.
            onward = 1 if sum(map(len, left[at + 1 :])) >= sum(map(len, left[:at])) else -1
            options = [_nearest(left[at], here)]
        _, index, start, end = options[0]
        left[at].pop(index)
        found.append((start, end))
        here = end
        following = at + onward
        if 0 <= following < len(rows) and left[following]:
            away = _nearest(left[following], here)[0]
            if away <= dist(start, end):
                at = following
    return found


def _nearest(chords: list[tuple[Point, Point]], here: Point) -> tuple[float, int, Point, Point]:
    """(distance, number, start, end) of the chord that begins nearest, from either end."""
    return min((dist(a, here), i, a, b) for i, row in enumerate(chords) for a, b in (row, row[::-1]))
