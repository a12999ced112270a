"""Threads: parts of a room of no width, where an area is just as wide as the cutter. A loop would go along each of them
twice; its middle goes along it once.

Where threads meet, or bend sharply, the room is a little wider. There they are led on: straight from one into another
where that stays in the room, else to where they would meet, and each of the others up to those.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import cos, dist, pi, sin
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes import door
from toolpaths.shapes.curves import lengths_along, nearest_places, places_along
from toolpaths.shapes.tolerance_shares import SNUG
from toolpaths.shapes.track import wrapped

# A thread is no wider than so many times that by which a cutter enters a gap narrower than itself, at either side,
_WIDEST = 4.0
# and no shorter than so many radii.
_SHORTEST = 0.5
# At an end of a thread its outline comes back within this share of the radius.
_END = 0.05
# The direction at an end is that of so many of the last radii.
_LAST = 0.1
# Where threads meet the room is no wider than so many radii, or it is an area of its own.
_JUNCTION = 6.0
# Chords to a quarter turn, 0.0003 of the radius off it.
_ROUND = 32
# Beside the mouth of a thread an area narrows to it; what is narrower there than this share of the radius, and no
# farther off than the radius, belongs to the thread.
_MOUTH = 0.15


class Threads(NamedTuple):
    """A room as its threads and what else there is of it.

    lines : the middles of threads, from end to end or from fork to fork; they may be closed
    junctions : the little areas where threads meet
    areas : all others
    """

    lines: tuple[LineString, ...]
    junctions: tuple[Polygon, ...]
    areas: tuple[Polygon, ...]


class _End(NamedTuple):
    """Where the middle of a thread ends at something wider, and the direction in which it does."""

    x: float
    y: float
    heading: float

    @property
    def place(self) -> Point:
        return self.x, self.y


def threads(room: Polygon, radius: float, tolerance: float) -> Threads | None:
    """The threads of a room for a cutter; None where it has none."""
    width, least = _WIDEST * SNUG * tolerance, _SHORTEST * radius
    core = shapely.buffer(room, -width / 2, join_style="mitre")
    if room.length - core.length < 2 * least:
        return None
    about = shapely.buffer(core, width)
    found, wide = list[LineString](), [shapely.intersection(room, about)]
    for part in shapely.get_parts(shapely.difference(room, about)):
        line = _middle(part, _END * radius) if isinstance(part, Polygon) and part.length > 2 * least else None
        if line is None:
            wide.append(part)
        else:
            found.append(_clear_of(wide[0], line, 2 * _END * radius))
    if not found:
        return None
    allowed = shapely.buffer(room, tolerance / 2, quad_segs=2)
    shapely.prepare(allowed)
    lines, junctions, areas = list(found), list[Polygon](), list[Polygon]()
    for part in shapely.get_parts(shapely.union_all(wide)):
        if not isinstance(part, Polygon) or part.length < width:
            continue
        ends = _ends_at(part, found, 3 * _END * radius, _LAST * radius)
        led_on = None
        if len(ends) > 1 and shapely.minimum_bounding_radius(part) < _JUNCTION / 2 * radius:
            led_on = _led_on(ends, allowed, _END * radius)
        if led_on is not None and _clears([*found, *led_on], part, radius, tolerance):
            junctions.append(part)
            lines += led_on
            continue
        area = _without_mouths(part, ends, radius)
        links = shapely.shortest_line([shapely.Point(end.place) for end in ends], area)
        ways = [area, *found, *links.tolist()]
        if not shapely.covers(allowed, links).all() or not _clears(ways, part, radius, tolerance):
            area = part
            links = shapely.shortest_line([shapely.Point(end.place) for end in ends], area)
        areas.append(area)
        lines += links.tolist()
    merged = shapely.line_merge(shapely.multilinestrings([line for line in lines if line.length > 0]))
    smooth = shapely.simplify(merged, SNUG * tolerance)
    whole = [line for line in shapely.get_parts(smooth) if isinstance(line, LineString)]
    return Threads(tuple(whole), tuple(junctions), tuple(areas))


def _middle(strip: Polygon, near: float) -> LineString | None:
    """The line along the middle of a strip of next to no width, closed where the strip is a ring."""
    if len(strip.interiors) > 1:
        return None
    ring = door.ring_points(strip.exterior)
    if strip.interiors:
        return LineString(_between(np.vstack([ring, ring[:1]]), shapely.get_coordinates(strip.interiors[0])))
    closed = np.vstack([ring, ring[:1]])
    along = lengths_along(closed)
    marks, whole = along[:-1], float(along[-1])
    ahead, behind = (places_along(closed, (marks + by) % whole) for by in (near, -near))
    # At an end the outline folds back.
    fold = np.hypot(*(ahead - behind).T)
    first = int(fold.argmin())
    away = np.abs(marks - marks[first])
    fold[np.minimum(away, whole - away) < whole / 4] = np.inf
    last = int(fold.argmin())
    if fold[last] > near:
        return None
    low, high = sorted((first, last))
    one, other = ring[low : high + 1], np.vstack([ring[high:], ring[: low + 1]])[::-1]
    if len(one) < len(other):
        one, other = other, one
    one = _with_places(one, near)
    inner = _between(one, other)
    # Close to an end there is no other side.
    away = np.minimum(*(np.hypot(*(one - one[at]).T) for at in (0, -1)))
    return LineString(np.vstack([one[:1], inner[away > near / 2], one[-1:]]))


def _with_places(points: Floats, near: float) -> Floats:
    """A line with a place near each of its ends."""
    line = LineString(points)
    parts = [
        substring(line, *ends) for ends in ((0.0, near), (near, line.length - near), (line.length - near, line.length))
    ]
    return np.vstack([shapely.get_coordinates(part)[min(i, 1) :] for i, part in enumerate(parts)])


def _clear_of(wide: BaseGeometry, line: LineString, by: float) -> LineString:
    """A line cut back from where the room gets wider, and its middle with it bends off."""
    if line.is_closed:
        return line
    near = shapely.dwithin(wide, shapely.points([line.coords[0], line.coords[-1]]), by)
    return substring(line, by if near[0] else 0.0, line.length - (by if near[1] else 0.0))


def _between(points: Floats, line: Floats) -> Floats:
    """Half way from each point to the nearest one of a line."""
    return np.asarray((points + nearest_places(points, line)) / 2)


def _ends_at(part: Polygon, lines: Sequence[LineString], near: float, last: float) -> list[_End]:
    """The ends of lines at a part of the room."""
    found = []
    for line in lines:
        if line.is_closed:
            continue
        for along, before in ((0.0, last), (line.length, line.length - last)):
            (x, y), (x0, y0) = (line.interpolate(each).coords[0] for each in (along, before))
            if shapely.dwithin(part, shapely.Point(x, y), near):
                found.append(_End(x, y, float(np.arctan2(y - y0, x - x0))))
    return found


def _led_on(ends: Sequence[_End], allowed: BaseGeometry, near: float) -> list[LineString] | None:
    """Straight lines from end to end of threads that meet; None where they find no room.

    near : mm within which forks are one
    """
    for a, b in sorted(combinations(ends, 2), key=_bend):
        path = _path(a, b, allowed)
        if path is None:
            continue
        others = [end for end in ends if end not in (a, b)]
        forks = list[Point]()
        for end in others:
            fork = _fork(path, end, [*path[1:-1], *forks], allowed, near)
            if fork is None:
                break
            forks.append(fork)
        if len(forks) == len(others):
            return [*_parted(path, forks), *(LineString([end.place, fork]) for end, fork in zip(others, forks))]
    return None


def _clears(ways: Sequence[BaseGeometry], part: Polygon, radius: float, tolerance: float) -> bool:
    """Whether a cutter that goes all over areas and along lines leaves nothing of what it would take all over a part of
    the room."""
    near = shapely.intersection(shapely.union_all(ways), shapely.buffer(part, radius))
    taken, wood = (shapely.buffer(shape, radius, quad_segs=_ROUND) for shape in (near, part))
    return bool(shapely.buffer(shapely.difference(wood, taken), -tolerance, quad_segs=2).is_empty)


def _bend(two: tuple[_End, _End]) -> float:
    """By how much one of two ends is bent to go on into the other, radians."""
    return abs(wrapped(two[0].heading - two[1].heading + pi))


def _path(a: _End, b: _End, allowed: BaseGeometry) -> list[Point] | None:
    """From one end to another, straight or with the corner where both would meet."""
    corner = _where_they_meet(a, b)
    for path in ([a.place, b.place], [a.place, *([corner] if corner else []), b.place]):
        if shapely.covers(allowed, LineString(path)):
            return path
    return None


def _where_they_meet(a: _End, b: _End) -> Point | None:
    """Where two ends led straight on meet."""
    (ux, uy), (vx, vy) = (cos(a.heading), sin(a.heading)), (cos(b.heading), sin(b.heading))
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-6:
        return None
    along = ((b.x - a.x) * vy - (b.y - a.y) * vx) / cross
    return a.x + along * ux, a.y + along * uy


def _fork(path: Sequence[Point], end: _End, known: Sequence[Point], allowed: BaseGeometry, near: float) -> Point | None:
    """Where an end led on arrives at a path: straight on, else the nearest way; None where it finds no room."""
    line, here = LineString(path), shapely.Point(end.place)
    far = line.length + line.distance(here)
    ray = LineString([end.place, (end.x + far * cos(end.heading), end.y + far * sin(end.heading))])
    for aim in (shapely.intersection(ray, line), line):
        if aim.is_empty:
            continue
        x, y = shapely.shortest_line(here, aim).coords[-1]
        fork = min((place for place in known if dist(place, (x, y)) <= near), default=(x, y))
        if shapely.covers(allowed, LineString([end.place, fork])):
            return fork
    return None


def _parted(path: Sequence[Point], places: Sequence[Point]) -> list[LineString]:
    """A path parted at its corners and at places on it."""
    line = LineString(path)
    at = sorted({*path, *places}, key=lambda place: line.project(shapely.Point(place)))
    return [LineString([a, b]) for a, b in zip(at, at[1:])]


def _without_mouths(area: Polygon, ends: Sequence[_End], radius: float) -> Polygon:
    """An area without what narrows to threads that end at it."""
    width = _MOUTH * radius
    opened = shapely.buffer(shapely.buffer(area, -width / 2), width / 2 * 1.01)
    about = shapely.buffer(shapely.points([end.place for end in ends]), radius)
    mouths = shapely.union_all(shapely.intersection(shapely.difference(area, opened), about))
    found = shapely.difference(area, mouths)
    return max((part for part in shapely.get_parts(found) if isinstance(part, Polygon)), key=lambda part: part.area)
