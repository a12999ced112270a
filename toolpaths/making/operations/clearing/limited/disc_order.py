"""Which discs of a room are cut, and in which order: on from the last as far as the limit allows, branch by branch."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.limited.discs import AT_ONCE, Discs
from toolpaths.making.operations.clearing.limited.ring_walk import Disc, RingWalk
from toolpaths.making.operations.clearing.limited.wall_order import WallOrder

# Of a step: what sticks out less is cut only where the wall needs it.
_WORTH = 0.3
# Of what sticks out, what may be left by a disc moved on.
_TAKEN = 0.2
# Places of a disc's edge at which it is looked up how far it sticks out.
_AROUND = 12
# Bridges that are tried, and discs on each.
_BRIDGES, _ON_BRIDGE = 200, 24
# A disc of so many hairs lies at the wall.
_AT_WALL = 6
# Fewer discs are cleared one by one.
_FEW = 4
# Shares of the way to the disc beside it by which one is moved on.
_ON = np.array([0.25, 0.5, 0.75])


class _Each(NamedTuple):
    """What is known of each disc, (n, ...) each.

    sides : numbers of two places of the wall which it is for
    beside : (n, 2, 2) the centres before and after it
    ends, steps : how near and how wide it may be cut next to another, mm
    around_x, around_y : places all round it, and where the wall is
    outs : how far each of them sticks out of what is cleared
    out : the most of these
    parent : the number of a cleared disc by which it may be cut; -1 where there is none yet
    inner : whether it is away from any wall that is to be cut, and so must be cut until nothing sticks out
    number : by which a walk along the rings knows it
    """

    sides: np.ndarray
    beside: Floats
    ends: Floats
    steps: Floats
    around_x: Floats
    around_y: Floats
    outs: Floats
    out: Floats
    parent: np.ndarray
    inner: np.ndarray
    number: np.ndarray

    def of(self, chosen: np.ndarray) -> _Each:
        return _Each(*(column[chosen] for column in self))

    def joined(self, other: _Each) -> _Each:
        return _Each(*map(np.concatenate, zip(self, other)))


class _Chosen(NamedTuple):
    """A disc that may be cut.

    number : by which a walk along the rings knows it or one near it
    parent : of the cleared disc by which it may be cut
    """

    centre: Floats
    size: float
    number: int
    parent: int


class DiscOrder:
    """The choice of one disc after another.

    discs : that may be cut
    beside : (n, 2, 2) the centres before and after each
    size : of a disc that may be cut, about any centre
    wall : what is to be cut at once at the end
    sides : (n, 2) numbers of two of its places which each disc is for
    numbers : (n,) by which the walk knows each; the last of all for discs of no ring
    walk : along the rings of the wall
    """

    def __init__(
        self,
        discs: Discs,
        beside: Floats,
        size: Callable[[Floats], Floats],
        wall: WallOrder,
        sides: np.ndarray,
        numbers: np.ndarray,
        walk: RingWalk,
        hair: float,
    ) -> None:
        self.wall, self.limit, self.walk, self.hair = wall, wall.limit, walk, hair
        self.discs, self.size = discs, size
        ends = self.limit.nearest_end(discs.radii)
        x, y = np.moveaxis(wall.places[sides] - discs.centres[:, None], 2, 0)
        even = np.tile(2 * pi * np.arange(_AROUND) / _AROUND, (len(discs), 1))
        turns = np.hstack([even, np.arctan2(y, x)])
        self.each = _Each(
            sides=sides,
            beside=beside,
            ends=ends,
            steps=np.minimum(discs.radii + self.limit.radius - ends, self.limit.widest),
            around_x=discs.centres[:, :1] + discs.radii[:, None] * np.cos(turns),
            around_y=discs.centres[:, 1:] + discs.radii[:, None] * np.sin(turns),
            outs=np.full(turns.shape, np.inf),
            out=np.full(len(discs), np.inf),
            parent=np.full(len(discs), -1),
            inner=np.zeros(len(discs), bool),
            number=numbers,
        )
        self.order: list[int] = []
        self.cleared: list[tuple[Floats, float]] = []

    def clear_area(self, free: BaseGeometry, discs: Discs) -> None:
        """Add a free room, and discs in it."""
        cut = self.wall.clear_area(free)
        each = self.each
        each.inner[:] = cut[each.sides].all(axis=1)
        each.outs[shapely.contains_xy(free, each.around_x, each.around_y)] = -np.inf
        each.out[:] = each.outs.max(axis=1)
        self.walk.out[each.number] = each.out
        self._drop()
        self._clear_by(discs, np.arange(len(self.discs)))
        self.cleared += zip(discs.centres, discs.radii.tolist())
        self._drop()

    def clear_all(self, discs: Discs) -> None:
        """Add cleared discs."""
        if len(discs) < _FEW:
            for centre, radius in zip(discs.centres, discs.radii.tolist()):
                self.clear(centre, radius)
            return
        self.wall.clear_all(discs)
        low, high = (
            (discs.centres - discs.radii[:, None]).min(axis=0),
            (discs.centres + discs.radii[:, None]).max(axis=0),
        )
        self._clear_by(discs, self.discs.about(low, high))
        self.cleared += zip(discs.centres, discs.radii.tolist())
        self._drop()

    def _clear_by(self, discs: Discs, numbers: np.ndarray) -> None:
        """Know of those numbers what discs that will be cleared next leave of them and allow."""
        for first in range(0, len(numbers), AT_ONCE):
            self._clear_some_by(discs, numbers[first : first + AT_ONCE])

    def _clear_some_by(self, discs: Discs, some: np.ndarray) -> None:
        each, mine = self.each.of(some), self.discs.of(some)
        about = discs.about(
            (mine.centres - mine.radii[:, None]).min(axis=0), (mine.centres + mine.radii[:, None]).max(axis=0)
        )
        if not len(about):
            return
        near = discs.of(about)
        deep = near.depths(mine.centres)
        deepest = deep.argmax(axis=1)
        needed = np.maximum(each.ends - self.limit.radius, mine.radii - self.limit.widest)
        allowed = np.take_along_axis(deep, deepest[:, None], axis=1)[:, 0] >= needed
        allowed &= each.parent < 0
        self.each.parent[some[allowed]] = len(self.cleared) + about[deepest[allowed]]
        around = np.stack([each.around_x, each.around_y], axis=2)
        outs = np.minimum(each.outs, -near.depths(around.reshape(-1, 2)).max(axis=1).reshape(each.outs.shape))
        self.each.outs[some], self.each.out[some] = outs, outs.max(axis=1)
        self.walk.out[each.number] = self.each.out[some]

    def clear(self, centre: Floats, radius: float) -> None:
        """Add a cleared disc."""
        self.wall.clear(centre, radius)
        apart = np.hypot(*(self.discs.centres - centre).T)
        near = np.flatnonzero(apart < radius + self.discs.radii)
        each = self.each
        each.parent[
            near[self._allowed(self.discs.of(near), each.ends[near], centre, radius) & (each.parent[near] < 0)]
        ] = len(self.cleared)
        x, y = each.around_x[near] - centre[0], each.around_y[near] - centre[1]
        outs = np.minimum(each.outs[near], np.sqrt(x * x + y * y) - radius)
        each.outs[near], each.out[near] = outs, outs.max(axis=1)
        self.walk.out[each.number[near]] = each.out[near]
        self.cleared.append((centre, radius))
        self._drop()

    def choose(self, depth: float) -> None:
        """Choose discs until the wall may be cut everywhere but for what lies no deeper in wood, or none may be cut."""
        last, bridges = len(self.cleared) - 1, 0
        while True:
            chosen = self._next(last)
            if chosen is not None:
                self.order.append(len(self.cleared))
                self.clear(chosen.centre, chosen.size)
                if chosen.number < len(self.walk.out) - 1:
                    disc, before = Disc.about(chosen.centre, chosen.size), Disc.about(*self.cleared[chosen.parent])
                    walked = self.walk.on_from(chosen.number, disc, before)
                    found = np.reshape(walked, (-1, 3))
                    self.order += range(len(self.cleared), len(self.cleared) + len(found))
                    self.clear_all(Discs(found[:, :2], found[:, 2]))
                last = len(self.cleared) - 1
            elif bridges == _BRIDGES or not self._bridge(self._goals(depth)):
                return
            else:
                bridges += 1

    def left(self, depth: float) -> Floats:
        """(n, 2) places of the wall that may not be cut and lie deeper in wood."""
        places = self.wall.places[~self.wall.ready]
        if not len(places):
            return places
        away = [np.hypot(*(places - centre).T) - radius for centre, radius in self.cleared]
        found: Floats = places[np.min(away, axis=0) > depth]
        return found

    def _goals(self, depth: float) -> np.ndarray:
        """Which discs are still to be reached: any, where the wall may not be cut, else those that it does not take."""
        each = self.each
        if len(self.left(depth)):
            return (each.parent < 0) & (each.out > self.hair) & np.isfinite(each.out)
        # Those of a bridge lead to a disc, and are none that must be reached.
        return self._far_from_wall() & (each.number < len(self.walk.out) - 1) & np.isfinite(each.out)

    def _far_from_wall(self) -> np.ndarray:
        """Which discs that none allows yet reach beyond what is taken along the wall."""
        each = self.each
        # What sticks out by no more than a step, or lies at the wall, is within reach of it.
        off = self.discs.radii > _AT_WALL * self.wall.hair
        return (each.parent < 0) & (each.out > each.steps) & off

    def _bridge(self, goals: np.ndarray) -> bool:
        """Add discs on the way from what is cleared to the nearest goal; whether there is any."""
        if not goals.any():
            return False
        number = int(np.argmin(np.where(goals, self.each.out, np.inf)))
        cleared = Discs(np.array([c for c, _ in self.cleared]), np.array([r for _, r in self.cleared]))
        goal = self.discs.centres[number]
        start = cleared.centres[np.argmax(cleared.depth(goal))]
        kept = np.arange(len(self.discs)) != number
        self._keep(kept)
        self._add(start + (goal - start) * np.linspace(0, 1, _ON_BRIDGE)[1:, None], self.each.sides[0], cleared)
        return True

    def _add(self, middles: Floats, sides: np.ndarray, cleared: Discs) -> None:
        """Add discs that may be cut, of which some is cleared already."""
        more = Discs(middles, self.size(middles))
        beside = np.stack([np.vstack([middles[:1], middles[:-1]]), np.vstack([middles[1:], middles[-1:]])], axis=1)
        added = DiscOrder(
            more,
            beside,
            self.size,
            self.wall,
            np.tile(sides, (len(more), 1)),
            np.full(len(more), len(self.walk.out) - 1),
            self.walk,
            self.hair,
        )
        each = added.each
        about = cleared.about((middles - more.radii[:, None]).min(axis=0), (middles + more.radii[:, None]).max(axis=0))
        near = cleared.of(about)
        around = np.stack([each.around_x, each.around_y], axis=2).reshape(-1, 2)
        each.outs[:] = -near.depths(around).max(axis=1).reshape(each.outs.shape)
        each.out[:] = each.outs.max(axis=1)
        deep = near.depths(middles)
        deepest = deep.argmax(axis=1)
        needed = np.maximum(each.ends - self.limit.radius, more.radii - self.limit.widest)
        allowed = deep.max(axis=1) >= needed
        each.parent[allowed] = about[deepest[allowed]]
        self.discs, self.each = self.discs.joined(more), self.each.joined(each)

    def _drop(self) -> None:
        """Those that are cleared."""
        kept = self.each.out > self.hair
        if kept.sum() < 0.8 * len(kept):
            self._keep(kept)

    def _keep(self, kept: np.ndarray) -> None:
        self.discs, self.each = self.discs.of(kept), self.each.of(kept)

    def _allowed(self, discs: Discs, ends: Floats, centre: Floats, radius: float) -> np.ndarray:
        """Which discs may be cut next to a cleared one."""
        away = np.hypot(*(discs.centres - centre).T)
        reach, widest = radius + self.limit.radius, radius + self.limit.widest
        allowed: np.ndarray = (away + ends <= reach) & (away + discs.radii <= widest)
        return allowed

    def _next(self, last: int) -> _Chosen | None:
        """The next disc: on from the last one if it may be, else from the nearest place."""
        each = self.each
        more = self._far_from_wall() | each.inner & (each.out > self.hair)
        if self.wall.ready.all() and not more.any():
            return None
        far = (each.parent >= 0) & (each.out > np.maximum(_WORTH * each.steps, self.hair))
        if not far.any():
            far = (each.parent >= 0) & (each.out > self.hair) & (each.inner | ~self.wall.ready[each.sides].all(axis=1))
        if not far.any():
            open_ = (each.parent >= 0) & (each.out > self.hair)
            if not open_.any() or self.wall.ready.all():
                return None
            chosen = int(np.argmax(np.where(open_, each.out, -np.inf)))
            return _Chosen(
                self.discs.centres[chosen], float(self.discs.radii[chosen]), each.number[chosen], each.parent[chosen]
            )
        found = self._farthest(last, far)
        if found is None:
            away = np.hypot(*(self.discs.centres - self.cleared[last][0]).T)
            found = self._farthest(int(each.parent[np.argmin(np.where(far, away, np.inf))]), far)
        return found

    def _farthest(self, from_: int, open_: np.ndarray) -> _Chosen | None:
        """The disc that sticks out farthest of those that one allows, moved on towards the next as far as it may."""
        each, numbers = self.each, np.flatnonzero(open_)
        numbers = numbers[self._allowed(self.discs.of(numbers), each.ends[numbers], *self.cleared[from_])]
        if not len(numbers):
            return None
        chosen = int(numbers[np.argmax(each.out[numbers])])
        centre = self.discs.centres[chosen]
        middles = (centre + (each.beside[chosen][:, None] - centre) * _ON[:, None]).reshape(-1, 2)
        more = Discs(np.vstack([centre, middles]), np.append(self.discs.radii[chosen], self.size(middles)))
        allowed = self._allowed(more, self.limit.nearest_end(more.radii), *self.cleared[from_])
        # Those that lead on take most of what sticks out here.
        x, y = each.around_x[chosen] - more.centres[:, :1], each.around_y[chosen] - more.centres[:, 1:]
        left = np.minimum(each.outs[chosen], np.sqrt(x * x + y * y) - more.radii[:, None]).max(axis=1)
        allowed &= left < _TAKEN * each.out[chosen]
        best = int(np.argmax(np.where(allowed, 2 * more.radii - more.depth(self.cleared[from_][0]), -np.inf)))
        return _Chosen(more.centres[best], float(more.radii[best]), each.number[chosen], from_)
