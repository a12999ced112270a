"""All discs that may be cut in a room: the free ones that it begins with, the largest ones that touch its wall, those
on the way from the ones to the others; and the order in which they are cut."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import dist
from typing import NamedTuple

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.making.operations.clearing.limited.advance import Limit, Skin
from toolpaths.making.operations.clearing.limited.areas import polygons
from toolpaths.making.operations.clearing.limited.disc_order import DiscOrder
from toolpaths.making.operations.clearing.limited.discs import Discs
from toolpaths.making.operations.clearing.limited.ring_walk import RingWalk
from toolpaths.making.operations.clearing.limited.wall_discs import WallPlaces, between
from toolpaths.making.operations.clearing.limited.wall_order import WallOrder
from toolpaths.shapes.curves import places_along

# Deeper than this share of the tolerance, what cannot be cut within the limit is an error.
_TOO_DEEP = 5.0
# Of the radius: discs no larger come to the wall, and larger ones leave this share of what such may advance.
_AT_WALLS, _SKIN = 0.5, 0.5
# mm: the radius of a front that is as good as straight.
_STRAIGHT = 1e6
# Of what may be taken along a straight wall.
_THICKEST = 0.5
# Of the radius: discs with centres so near are one.
_SAME = 0.015


class Spiral(NamedTuple):
    """From a free disc about a centre to the largest that may be cut there."""

    centre: Point
    size: float
    largest: float


class InTurn(NamedTuple):
    """What is cut of a room.

    begun : the discs that are free at first
    spiral : what is cut before all else; None where the free disc is the largest
    discs : (centre, size) of those that follow, in order
    """

    begun: Discs
    spiral: Spiral | None
    discs: list[tuple[Floats, float]]


@dataclass(frozen=True, eq=False)
class RoomDiscs:
    """The discs of a room.

    room : where the axis may be
    free : where it meets no wood
    is_area : whether that is more than one disc
    walls : places of each ring of the room's wall
    climb : whether the wood is on the right of the travel
    """

    room: Polygon
    free: BaseGeometry
    is_area: bool
    walls: list[WallPlaces]
    limit: Limit
    climb: bool
    tolerance: float
    hair: float

    def in_turn(self) -> InTurn:
        """Raises DoesNotFitError where the limit cannot be kept."""
        seeds = self._seeds()
        discs, order = self._order(seeds)
        begun = list(seeds)
        if self.is_area:
            free = self._free_discs(discs)
            order.clear_area(self.free, free)
            begun = [*zip(free.centres.tolist(), free.radii.tolist()), *seeds]
        for centre, size in seeds:
            order.clear(np.array(centre), size)
        (x, y), size = seeds[0]
        largest = float(self._size(np.array([[x, y]]))[0])
        spiral = Spiral((x, y), size, largest) if largest > size else None
        if spiral:
            order.clear(np.array([x, y]), largest)
        deep = _TOO_DEEP * self.tolerance
        order.choose(deep)
        left = order.left(deep)
        if len(left):
            x, y = left[0].tolist()
            raise DoesNotFitError(
                f"The limit of engagement cannot be kept near ({x:.1f}, {y:.1f}); take a finer cutter there, or "
                "engagement_deg=180.",
                (x, y),
            )
        at_first = Discs(np.array([centre for centre, _ in begun]), np.array([size for _, size in begun]))
        return InTurn(at_first, spiral, [order.cleared[number] for number in order.order])

    def _order(self, seeds: list[tuple[Point, float]]) -> tuple[Discs, DiscOrder]:
        """All discs, and the choice among them, with none cleared yet."""
        walls = self.walls
        parts = [between(places, self._wall, self.limit) for places in walls]
        count = np.cumsum([0, *(len(places.along) for places in walls)])
        sides = [
            first + np.column_stack([of, (of + 1) % len(places.along)])
            for first, places, (_, _, of) in zip(count.tolist(), walls, parts)
        ]
        beside = [
            np.stack([np.roll(centres, 1, axis=0), np.roll(centres, -1, axis=0)], axis=1) for centres, _, _ in parts
        ]
        middles, whole = np.vstack([part[0] for part in parts]), np.concatenate([part[1] for part in parts])
        alike = self._alike(middles, whole)
        kept = np.flatnonzero(alike == np.arange(len(alike)))
        at = np.vstack([places_along(places.ring, places.along) for places in walls])
        headings = np.concatenate([places.headings for places in walls])
        lines = [self._from_seed(seed, at) for seed in seeds]
        discs = Discs(
            np.vstack([middles[kept], *(line[0] for line in lines)]),
            np.concatenate([self._skin.cut(whole[kept]), *(self._size(line[0]) for line in lines)]),
        )
        walk = RingWalk(middles, whole, [len(part[0]) for part in parts], alike, self._skin, self.limit, self.hair)
        numbers = np.append(kept, np.full(len(discs) - len(kept), len(alike)))
        order = DiscOrder(
            discs,
            np.vstack([np.vstack(beside)[kept], *(line[1] for line in lines)]),
            self._size,
            WallOrder(at, headings, self.climb, self.limit, self.hair),
            np.vstack([np.vstack(sides)[kept], *(line[2] for line in lines)]),
            numbers,
            walk,
            self.hair / 4,
        )
        return discs, order

    def _from_seed(self, seed: tuple[Point, float], at: Floats) -> tuple[Floats, Floats, np.ndarray]:
        """(centres, those beside each, places) of discs from a free one to the largest that touches the same wall."""
        centre = np.array(seed[0])
        number = int(np.argmin(np.hypot(*(at - centre).T)))
        to = np.vstack([places.centres for places in self.walls])[number]
        step = 0.1 * min(self.limit.advance(seed[1]), self.limit.widest)
        shares = np.linspace(0, 1, 2 + min(int(dist(seed[0], to.tolist()) / step), 1000))[:, None]
        middles = centre + (to - centre) * shares
        beside = np.stack([np.roll(middles, 1, axis=0), np.roll(middles, -1, axis=0)], axis=1)
        beside[0, 0], beside[-1, 1] = middles[0], middles[-1]
        return middles, beside, np.full((len(middles), 2), number)

    def _free_discs(self, discs: Discs) -> Discs:
        """Discs in the free room, near the wood."""
        inside = discs.centres[shapely.contains_xy(self.free, *discs.centres.T)]
        points = shapely.points(inside)
        sizes = shapely.distance(self.free.boundary, points)
        wood = shapely.difference(self.room, self.free)
        near = shapely.distance(wood, points) < sizes + self.limit.radius / 2
        return Discs(inside[near], sizes[near])

    def _size(self, middles: Floats) -> Floats:
        """The sizes to which discs about places of the room are cut."""
        return self._skin.cut(shapely.distance(self._wall, shapely.points(middles)))

    @cached_property
    def _wall(self) -> BaseGeometry:
        return self.room.boundary

    def _alike(self, middles: Floats, radii: Floats) -> np.ndarray:
        """(n,) of each disc the number of that by which it is known, as some are found from another wall as well."""
        grid = _SAME * self.limit.radius
        # A walk needs them nearer to each other than a choice does.
        found = np.arange(len(radii)) // 2 * 2
        large = np.flatnonzero((radii > self.limit.radius / 4) & (found == np.arange(len(radii))))
        x, y = np.rint(middles[large] / grid).astype(np.int64).T
        _, first, same = np.unique(x + 1j * y, return_index=True, return_inverse=True)
        found[large] = large[first][same]
        return found[found]

    @cached_property
    def _skin(self) -> Skin:
        off = _AT_WALLS * self.limit.radius
        thick, straight = (
            share * min(self.limit.advance(size), self.limit.widest)
            for share, size in ((_SKIN, off), (_THICKEST, _STRAIGHT))
        )
        return Skin(off, thick, max(thick, straight))

    def _seeds(self) -> list[tuple[Point, float]]:
        """Discs in the free room, the largest first."""
        found = []
        for part in polygons(self.free):
            circle = shapely.maximum_inscribed_circle(part, self.limit.radius / 100)
            x, y = shapely.get_coordinates(circle)[0].tolist()
            found.append(((x, y), float(shapely.distance(part.boundary, shapely.Point(x, y)))))
        return sorted(found, key=lambda each: -each[1])
