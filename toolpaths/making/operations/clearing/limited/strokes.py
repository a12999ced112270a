"""The strokes that clear an area with limited engagement, in order: front by front, large discs before small ones.

The next stroke is looked for beside the last, with discs somewhat larger than it had, then smaller and smaller ones; so
a room is followed to its end and its corners are done before the cutter goes elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import dist, radians

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.making.operations.clearing.limited.fronts import (
    Front,
    FrontEdge,
    advance,
    along,
    area_of,
    closed_up,
    fineness,
    fronts,
    moved,
    polygons,
)
from toolpaths.making.operations.clearing.shortest_path import shortest_path
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes import arc_fit
from toolpaths.shapes.curves import lengths_along
from toolpaths.shapes.tolerance_shares import FIT, SIMPLIFY
from toolpaths.shapes.track import Track

# Degrees kept from the limit, for chords, for arcs fitted to them, and for the rounding of the text.
_HAIR_DEG = 1.0
# Each disc is so much smaller than the one before, and the largest so many of the cutter's radii.
_LADDER, _LARGEST = 0.6, 8.0
# A closed loop is reached along a spiral of so many steps, and at least so many radii.
_SPIRAL_STEPS, _SPIRAL_RADII = 10.0, 1.0
# The smallest disc, and how deep a corner may be left uncut, as shares of the tolerance. Deeper than the last share,
# what is left is an error.
_SMALLEST, _DEPTH, _TOO_DEEP = 1 / 10, 0.6, 5.0
# Below this share of the cutter's radius, fronts that meet leave no wood behind that is worth asking for.
_CLOSED_UP = 0.1
# Paths round corners that are longer than so many diameters are lifted over instead.
_LONGEST_PATH = 12.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """One track of the cutter, and the places of the path to its start, through room without wood.

    lifted : whether the cutter is to be lifted over to the first of them, where it meets no wood on its way down
    """

    track: Track
    approach: tuple[Point, ...]
    lifted: bool


def _deep(centres: BaseGeometry, free: BaseGeometry, depth: float) -> list[Polygon]:
    """The parts that are not free yet and reach deeper than so much from what is."""
    near = shapely.buffer(free, depth, quad_segs=2)
    return [
        part
        for part in polygons(shapely.difference(centres, free))
        if not shapely.is_empty(shapely.difference(part, near))
    ]


class Strokes:
    """What clears `centres`, where the cutter's axis may be, when it meets no wood in `free`.

    here : where the axis is at first, in `free`
    widest : mm from front to front at most, up to the radius of what cuts level, or wood would be left between them
    climb : whether the wood is on the right of the travel
    """

    def __init__(
        self,
        centres: Polygon,
        free: BaseGeometry,
        here: Point,
        *,
        radius: float,
        limit_deg: float,
        widest: float,
        climb: bool,
        tolerance: float,
    ) -> None:
        self.widest = widest
        self.centres, self.here, self.radius, self.climb = centres, here, radius, climb
        self.limit, self.tolerance = radians(limit_deg - _HAIR_DEG), tolerance
        self.free = closed_up(area_of(free), centres, radius, tolerance)
        widest = shapely.maximum_inscribed_circle(centres, radius / 50).length
        self.discs = [min(0.98 * widest, _LARGEST * radius)]
        while self.discs[-1] > tolerance * _SMALLEST:
            self.discs.append(self.discs[-1] * _LADDER)
        self._inner: dict[int, BaseGeometry] = {}
        self.found: list[Stroke] = []

    def all(self) -> list[Stroke]:
        """The strokes in their order. Raises DoesNotFitError where the limit cannot be kept."""
        in_vain: list[Polygon] = []
        while (start := self._nearest_left(in_vain)) is not None:
            window, size = self._around(start, self.discs[0]), 0
            last: BaseGeometry = start
            while (got := self._next(window, size, last)) is not None:
                front, size = got
                self._cut(front, self.discs[size])
                last, size = front.room, max(0, size - 1)
                window = self._around(last, self.discs[size])
            if last is start:
                in_vain.append(start)
        left = _deep(self.centres, self.free, _TOO_DEEP * self.tolerance)
        if left:
            at = left[0].representative_point()
            raise DoesNotFitError(
                f"The limit of engagement cannot be kept near ({at.x:.1f}, {at.y:.1f}); take a finer cutter there, or "
                "engagement_deg=180.",
                (at.x, at.y),
            )
        return self.found

    def _nearest_left(self, in_vain: list[Polygon]) -> Polygon | None:
        """The nearest part that is not free yet and was not tried in vain."""
        here = shapely.Point(self.here)
        left = _deep(self.centres, self.free, _DEPTH * self.tolerance)
        new = [part for part in left if not any(shapely.equals_exact(part, other, 1e-6) for other in in_vain)]
        return min(new, key=here.distance, default=None)

    def _advance(self, rho: float) -> float:
        return min(advance(rho, self.radius, self.limit), self.widest)

    def _around(self, area: BaseGeometry, rho: float) -> BaseGeometry:
        far = 4 * rho + 2 * self._advance(rho)
        return shapely.buffer(shapely.box(*area.bounds), far, join_style="mitre")

    def _next(self, window: BaseGeometry, size: int, last: BaseGeometry) -> tuple[Front, int] | None:
        """The front to take next and the size of its discs: one beside the last if there is any, else the nearest."""
        free = area_of(shapely.intersection(self.free, window))
        wider = shapely.buffer(window, 2 * self.radius, join_style="mitre")
        beyond = area_of(shapely.intersection(self.free, wider))
        left = _deep(shapely.intersection(self.centres, window), beyond, _DEPTH * self.tolerance)
        if not left:
            return None
        standing = shapely.union_all(left)
        shapely.prepare(standing)
        for number in range(size, len(self.discs)):
            if number not in self._inner:
                fine = fineness(self.discs[number], self.tolerance)
                self._inner[number] = moved(self.centres, -self.discs[number], fine)
            inner = self._inner[number]
            rho = self.discs[number]
            found = fronts(free, beyond, self.centres, inner, rho, self._advance(rho), self.tolerance)
            found = [front for front in found if shapely.intersects(standing, front.room)]
            if found:
                return min(found, key=lambda front: self._apart(front, last)), number
        return None

    def _apart(self, front: Front, last: BaseGeometry) -> tuple[bool, float]:
        return shapely.distance(front.room, last) > self.tolerance, min(map(self._far, front.edges))

    def _far(self, edge: FrontEdge) -> float:
        """How far away an edge begins."""
        if edge.closed:
            return float(shapely.distance(shapely.linestrings(edge.points), shapely.Point(self.here)))
        return dist(edge.points[0 if self.climb else -1], self.here)

    def _cut(self, front: Front, rho: float) -> None:
        """Go along a front, and take what it opens to be free."""
        fine = fineness(rho, self.tolerance)
        waiting = list(front.edges)
        while waiting:
            edge = min(waiting, key=self._far)
            waiting.remove(edge)
            points = edge.points if self.climb else edge.points[::-1]
            track = arc_fit.fit(self._spiral(points, rho) if edge.closed else points, False, fine * FIT)
            self.found.append(self._joined(track))
            self.here = track.segments[-1].end
        opened = front.room
        if rho > _CLOSED_UP * self.radius:
            around = shapely.buffer(shapely.box(*opened.bounds), 2.5 * self.radius, join_style="mitre")
            near = area_of(shapely.union(shapely.intersection(self.free, around), opened))
            opened = closed_up(near, self.centres, self.radius, self.tolerance)
        free = shapely.union(self.free, opened)
        self.free = area_of(shapely.simplify(free, fine * SIMPLIFY))

    def _spiral(self, points: Floats, rho: float) -> Floats:
        """A closed loop, reached from the edge of the free room along a spiral that begins near the cutter."""
        ring = LineString(np.vstack([points, points[:1]]))
        edge = shapely.boundary(self.free)
        # The loop lies unevenly far from that edge, nowhere farther than the advance.
        long = min(max(_SPIRAL_STEPS * self._advance(rho), _SPIRAL_RADII * self.radius), ring.length / 2)
        start = ring.project(shapely.Point(self.here))
        outer = shapely.get_coordinates(shapely.segmentize(LineString(along(ring, start, long)), self.radius / 20))
        inner = shapely.get_coordinates(shapely.shortest_line(edge, shapely.points(outer)))[::2]
        done = lengths_along(outer) / long
        out = (done * done * (3 - 2 * done))[:, None]
        return np.vstack([inner + (outer - inner) * out, along(ring, start + long, ring.length)[1:]])

    def _joined(self, track: Track) -> Stroke:
        """A stroke, and how to come to it."""
        found = shortest_path(self.free, self.here, track.start, _LONGEST_PATH * self.radius, self.tolerance / 2)
        if found is not None:
            return Stroke(track, found, lifted=False)
        # Down beside the wall, not along it, where there is room for that.
        roomy = shapely.buffer(self.free, -AIR, quad_segs=2)
        start = shapely.Point(track.start)
        near = shapely.shortest_line(roomy if not roomy.is_empty else start, start)
        down = shapely.get_coordinates(near)[0]
        return Stroke(track, ((float(down[0]), float(down[1])), track.start), lifted=True)
