"""Which discs of a room are cut, and in which order: on from the last as far as the limit allows, branch by branch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.limited.advance import Limit

# Places of the rim, from the limit to straight back, that must be free for the wall to be cut.
_RIM_PLACES = 4
# Of a step: what sticks out less is cut only where the wall needs it.
_WORTH = 0.3
# Of what sticks out, what may be left by a disc moved on.
_TAKEN = 0.2
# Places of a disc's edge at which it is looked up how far it sticks out.
_AROUND = 12
# Bridges that are tried, and discs on each.
_BRIDGES, _ON_BRIDGE = 200, 24
# Discs looked at in one go: so few, one beside the other, lie near few others.
_AT_ONCE = 64
# Shares of the way to the disc beside it by which one is moved on.
_ON = np.array([0.25, 0.5, 0.75])


@dataclass(frozen=True, slots=True)
class Discs:
    """centres, radii : (n, 2), (n,)"""

    centres: Floats
    radii: Floats

    def __len__(self) -> int:
        return len(self.radii)

    def of(self, chosen: np.ndarray) -> Discs:
        return Discs(self.centres[chosen], self.radii[chosen])

    def joined(self, other: Discs) -> Discs:
        return Discs(np.vstack([self.centres, other.centres]), np.concatenate([self.radii, other.radii]))

    def about(self, low: Floats, high: Floats) -> np.ndarray:
        """Numbers of those that reach into a box."""
        x = np.maximum(low, np.minimum(self.centres, high)) - self.centres
        return np.flatnonzero(np.hypot(*x.T) <= self.radii + 1e-3)

    def depth(self, place: Floats) -> Floats:
        """How deep a place lies in each."""
        found: Floats = self.radii - np.hypot(*(self.centres - place).T)
        return found

    def depths(self, places: Floats) -> Floats:
        """(places, discs) the same of many places."""
        x, y = (self.centres[:, axis] - places[:, axis, None] for axis in (0, 1))
        found: Floats = self.radii - np.hypot(x, y)
        return found


class WallOrder:
    """Where the wall may be cut in one go: where the rim from the limit on is free."""

    def __init__(self, places: Floats, headings: Floats, climb: bool, limit: Limit, hair: float) -> None:
        turns = limit.angle + (pi - limit.angle) * np.arange(_RIM_PLACES) / _RIM_PLACES
        # The wall is on the right of the ring's heading.
        rim = headings[:, None] - pi / 2 + turns if climb else headings[:, None] - pi / 2 - turns
        self.rim = places[:, None] + limit.radius * np.stack([np.cos(rim), np.sin(rim)], axis=2)
        self.limit, self.places, self.hair = limit, places, hair
        self.free = np.zeros(rim.shape, bool)
        self.ready = np.zeros(len(places), bool)

    def clear_area(self, free: BaseGeometry) -> np.ndarray:
        """Add a free room; which places no longer need be cut."""
        reached = shapely.dwithin(free, shapely.points(self.rim.reshape(-1, 2)), self.limit.radius)
        self.free |= reached.reshape(self.free.shape)
        cut: np.ndarray = shapely.dwithin(free, shapely.points(self.places), self.hair)
        self.ready = self.free.all(axis=1) | cut
        return cut

    def clear(self, centre: Floats, radius: float) -> None:
        number = np.flatnonzero(~self.ready)
        if len(number):
            away = self.rim[number] - centre
            self.free[number] |= (away * away).sum(axis=2) <= (radius + self.limit.radius) ** 2
            touched = np.hypot(*(self.places[number] - centre).T) <= radius + self.hair
            self.ready[number] = self.free[number].all(axis=1) | touched


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

    def of(self, chosen: np.ndarray) -> _Each:
        return _Each(*(column[chosen] for column in self))

    def joined(self, other: _Each) -> _Each:
        return _Each(*map(np.concatenate, zip(self, other)))


class DiscOrder:
    """The choice of one disc after another.

    discs : that may be cut
    beside : (n, 2, 2) the centres before and after each
    size : of a disc that may be cut, about any centre
    wall : what is to be cut at once at the end
    sides : (n, 2) numbers of two of its places which each disc is for
    """

    def __init__(
        self,
        discs: Discs,
        beside: Floats,
        size: Callable[[Floats], Floats],
        wall: WallOrder,
        sides: np.ndarray,
        hair: float,
    ) -> None:
        self.wall, self.limit, self.hair = wall, wall.limit, hair
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
        self._drop()
        for first in range(0, len(self.discs), _AT_ONCE):
            self._clear_by(discs, np.arange(first, min(first + _AT_ONCE, len(self.discs))))
        self.cleared += zip(discs.centres, discs.radii.tolist())
        self._drop()

    def _clear_by(self, discs: Discs, some: np.ndarray) -> None:
        """Know of some what discs that are cleared at first leave of them and allow."""
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
        self.each.parent[some[allowed]] = len(self.cleared) + about[deepest[allowed]]
        around = np.stack([each.around_x, each.around_y], axis=2)
        outs = np.minimum(each.outs, -near.depths(around.reshape(-1, 2)).max(axis=1).reshape(each.outs.shape))
        self.each.outs[some], self.each.out[some] = outs, outs.max(axis=1)

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
        self.cleared.append((centre, radius))
        self._drop()

    def choose(self, depth: float) -> None:
        """Choose discs until the wall may be cut everywhere but for what lies no deeper in wood, or none may be cut."""
        last, bridges = len(self.cleared) - 1, 0
        while True:
            chosen = self._next(last)
            if chosen is not None:
                last = len(self.cleared)
                self.order.append(last)
                self.clear(*chosen)
            elif not len(self.left(depth)) or bridges == _BRIDGES or not self._bridge():
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

    def _bridge(self) -> bool:
        """Add discs on the way from what is cleared to one that cannot be reached yet; whether there is any."""
        each = self.each
        far = (each.parent < 0) & (each.out > self.hair) & np.isfinite(each.out)
        if not far.any():
            return False
        number = int(np.argmin(np.where(far, each.out, np.inf)))
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
        added = DiscOrder(more, beside, self.size, self.wall, np.tile(sides, (len(more), 1)), self.hair)
        each = added.each
        x = each.around_x[:, :, None] - cleared.centres[:, 0]
        y = each.around_y[:, :, None] - cleared.centres[:, 1]
        each.outs[:] = (np.sqrt(x * x + y * y) - cleared.radii).min(axis=2)
        each.out[:] = each.outs.max(axis=1)
        for number, (centre, radius) in enumerate(self.cleared):
            allowed = added._allowed(more, each.ends, centre, radius)
            each.parent[allowed & (each.parent < 0)] = number
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

    def _next(self, last: int) -> tuple[Floats, float] | None:
        """The next disc: on from the last one if it may be, else from the nearest place."""
        each = self.each
        # What sticks out by no more than a step is within reach of the wall.
        more = (each.parent < 0) & (each.out > each.steps) | each.inner & (each.out > self.hair)
        if self.wall.ready.all() and not more.any():
            return None
        far = (each.parent >= 0) & (each.out > np.maximum(_WORTH * each.steps, self.hair))
        if not far.any():
            far = (each.parent >= 0) & (each.out > self.hair) & (each.inner | ~self.wall.ready[each.sides].all(axis=1))
        if not far.any():
            open_ = (each.parent >= 0) & (each.out > self.hair)
            if not open_.any():
                return None
            chosen = int(np.argmax(np.where(open_, each.out, -np.inf)))
            return self.discs.centres[chosen], float(self.discs.radii[chosen])
        found = self._farthest(last, far)
        if found is None:
            away = np.hypot(*(self.discs.centres - self.cleared[last][0]).T)
            found = self._farthest(int(each.parent[np.argmin(np.where(far, away, np.inf))]), far)
        return found

    def _farthest(self, from_: int, open_: np.ndarray) -> tuple[Floats, float] | None:
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
        return more.centres[best], float(more.radii[best])
