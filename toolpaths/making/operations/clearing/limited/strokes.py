"""The strokes that clear a room with limited engagement, in their order.

First a spiral to the largest disc about the place where the cutter goes down; then arcs, one about each disc that
follows; at last the wall, where wood was left at it.
"""

from __future__ import annotations

from math import atan2, cos, dist, hypot, pi, sin

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.advance import Limit
from toolpaths.making.operations.clearing.limited.approach import Approaches, Stroke
from toolpaths.making.operations.clearing.limited.disc_arcs import Arc, arcs_in_turn, trimmed
from toolpaths.making.operations.clearing.limited.discs import Discs
from toolpaths.making.operations.clearing.limited.room_discs import RoomDiscs, Spiral
from toolpaths.making.operations.clearing.limited.wall_discs import WallPlaces, wall_places
from toolpaths.making.operations.clearing.limited.wall_laps import WallLap
from toolpaths.shapes.track import Segment, Track

# Degrees kept from the limit, for the rounding of the text.
_HAIR_DEG = 0.2
# Chips thinner than this share of the tolerance are none.
_HAIR = 0.25
# Of the tolerance: half the width of slits in the room that are none.
_SLIT = 0.1
# mm, at least: moves that are shorter hold a machine up.
_SHORTEST = 0.08
# Tolerances: a disc no larger, in the tip of a corner, is left to the lap along the wall.
_TIP = 1.5
# An area that is so much of its smallest circle is one disc.
_DISC = 0.98


def strokes(
    centres: Polygon,
    free: BaseGeometry,
    here: Point,
    *,
    radius: float,
    limit_deg: float,
    widest: float,
    climb: bool,
    tolerance: float,
) -> list[Stroke]:
    """What clears `centres`, where the cutter's axis may be, when it meets no wood in `free`, in order.

    here : where the axis is at first, in `free`
    widest : mm from stroke to stroke at most, up to the radius of what cuts level, or wood would be left between them
    climb : whether the wood is on the right of the travel
    Raises DoesNotFitError where the limit cannot be kept.
    """
    limit = Limit.of_degrees(radius, limit_deg - _HAIR_DEG, widest)
    # Without slits into which nothing goes.
    slit = _SLIT * tolerance
    opened = shapely.buffer(shapely.buffer(centres, -slit, join_style="mitre"), slit, join_style="mitre")
    if isinstance(opened, Polygon) and not opened.is_empty:
        centres = opened
    return _Clearing(centres, free, here, limit, climb, tolerance).strokes()


class _Clearing:
    """Strokes as they are found."""

    def __init__(
        self, room: Polygon, free: BaseGeometry, here: Point, limit: Limit, climb: bool, tolerance: float
    ) -> None:
        self.room, self.free, self.here, self.limit = room, free, here, limit
        self.climb, self.tolerance, self.hair = climb, tolerance, _HAIR * tolerance
        self.cleared = Discs(np.empty((0, 2)), np.empty(0))
        self.tracks: list[Track] = []
        # How many of the discs are cleared by now, and before each track.
        self.count, self.known = 0, list[int]()
        # Whether the free room is more than one disc.
        self.is_area = bool(free.area < _DISC * pi * shapely.minimum_bounding_radius(free) ** 2)
        shapely.prepare(self.free)

    def strokes(self) -> list[Stroke]:
        if shapely.covers(shapely.buffer(self.free, self.hair, quad_segs=2), self.room):
            return []
        walls = wall_places(self.room, self.limit, self.hair)
        begun, spiral, discs = RoomDiscs(
            self.room, self.free, self.is_area, walls, self.limit, self.climb, self.tolerance, self.hair
        ).in_turn()
        first = [(np.array(spiral.centre), spiral.largest)] if spiral else []
        kept = [disc for disc in discs if disc[1] > _TIP * self.tolerance]
        self.cleared = begun.joined(_discs(first + kept))
        self.count, here = len(begun), self.here
        if spiral:
            self._spiral(spiral)
        following = self.cleared.of(np.arange(self.count, len(self.cleared)))
        known = self.cleared.of(np.arange(self.count))
        arcs = arcs_in_turn(known, following, least=self.limit.radius / 2, thin=self.hair / 4)
        for (centre, size), outside in zip(kept, arcs):
            self._round(centre, size, outside)
        for places in walls:
            self._wall(places)
        return Approaches(self.free, self.limit.radius, self.climb).strokes(self.tracks, self.known, self.cleared, here)

    def _spiral(self, spiral: Spiral) -> None:
        """Half turns from a free disc to the largest about a centre, and once round that."""
        (cx, cy), size, largest = spiral
        sizes = [size]
        while sizes[-1] < largest - 1e-9:
            wider = min(self.limit.wider(sizes[-1]), largest)
            sizes += [(sizes[-1] + wider) / 2, wider]
        sizes += [largest, largest]
        x, y = self.here
        turn = atan2(y - cy, x - cx) if hypot(x - cx, y - cy) > 1e-6 else 0.0
        segments = []
        start = (cx + size * cos(turn), cy + size * sin(turn))
        sign = 1.0 if self.climb else -1.0
        for following in sizes[1:]:
            turn += pi
            end = (cx + following * cos(turn), cy + following * sin(turn))
            segments.append(Segment(start, end, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), sign * pi))
            start = end
        self._add(Track(tuple(segments), False))
        self.count += 1

    def _round(self, centre: Floats, size: float, arcs: list[Arc]) -> None:
        """The arcs of a disc where it sticks out of what is cleared."""
        x, y = centre.tolist()
        if self.is_area:
            step = self.limit.radius / 20
            arcs = [left for arc in arcs if (left := trimmed(arc, (x, y), size, self.free, step))]
        lead = _SHORTEST / size if size > 2 * _SHORTEST else 0.0
        for start, end in sorted(arcs, key=lambda arc: self._far(x, y, size, arc)):
            start, end = start - lead, end + lead
            if end - start > 2 * pi:
                end = start + 2 * pi
            if not self.climb:
                start, end = end, start
            a = (x + size * cos(start), y + size * sin(start))
            b = (x + size * cos(end), y + size * sin(end))
            arc = Segment(a, b, (x, y), end - start)
            line = _before(arc)
            reached = not lead and self._depth(line.start) > -self.hair
            self._add(Track((line, arc) if reached else (arc,), False))
        self.count += 1

    def _depth(self, place: Point) -> float:
        """How deep a place lies in what is cleared by now."""
        return float(self.cleared.depth(np.array(place))[: self.count].max())

    def _far(self, x: float, y: float, size: float, arc: Arc) -> float:
        turn = arc[0] if self.climb else arc[1]
        return dist(self.here, (x + size * cos(turn), y + size * sin(turn)))

    def _wall(self, places: WallPlaces) -> None:
        """Along a ring of the wall where there is wood at it."""
        lap = WallLap(places, self.limit.radius, self.climb, self.tolerance)
        wood = np.ones(len(lap.at), bool)
        if self.is_area:
            wood = shapely.distance(self.free, shapely.points(lap.at)) > self.hair
        if not wood.any():
            return
        stretches = lap.stretches(wood)
        if not stretches:
            self._add(lap.all_round(self.here))
        while stretches:
            self._add(lap.over(stretches.pop(lap.nearest(stretches, self.here))))

    def _add(self, track: Track) -> None:
        self.tracks.append(track)
        self.known.append(self.count)
        self.here = track.segments[-1].end


def _discs(found: list[tuple[Floats, float]]) -> Discs:
    return Discs(np.array([centre for centre, _ in found]).reshape(-1, 2), np.array([size for _, size in found]))


def _before(arc: Segment) -> Segment:
    """A line straight to the start of an arc that is too short to be reached by a lead of its own."""
    (x, y), heading = arc.start, arc.heading(0.0)
    return Segment((x - _SHORTEST * cos(heading), y - _SHORTEST * sin(heading)), (x, y))
