"""Parallel passes: rows side by side, to be laid with the grain, then once along the walls.

The rows take all that lies more than three quarters of a step inside the edge of the centres, so that the round along
the walls, which ends the work, has little more than a step to take, and runs the right way round.

Why no island is left: let f be the radius of the flat and s <= f the distance between rows. What is to be taken is
parted into strips, each with a row along its middle, that ends half a step before each part of its strip does. A place
of a strip lies s / 2 off its row at most, and s / 2 beyond its end, so within f of it. Each place of a row has a place
of its strip within s / 2 beside it, so it lies inside the centres by s / 4 at least, and touches no wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, cos, dist, inf, radians, sin
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.loop_order import Leg
from toolpaths.making.operations.clearing.loops import Room, polygons_of, standing
from toolpaths.shapes import offset
from toolpaths.shapes.track import Segment, Track

# Of a step: how far inside the edge of the centres what the rows take begins, and by how much they end before it.
_BAND, _SHORTER = 0.75, 0.5
# A row is at least so many radii long, lest its links be all of it.
_SHORTEST = 0.1


def parallel(room: Room, angle_deg: float, longest: float = inf) -> list[Leg] | None:
    """Rows at an angle to X, forth and back, then once along the walls; None where not every wall has wood along all of
    it, and where they come to more than `longest` mm."""
    walls = [loop for loop in room.loops if loop.depth == 0]
    if not walls or not all(loop.track.closed for loop in walls):
        return None
    walls.sort(key=lambda loop: loop.line.length)
    chords = _chords(room, angle_deg)
    if room.centres.length + sum(dist(start, end) for row in chords for start, end in row) > longest:
        return None
    rows = _in_turn(chords, chords[0][0][0]) if chords else []
    tracks = [Track((Segment(start, end),), False) for start, end in rows]
    lines: list[LineString] = [*(shapely.linestrings(rows) if rows else ()), *(loop.line for loop in walls)]
    starts = shapely.points(np.reshape([start for start, _ in rows], (-1, 2)))
    nearest = _nearest_before(lines, [*starts, *lines[len(rows) :]])
    return [
        *(Leg(track, line, room.centres, False, near) for track, line, near in zip(tracks, lines, nearest)),
        *(Leg(loop.track, loop.line, loop.inside, True, near) for loop, near in zip(walls, nearest[len(rows) :])),
    ]


def _nearest_before(lines: Sequence[LineString], begun: Sequence[BaseGeometry]) -> list[int | None]:
    """Of each line the number of that among those before it which is nearest to where it may be begun."""
    after, before = np.tril_indices(len(lines), -1)
    away = shapely.distance(np.array(lines)[before], np.array(begun)[after])
    ends = np.cumsum(np.arange(len(lines))).tolist()
    return [None, *(int(away[low:high].argmin()) for low, high in zip(ends, ends[1:]))]


def _chords(room: Room, angle_deg: float) -> list[list[tuple[Point, Point]]]:
    """Of each row its chords, from one side of the room to the other."""
    left = offset.zone(room.centres, -_BAND * room.step, room.tolerance)
    if not room.untouched:
        left = standing(shapely.intersection(left, room.wood), room.tolerance)
    turned = affinity.rotate(left, -angle_deg, origin=(0, 0))
    if turned.is_empty:
        return []
    left, low, right, high = turned.bounds
    count = max(1, ceil((high - low) / room.step - 1e-9))
    step = (high - low) / count
    strips = shapely.box(left - 1, low + np.arange(count) * step, right + 1, low + np.arange(1, count + 1) * step)
    found = []
    for number, strip in enumerate(shapely.intersection(turned, strips)):
        y = low + (number + 0.5) * step
        ends = [_chord(part, _SHORTER * step, _SHORTEST * room.flat) for part in polygons_of(strip)]
        found.append([(_turned((a, y), angle_deg), _turned((b, y), angle_deg)) for a, b in sorted(ends)])
    return [row for row in found if row]


def _chord(part: Polygon, shorter: float, least: float) -> tuple[float, float]:
    """From where to where a row goes for a part of its strip, so much shorter at each end."""
    begin, _, end, _ = part.bounds
    middle = (begin + end) / 2
    half = max(end - middle - shorter, least / 2)
    return middle - half, middle + half


def _turned(place: Any, angle_deg: float) -> Any:
    turn = radians(angle_deg)
    return place[0] * cos(turn) - place[1] * sin(turn), place[0] * sin(turn) + place[1] * cos(turn)


class LeastRows(NamedTuple):
    """mm below which no course of parallel passes over a whole room comes, links aside, and how many rows it has at
    least."""

    length: float
    rows: int


def least_rows(room: Room, angle_deg: float) -> LeastRows:
    """What parallel passes at an angle to X come to at least.

    A row is as long as any line along its strip through what it takes, less what it is shorter at both ends. So rows
    come at least to the area of what is that far inside, over the step.
    """
    uncut = offset.zone(room.centres, -(_BAND + _SHORTER) * room.step, room.tolerance)
    if uncut.is_empty:
        return LeastRows(float(room.centres.length), 0)
    _, across = _turned(shapely.get_coordinates(uncut).T, -angle_deg)
    return LeastRows(float(room.centres.length + uncut.area / room.step), ceil(np.ptp(across) / room.step - 1e-9))


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
