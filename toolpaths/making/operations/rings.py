"""Closed paths of a cutter about an area: which way round, and where they begin."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, dist
from typing import Literal

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from toolpaths.base.errors import Point
from toolpaths.making.motion.tabs import END_GRAIN, off_grain
from toolpaths.shapes import door
from toolpaths.shapes.drawn_area import DrawnArea
from toolpaths.shapes.track import Track

# mm that a last round goes over its beginning (common practice, no source).
_OVERLAP = 1.0
Direction = Literal["climb", "conventional"]
DIRECTIONS: tuple[Direction, ...] = ("climb", "conventional")
ContourSide = Literal["outside", "inside", "on"]
CONTOUR_SIDES: tuple[ContourSide, ...] = ("outside", "inside", "on")


def boundary_rings(area: BaseGeometry, drawn: DrawnArea, *, wood_outside: bool, direction: Direction) -> list[Track]:
    """The boundary of an area as tracks, holes first.

    drawn : the area of which it is an offset
    wood_outside : whether the wood that stays lies outside the area (a pocket) or inside (a part).
    With the spindle turning clockwise, climb has that wood on the right of the travel (reference:
    any text on milling; derived from the chip's thickness at exit). A polygon's rings, outside
    anticlockwise and holes clockwise, have the area on their left.
    """
    forward = wood_outside == (direction == "climb")
    found = []
    for polygon in door.polygons("area", area):
        for ring in (*polygon.interiors, polygon.exterior):
            track = drawn.ring(door.ring_points(ring))
            found.append(track if forward else track.reversed())
    return found


def begin_near(track: Track, place: Point) -> Track:
    """The closed track begun at its point nearest to a place."""
    return track.starting_at(track.nearest(place)[0])


def begun(track: Track, place: Point) -> Track:
    """A closed track begun near a place; an open one as it is."""
    return begin_near(track, place) if track.closed else track


def where_joined(track: Track, place: Point) -> tuple[float, float]:
    """(length along it, distance) of where a track is joined from a place: a closed one anywhere, else its start."""
    return track.nearest(place) if track.closed else (0.0, dist(place, track.start))


def begin_on_longest(track: Track) -> Track:
    """The closed track begun at the start of its longest segment, where a ramp has most room."""
    index = track.lengths.index(max(track.lengths))
    return track.starting_at(track.ends[index] - track.lengths[index])


def begin_on_end_grain(track: Track, grain_deg: float) -> Track:
    """The closed track begun on its longest stretch of end grain, so that sides along the grain are left to tabs.

    At the start of a segment if there is one on its first half; on the longest segment where there is no end grain.
    """
    steps = np.linspace(0.0, track.length, ceil(track.length) + 1)
    across = np.array([off_grain(track.heading(along), grain_deg) > END_GRAIN for along in steps[:-1].tolist()])
    if across.all() or not across.any():
        return begin_on_longest(track)
    # Counted from a place off end grain, so that no stretch goes on over the end.
    first = int(np.argmin(across))
    edges = np.flatnonzero(np.diff(np.append(np.roll(across, -first), False).astype(int), prepend=0)).reshape(-1, 2)
    low, high = (steps[1] * (first + edges[np.argmax(np.diff(edges, axis=1))])).tolist()
    ahead = min((end - low) % track.length for end in track.ends)
    return track.starting_at((low + (ahead if ahead < (high - low) / 2 else 0.0)) % track.length)


def as_chords(track: Track) -> LineString:
    """A track roughly, its arcs as a few chords."""
    spots = [segment.at(i / 8) for segment in track.segments for i in range(8 if segment.sweep else 1)]
    return LineString([*spots, track.segments[-1].end])


def place_within(track: Track, area: BaseGeometry) -> Point | None:
    """The middle of the longest stretch of a track inside an area; None if there is none."""
    if area.is_empty:
        return None
    inside = shapely.intersection(as_chords(track), area)
    longest = max(shapely.get_parts(inside), key=lambda part: part.length)
    if longest.length == 0:
        return None
    middle = shapely.line_interpolate_point(longest, 0.5, normalized=True)
    return middle.x, middle.y


def middles(track: Track) -> list[float]:
    """Lengths along a track of the middles of its segments, that of the longest first."""
    each = [(segment.length, end - segment.length / 2) for segment, end in zip(track.segments, track.ends, strict=True)]
    return [along for _, along in sorted(each, reverse=True)]


def past_its_start(track: Track) -> float:
    """mm along a closed track at which a last round ends: a little over its beginning, so that no line shows there."""
    return track.length + min(_OVERLAP, track.length / 4)


def begin_clear(track: Track, places: Sequence[Point], half: float) -> Track:
    """The closed track begun where none of the tabs at these places stands.

    As it is if it does so; else behind the tab before the longest stretch without one.
    half : mm of path that a tab takes to either side
    """
    along = sorted(track.nearest(place)[0] for place in places)
    if not along or (along[0] >= half and along[-1] + half <= track.length):
        return track
    free = [following - each for each, following in zip(along, [*along[1:], along[0] + track.length])]
    longest = free.index(max(free))
    spare = free[longest] - 2 * half
    return track.starting_at((along[longest] + half + max(spare / 2, 0.0)) % track.length)


def placed_point(area: BaseGeometry) -> Point:
    """A point inside an area, to say where it is."""
    point = shapely.point_on_surface(area)
    return point.x, point.y


def near(area: BaseGeometry, place: Point) -> Point:
    """The point of an area nearest to a place."""
    point = nearest_points(area, shapely.Point(place))[0]
    return point.x, point.y
