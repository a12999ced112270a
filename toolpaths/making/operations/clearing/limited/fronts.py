"""How far a cutter may go at once so that its rim is never in wood over more than a given angle.

Everything is said of the cutter's axis. `free` is where it may go without meeting wood: the wood is removed within the
cutter's radius r of it. Let C be the centres of all discs of radius rho that lie in `free`. The next strokes go
round G, the union of the discs of radius rho whose centres lie within `advance` of C (and which lie in the area):

    advance = rho + r - sqrt(rho^2 + r^2 + 2 rho r cos(limit))

Why that keeps the limit, whatever the shape: at a point of G's edge the axis runs square to the radius from the centre
c' of the disc that touches there. The point X of the rim at the angle `limit` from that radius towards the travel lies
sqrt(rho^2 + r^2 + 2 rho r cos(limit)) from c', by the law of cosines, and the rim farther round lies nearer. Some c of
C is within `advance` of c'; so X is within rho + r of c, where no wood stands. Hence wood is met between that
radius and the limit only, and on one side of the cutter. The argument asks for no more than a disc beside the path and
one in the free room near it, so it holds along walls, round islands and where fronts meet.

In a slot G's edge is an arc from wall to wall, and such strokes are the arcs of a trochoid; in a wide room they are
long fronts and closed loops. The step is near r (1 - cos(limit)) where rho is large, and rho (1 - cos(limit)) where it
is small, as in a corner. A stroke begins and ends along the edge of the free room, where its chip has no thickness.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sqrt

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from toolpaths.base.checks import Floats
from toolpaths.shapes import door, offset
from toolpaths.shapes.curves import lengths_along
from toolpaths.shapes.tolerance_shares import SIMPLIFY

# A front that moves by less than this share of its advance is worth no stroke; smaller discs may take it.
_WORTH = 0.5
# No chip is thinner than this share of what paths are true to.
_THINNEST = 1 / 40
# Chords of a quarter of a disc, and of the corners of where their centres go.
_QUARTER, _QUARTER_OF_CENTRES = 32, 8
# A stroke begins and ends so many times as far from its chip as a chip a hair thick is long.
_LEAD = 1.0
# mm, at least: moves that are shorter hold a machine up.
SHORTEST = 0.08


@dataclass(frozen=True, slots=True)
class Discs:
    """Discs of one radius, and what they may take.

    rho : their radius
    step : their `advance`, or less
    room : where the axis may be
    fine : mm to which the fronts are true in the open; along the edge of `room` they are exact
    depth : how deep a corner may be left uncut
    """

    rho: float
    step: float
    room: BaseGeometry
    fine: float
    depth: float

    @property
    def hair(self) -> float:
        """By so much vertices are dropped; wood thinner than that is none."""
        return self.fine * SIMPLIFY


@dataclass(frozen=True, slots=True)
class FrontEdge:
    """A part of the edge of the grown room, with the room on its left; closed where it is a whole ring."""

    points: Floats
    closed: bool


@dataclass(frozen=True, slots=True)
class Front:
    """Room that is free once the cutter went along all the edges, where before that only `free` was."""

    room: BaseGeometry
    edges: tuple[FrontEdge, ...]
    free: BaseGeometry
    discs: Discs


def advance(rho: float, radius: float, limit: float) -> float:
    """The farthest that the centre of a disc of radius rho may be from one in the free room; limit in radians."""
    return rho + radius - sqrt(rho * rho + radius * radius + 2 * rho * radius * cos(limit))


def polygons(geometry: BaseGeometry) -> list[Polygon]:
    """Those parts of any geometry that have an area to speak of."""
    # Most are in one part.
    found = [geometry] if isinstance(geometry, Polygon) else shapely.get_parts(geometry)
    return [part for part in found if isinstance(part, Polygon) and part.area > 2 * door.SMALLEST_AREA]


def area_of(geometry: BaseGeometry) -> BaseGeometry:
    found = polygons(geometry)
    return found[0] if len(found) == 1 else MultiPolygon(found)


def slimmed(area: BaseGeometry, hair: float) -> BaseGeometry:
    """The area's parts without vertices that move its edge by no more than a hair, unless parts would come to cross."""
    slim = area_of(shapely.simplify(area, hair))
    return slim if slim.is_valid else area_of(area)


def moved(area: BaseGeometry, distance: float, tolerance: float) -> BaseGeometry:
    """The area's parts moved outwards, or inwards where negative."""
    return area_of(offset.wall(slimmed(area, tolerance * SIMPLIFY), distance, tolerance, slim=False))


def closed_up(free: BaseGeometry, centres: BaseGeometry, radius: float, tolerance: float) -> BaseGeometry:
    """All of `centres` from which the cutter meets no wood, when there is none within its radius of `free`."""
    swept = moved(free, radius, tolerance)
    return area_of(shapely.intersection(shapely.union(moved(swept, -radius, tolerance), free), centres))


def deep(centres: BaseGeometry, free: BaseGeometry, depth: float) -> list[Polygon]:
    """The parts of `centres` that are not free yet and reach deeper than so much from what is."""
    left = polygons(shapely.difference(centres, free))
    if not left:
        return []
    bounds = shapely.buffer(shapely.box(*shapely.total_bounds(left)), 2 * depth, join_style="mitre")
    near = shapely.buffer(shapely.intersection(free, bounds), depth, quad_segs=2)
    shapely.prepare(near)
    return [part for part, known in zip(left, shapely.covers(near, left)) if not known]


def next_cores(cores: BaseGeometry, inner: BaseGeometry, discs: Discs) -> BaseGeometry:
    """Where the centres may be next, when they may be in `cores` now and in `inner` at all."""
    reached = shapely.buffer(cores, discs.step, quad_segs=_QUARTER_OF_CENTRES)
    return slimmed(shapely.intersection(reached, inner), discs.hair)


def fronts(free: BaseGeometry, cores: BaseGeometry, discs: Discs) -> tuple[list[Front], bool]:
    """What the discs about `cores` open of what is not free, and whether that is all that they cover."""
    grown = area_of(shapely.intersection(shapely.buffer(cores, discs.rho, quad_segs=_QUARTER), discs.room))
    known = shapely.buffer(free, discs.hair, quad_segs=1)
    least = max(_WORTH * discs.step, discs.fine * _THINNEST)
    opened = polygons(shapely.difference(grown, known))
    thick = [part for part in opened if _thick(part, least)]
    if not thick:
        return [], False
    # Where the chip is a hair thick the edge leaves the free room on a curve no tighter than the disc.
    extra = max(_LEAD * sqrt(2 * discs.hair * discs.rho) + 2 * discs.hair, SHORTEST)
    edges = [edge for part in polygons(grown) for edge in _edges(part, known, extra)]
    found = []
    for crescent in thick:
        near = shapely.buffer(crescent, 1e-6, quad_segs=1)
        own = tuple(edge for middle, edge in edges if near.intersects(middle))
        if own:
            room = area_of(shapely.intersection(shapely.buffer(crescent, 3 * discs.hair, quad_segs=1), grown))
            found.append(Front(room, own, free, discs))
    return found, len(found) == len(opened)


def _thick(area: BaseGeometry, least: float) -> bool:
    """Whether a disc of this diameter fits into the area."""
    return not shapely.buffer(area, -least / 2, quad_segs=2).is_empty


def _edges(part: Polygon, known: BaseGeometry, extra: float) -> list[tuple[shapely.Point, FrontEdge]]:
    """(middle, stretch) of each stretch of an area's edge outside the known room, longer by `extra` at either end."""
    found = []
    sound = orient(part)
    for boundary in (sound.exterior, *sound.interiors):
        ring = shapely.remove_repeated_points(boundary, 1e-7)
        kept = shapely.difference(ring, known)
        if kept.is_empty:
            continue
        merged = shapely.line_merge(kept) if kept.geom_type != "LineString" else kept
        for line in shapely.get_parts(merged):
            middle = line.interpolate(0.5, normalized=True)
            long = line.length + 2 * extra
            if long > ring.length:
                found.append((middle, FrontEdge(door.ring_points(ring), True)))
            else:
                start = ring.project(middle) - long / 2
                found.append((middle, FrontEdge(along(ring, start, long), False)))
    return found


def along(ring: LineString, start: float, length: float) -> Floats:
    """The points of a ring from a length along it, for so much of it, at most one round."""
    points = shapely.get_coordinates(ring)
    at = lengths_along(points)
    start %= at[-1]
    ats = np.concatenate([at, at[1:] + at[-1]])
    twice = np.vstack([points, points[1:]])
    inside = (ats > start + 1e-7) & (ats < start + length - 1e-7)
    ends = np.array([start, start + length])
    (first, last) = np.column_stack([np.interp(ends, ats, twice[:, 0]), np.interp(ends, ats, twice[:, 1])])
    return np.vstack([first, twice[inside], last])
