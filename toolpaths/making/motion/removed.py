"""The wood that is removed: one question, whoever took it, answered as areas open down to a height.

The answer comes from the moves of the toolpaths, so that it holds whatever made them: a pocket, a contour, drilled
holes. It errs to the side of wood: a slope counts as deep as its higher end, a circle as the polygon inside it.
Coordinates are those of the board as it lies.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.making.motion.toolpath import CUT, DRILL, RAPID, Toolpath
from toolpaths.shapes import offset
from toolpaths.shapes.curves import steps_for
from toolpaths.shapes.track import Segment

# mm by which the chords of an arc may lie inside it; the cutter is taken to be as much thinner.
_SAGITTA = 0.001
# mm: wood no wider than twice this is a hair between two cuts.
_HAIR = 0.05
# Rows and columns of places at which it is soon seen that wood stands.
_PLACES = 15
# mm by which the height of a pass may be rounded.
_ROUNDING = 1e-6


# The z that counts of a slope between two.
OfSlope = Callable[[float, float], float]


@dataclass(frozen=True, eq=False)
class Swept:
    """What the cutter of one toolpath sweeps at feed.

    of_slope : max, where all that is said to be swept must be so; min, where all that may be swept must be said
    """

    path: Toolpath
    of_slope: OfSlope = max
    _areas: dict[float, BaseGeometry] = field(default_factory=dict)
    _areas_of: dict[frozenset[tuple[float, bytes]], BaseGeometry] = field(default_factory=dict)

    @cached_property
    def lines(self) -> list[tuple[float, Floats]]:
        """(z of the tip, (n, 2) points) of each stretch cut at one height, each segment once; a hole is one point."""
        found: list[tuple[float, list[Segment]]] = []
        seen: set[tuple[float, Segment]] = set()
        holes: list[tuple[float, Floats]] = []
        x = y = z = 0.0
        for move in self.path.moves:
            if move.kind == DRILL and move.hole is not None:
                holes.append((move.hole.bottom, np.array([[move.x, move.y]])))
            elif move.kind == CUT:
                segment, tip = Segment((x, y), (move.x, move.y), move.centre, move.sweep), self.of_slope(z, move.z)
                if found and found[-1][0] == tip and found[-1][1][-1].end == segment.start:
                    found[-1][1].append(segment)
                elif (tip, segment) not in seen:
                    found.append((tip, [segment]))
                seen.add((tip, segment))
            x, y, z = move.x, move.y, move.z
        return [(tip, np.vstack([_chords(segment) for segment in segments])) for tip, segments in found] + holes

    @cached_property
    def limits(self) -> Floats:
        """(5,) left, low, right and high of a box about all that can be swept, roughly: arcs count as their whole
        circle; and the lowest z of any cut. NaN where nothing is cut."""
        moves, radius = self.path.moves, self.path.cutter.radius
        ends = np.array([(0.0, 0.0), *((move.x, move.y) for move in moves)])
        cut = np.array([move.kind != RAPID for move in moves], bool)
        if not cut.any():
            return np.full(5, np.nan)
        arcs = [number for number, move in enumerate(moves) if move.sweep]
        middles = np.array([moves[number].centre for number in arcs]).reshape(-1, 2)
        far = np.hypot(*(ends[arcs] - middles).T)[:, None]
        places = np.vstack([ends[:-1][cut], ends[1:][cut], middles - far, middles + far])
        return np.array([*places.min(axis=0) - radius, *places.max(axis=0) + radius, self.path.lowest])

    @cached_property
    def bounds(self) -> BaseGeometry:
        """The box of these limits."""
        return Polygon() if np.isnan(self.limits[0]) else box(*self.limits[:4].tolist())

    def down_to(self, z: float) -> BaseGeometry:
        """The area swept down to z, in which no wood is left above it."""
        if not self.limits[4] <= z + _ROUNDING:
            return Polygon()
        if z not in self._areas:
            lines = self._by_radius(z)
            # Most passes go the same way as those above them.
            ways = frozenset((radius, points.tobytes()) for radius, some in lines.items() for points in some)
            if ways not in self._areas_of:
                self._areas_of[ways] = shapely.union_all(list(_ground(lines)))
            self._areas[z] = self._areas_of[ways]
        return self._areas[z]

    def comes_near(self, places: Floats, z: float) -> NDArray[np.bool_]:
        """(k,) whether what is swept down to z comes within two hairs of places (k, 2)."""
        near, hairs = np.zeros(len(places), bool), _SAGITTA + 2 * _HAIR
        within = (places >= self.limits[:2] - hairs) & (places <= self.limits[2:4] + hairs)
        some = np.flatnonzero(within.all(axis=1))
        if not len(some):
            return near
        points = shapely.points(places[some])
        for radius, lines in self._by_radius(z).items():
            rows = [line if len(line) > 1 else np.vstack([line, line]) for line in lines]
            drawn = shapely.multilinestrings([shapely.linestrings(row) for row in rows])
            shapely.prepare(drawn)
            near[some] |= shapely.dwithin(drawn, points, radius + hairs)
        return near

    def _by_radius(self, z: float) -> dict[float, list[Floats]]:
        """The lines along which the cutter sweeps down to z, by how wide it is there, each once: it may go the same
        way on several passes."""
        above = z - np.array([tip for tip, _ in self.lines]) + _ROUNDING
        # Above the head of an undercut cutter wood stands; what may be swept is all of its head.
        profile = self.path.cutter.profile
        profile = profile.opens_sideways if self.of_slope is max else profile
        radii = np.where(above >= 0, profile.radii(above), 0.0) - _SAGITTA
        by_radius: dict[float, dict[bytes, Floats]] = {}
        for radius, (_, points) in zip(radii.tolist(), self.lines):
            if radius > 0:
                by_radius.setdefault(radius, {}).setdefault(points.tobytes(), points)
        return {radius: list(lines.values()) for radius, lines in by_radius.items()}


@dataclass(frozen=True, slots=True, eq=False)
class Removed:
    """What a row of toolpaths took away, and areas that were open all through the board before them.

    limits : (n, 5) those of each toolpath, kept together since each question first looks which of many come near
    """

    swept: tuple[Swept, ...] = ()
    through: BaseGeometry = field(default_factory=Polygon)
    limits: Floats = field(default_factory=lambda: np.zeros((0, 5)))

    def after(self, path: Toolpath) -> Removed:
        """The same and what one more toolpath took."""
        if not path.moves:
            return self
        one = Swept(path)
        return Removed((*self.swept, one), self.through, np.vstack([self.limits, one.limits]))

    def near(self, area: BaseGeometry, z: float) -> list[Swept]:
        """Those toolpaths that cut down to z or lower, and come near an area."""
        if area.is_empty:
            return []
        left, low, right, high = area.bounds
        limits = self.limits.T
        met = (limits[0] <= right) & (limits[2] >= left) & (limits[1] <= high) & (limits[3] >= low)
        return [self.swept[number] for number in np.flatnonzero(met & (limits[4] <= z + _ROUNDING)).tolist()]

    def down_to(self, z: float, near: BaseGeometry) -> BaseGeometry:
        """The area in which no wood stands above z, known where it meets the area `near`, and maybe elsewhere."""
        return _joined([self.through, self.cut_down_to(z, near)], near)

    def highest_wood(self, area: BaseGeometry) -> float:
        """Z of the highest wood that still stands anywhere over an area; 0 where some of the face does."""
        swept = [each for each in self.swept if not each.bounds.is_empty]
        if not shapely.covers(shapely.union_all([self.through, *(each.bounds for each in swept)]), area):
            return 0.0
        # Highest first: where wood stands above one of these heights it stands above all that are lower.
        heights = [0.0, *sorted({tip for each in swept for tip, _ in each.lines if tip < 0}, reverse=True)]
        if len(heights) > 1 and self._stands_above(heights[1], area):
            return 0.0
        return heights[bisect_left(heights[1:], True, key=lambda z: self._stands_above(z, area))]

    def stands_at(self, places: Floats, z: float) -> NDArray[np.bool_]:
        """(k,) whether wood stands above z at each of places (k, 2) of the board, and two hairs about it."""
        left = np.ones(len(places), bool)
        for each in self.swept:
            if left.any():
                left[left] = ~each.comes_near(places[left], z)
        left[left] = ~shapely.intersects_xy(self.through, *places[left].T)
        return left

    def _stands_above(self, z: float, area: BaseGeometry) -> bool:
        """Whether wood stands above z anywhere over an area, but for hairs.

        That some stands is soon seen at places all over it, that none does where one toolpath took it all.
        """
        if self.stands_at(_places_over(area), z).any():
            return True
        if self.took_all(area, z):
            return False
        wood = shapely.difference(area, self.down_to(z, area))
        return not shapely.buffer(wood, -_HAIR).is_empty

    def cut_down_to(self, z: float, near: BaseGeometry) -> BaseGeometry:
        """The same, but only what the toolpaths themselves took: in an opening from before a core may still lie."""
        met = [each.down_to(z) for each in self.near(near, z) if shapely.intersects(each.bounds, near)]
        return _joined(met, near)

    def took_all(self, area: BaseGeometry, z: float) -> bool:
        """Whether one toolpath left no wood above z all over an area, as levelling a face does: soon seen."""
        met = (each for each in self.near(area, z) if shapely.covers(each.bounds, area))
        return any(shapely.covers(each.down_to(z), area) for each in met)


def _ground(by_radius: dict[float, list[Floats]]) -> Iterator[BaseGeometry]:
    """What a cutter so wide along lines sweeps, in parts."""
    for radius, lines in by_radius.items():
        yield offset.along([line for line in lines if len(line) > 1], radius)
        yield from (Point(line[0]).buffer(radius, quad_segs=16) for line in lines if len(line) == 1)


def _places_over(area: BaseGeometry) -> Floats:
    """(k, 2) places all over an area, no nearer to its edge than two hairs."""
    left, low, right, high = area.bounds
    across, up = np.meshgrid(np.linspace(left, right, _PLACES + 2)[1:-1], np.linspace(low, high, _PLACES + 2)[1:-1])
    places = np.stack([across.ravel(), up.ravel()], axis=1)
    return np.asarray(places[shapely.intersects_xy(shapely.buffer(area, -2 * _HAIR), *places.T)])


def _joined(areas: list[BaseGeometry], near: BaseGeometry) -> BaseGeometry:
    """The union of what lies near."""
    parts = shapely.get_parts(areas)
    return shapely.union_all(parts[shapely.intersects(shapely.envelope(parts), shapely.envelope(near))])


def _chords(segment: Segment) -> Floats:
    """(n, 2) points along a segment, its ends among them."""
    count = steps_for(segment.radius, segment.sweep, _SAGITTA) if segment.sweep else 1
    if count == 1:
        return np.array([segment.start, segment.end])
    (x, y), (cx, cy) = segment.start, segment.centre
    ray = complex(x - cx, y - cy) * np.exp(1j * (segment.sweep / count) * np.arange(1, count))
    return np.vstack([segment.start, np.column_stack([cx + ray.real, cy + ray.imag]), segment.end])
