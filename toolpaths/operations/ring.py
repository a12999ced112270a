"""Closed paths of a cutter about an area: which way round, and where they begin."""

from __future__ import annotations

from math import hypot

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.checks import one_of
from toolpaths.errors import Point
from toolpaths.geometry import arcs, door
from toolpaths.geometry import tolerance as share
from toolpaths.geometry.track import Track

DIRECTIONS = ("climb", "conventional")


def checked_direction(direction: str) -> str:
    return one_of("direction", direction, DIRECTIONS)


def rings(area: BaseGeometry, *, wood_outside: bool, direction: str, tolerance: float) -> list[Track]:
    """The boundary of an area as tracks, holes first.

    wood_outside : whether the wood that stays lies outside the area (a pocket) or inside (a part).
    With the spindle turning clockwise, climb has that wood on the right of the travel (reference:
    any text on milling; derived from the chip's thickness at exit). A polygon's rings, outside
    anticlockwise and holes clockwise, have the area on their left.
    """
    forward = wood_outside == (direction == "climb")
    found = []
    for polygon in door.polygons("area", area):
        for ring in (*polygon.interiors, polygon.exterior):
            track = arcs.fit(door.ring_points(ring), True, tolerance * share.FIT)
            found.append(track if forward else track.reversed())
    return found


def begin_near(track: Track, place: Point) -> Track:
    """The closed track begun at its point nearest to a place."""
    return track.starting_at(track.nearest(place)[0])


def begun(track: Track, place: Point) -> Track:
    """A closed track begun near a place; an open one as it is."""
    return begin_near(track, place) if track.closed else track


def begin_on_longest(track: Track) -> Track:
    """The closed track begun at the start of its longest piece, where a ramp has most room."""
    lengths = [piece.length for piece in track.pieces]
    index = lengths.index(max(lengths))
    return track.starting_at(track.ends[index] - lengths[index])


def distance(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def placed_point(area: BaseGeometry) -> Point:
    """A point inside an area, to say where it is."""
    point = shapely.point_on_surface(area)
    return point.x, point.y
