"""Where on a board there is room for what holds it: no cutter of any side comes near, in wood that is waste."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.facts.board import Board
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.making.plan.effect import effect_of
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.shapes.curves import steps_for
from toolpaths.shapes.track import Segment

# mm by which chords of arcs, and rounded rims, may be off what a cutter sweeps; by which all is taken wider.
_OFF = 0.05
# Places looked at on a board at most, and mm between them at least.
_MOST, _FINEST = 100_000, 1.0
# Share of a distance within which another is as good.
_NEARLY = 0.03
# mm2; smaller pieces of wood are chips.
_CHIP = 25.0


@dataclass(frozen=True, slots=True, eq=False)
class Roomiest:
    """The place of an area that is farthest from its edge, and mm to that."""

    place: Point
    room: float


@dataclass(frozen=True, eq=False)
class SpareRoom:
    """The room for things so high on the sides of one board, all as seen from the front.

    setups : of the board, in running order; height : mm above the board that a thing stands
    """

    setups: tuple[Setup, ...]
    height: float

    @property
    def board(self) -> Board:
        return self.setups[0].fixture.board

    @cached_property
    def swept(self) -> BaseGeometry:
        """Where a cutter, its shank or its nut comes below that height, at feed, on any side."""
        return shapely.union_all([self._swept_by(setup) for setup in self.setups])

    @cached_property
    def taken(self) -> BaseGeometry:
        """What stands on the board or goes through it already: screws, clamps, and pins on either side."""
        areas = [
            setup.fixture.place(thing.outline)
            for setup in self.setups
            for thing in setup.fixture.standing()
            if thing.kind != "grip"
        ]
        pins = {pin for setup in self.setups for pin in setup.fixture.dowels}
        return shapely.union_all([*areas, *[shapely.Point(pin.x, pin.y).buffer(pin.hole_reach) for pin in pins]])

    @cached_property
    def kept(self) -> BaseGeometry:
        """The wood that the outlines of parts keep, without their openings; all of the board where none is cut out."""
        outside, inside = (
            shapely.union_all([
                feature.shape
                for setup in self.setups
                for _, features in setup.features
                for feature in features
                if feature.waste_side == side
            ])
            for side in ("outside", "inside")
        )  # fmt: skip
        return shapely.difference(self.board.outline if outside.is_empty else outside, inside)

    @property
    def all_kept(self) -> bool:
        """Whether no part is cut out, so that what is drilled into the rest of the board stays in it."""
        features = (feature for setup in self.setups for _, some in setup.features for feature in some)
        return not any(feature.waste_side == "outside" for feature in features)

    @cached_property
    def pieces(self) -> list[BaseGeometry]:
        """The waste as cuts without tabs leave it, the largest first: that lies around all else."""
        return self._pieces_after(len(self.setups))

    def setups_held(self, place: Point) -> int:
        """On how many setups, from the first, the waste at a place hangs together with what lies around: what is cut
        free falls out when the board is taken off."""
        for number in range(1, len(self.setups)):
            around = self._pieces_after(number)[:1]
            if not (around and bool(shapely.intersects_xy(around[0], *place))):
                return number
        return len(self.setups)

    def _pieces_after(self, number: int) -> list[BaseGeometry]:
        """The same after so many of the setups."""
        if number not in self._left:
            through = [
                effect_of(operation, setup.fixture, setup.tolerance).through
                for setup in self.setups[:number]
                for operation in setup.operations
                if not operation.has_tabs
            ]
            left = shapely.get_parts(shapely.difference(self.board.outline, shapely.union_all(through)))
            found = left if self.all_kept else shapely.difference(left, self.kept)
            self._left[number] = sorted((each for each in found if each.area > _CHIP), key=lambda each: -each.area)
        return self._left[number]

    @cached_property
    def _left(self) -> dict[int, list[BaseGeometry]]:
        return {}

    def free(self, radius: float, clearance: float, edge: float) -> BaseGeometry:
        """Where the middle of a disc may be: so far from all cutters and things, and its middle from the edges.

        radius : mm, of the disc; clearance : mm from its rim to any cutter
        edge : mm from its middle to the board's edges
        """
        board = self.board
        inner = shapely.box(edge, edge, board.width - edge, board.height - edge) if self._wide(edge) else Polygon()
        away = shapely.buffer(shapely.union(self.swept, self.taken), radius + clearance + _OFF, quad_segs=16)
        return shapely.difference(inner, away)

    def _wide(self, edge: float) -> bool:
        return min(self.board.width, self.board.height) > 2 * edge

    def clearance(self, places: Floats) -> Floats:
        """(k,) mm from places (k, 2) to the nearest that a cutter comes, inf where none cuts."""
        if self.swept.is_empty:
            return np.full(len(places), np.inf)
        return np.asarray(shapely.distance(self.swept, shapely.points(places)))

    def _swept_by(self, setup: Setup) -> BaseGeometry:
        areas = [
            shapely.buffer(_axis(step.path, self.height), radius + _OFF, quad_segs=16)
            for step in setup.steps
            if isinstance(step, Step)
            and (radius := step.path.cutter.body_radius(max(self.height - step.path.lowest, 0.0))) > 0
        ]
        return setup.fixture.place(shapely.union_all(areas))


def roomiest(area: BaseGeometry) -> Roomiest | None:
    """Of an area; None of an empty one."""
    polygons = [part for part in shapely.get_parts(area) if isinstance(part, Polygon) and part.area > 0]
    found = [shapely.maximum_inscribed_circle(polygon) for polygon in polygons]
    if not found:
        return None
    widest = max(found, key=lambda radius: radius.length)
    x, y = widest.coords[0]
    return Roomiest((x, y), float(widest.length))


def places_within(area: BaseGeometry, line_x: float | None = None, line_y: float | None = None) -> Floats:
    """(k, 2) places all over an area, on whole mm or coarser; the roomiest of it where none of them lies in it.

    line_x, line_y : only those on this upright, or level, line
    """
    if area.is_empty:
        return np.empty((0, 2))
    left, low, right, high = area.bounds
    step = max(_FINEST, float(np.ceil(np.sqrt((right - left) * (high - low) / _MOST))))
    xs, ys = (np.arange(np.ceil(a / step), np.floor(b / step) + 1) * step for a, b in ((left, right), (low, high)))
    xs, ys = xs if line_x is None else np.array([line_x]), ys if line_y is None else np.array([line_y])
    x, y = (each.ravel() for each in np.meshgrid(xs, ys))
    shapely.prepare(area)
    inside = shapely.intersects_xy(area, x, y)
    found = np.column_stack([x[inside], y[inside]])
    if len(found) or line_x is not None or line_y is not None:
        return found
    one = roomiest(area)
    return np.array([one.place]) if one else found


def spread_over(places: Floats, board: Board, count: int, apart: float, liked: Floats) -> Floats:
    """(n, 2) up to `count` of some places: those nearest to the corners of the board, two opposite ones first, then
    each as far as can be from those before it. None nearer to another than `apart`; of those that are nearly as good
    the one that is liked most.

    liked : (k,) how well each is liked
    """
    wide, high = board.width, board.height
    corners = [(0.0, 0.0), (wide, high), (0.0, high), (wide, 0.0)]
    away, chosen = np.full(len(places), np.inf), list[int]()
    for number in range(count):
        if not (away >= apart).any():
            break
        if number < len(corners):
            near = np.hypot(*(places - corners[number]).T)
            near = np.where(away >= apart, near, np.inf)
            good = near <= near.min() * (1 + _NEARLY)
        else:
            good = away >= max((1 - _NEARLY) * float(away.max()), apart)
        best = int(np.flatnonzero(good)[np.argmax(liked[good])])
        chosen.append(best)
        away = np.minimum(away, np.hypot(*(places - places[best]).T))
    return places[chosen]


def _axis(path: Toolpath, below: float) -> BaseGeometry:
    """Where the axis goes at feed while the point is lower than that, arcs in chords."""
    return shapely.GeometryCollection(list(_stretches(path, below)))


def _stretches(path: Toolpath, below: float) -> Iterator[BaseGeometry]:
    x, y, z = path.moves[0].x, path.moves[0].y, path.moves[0].z
    for move in path.moves:
        lowest = move.hole.bottom if move.hole else min(z, move.z)
        if move.kind != RAPID and lowest < below:
            if move.hole or (x, y) == (move.x, move.y):
                yield shapely.Point(move.x, move.y)
            else:
                segment = Segment((x, y), (move.x, move.y), move.centre, move.sweep)
                count = steps_for(segment.radius, segment.sweep, _OFF) if segment.sweep else 1
                yield shapely.LineString([segment.at(share / count) for share in range(count + 1)])
        x, y, z = move.x, move.y, move.z
