"""A simulated insert laid into its simulated recess: heights of both at any place, exactly, from the moves themselves.

Along the walls both surfaces are looked for sideways from where the wall is meant, so that the gap does not depend on
cells. All over the shape it is looked how deep the insert reaches and how deep the recess is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.inlaid import Inlaid
from toolpaths.judging.checks.contents.finished_part import cut_from
from toolpaths.judging.fit.inlay_fit import InlayFit
from toolpaths.judging.trial.case import Case

# mm sideways of where a wall is meant in which it is looked for, the steps at which it is first, and halvings of those:
# to 0.0003 mm where it is off by less than a tenth.
_SIDEWAYS, _HALVINGS = 1.0, 7
_STEPS = np.concatenate([-np.geomspace(_SIDEWAYS, 0.003, 7), [0.0], np.geomspace(0.003, _SIDEWAYS, 7)])
# Shares of the insert's height at which its walls are looked at, where they are upright and where they are not.
_UPRIGHT, _SLOPED = (0.02, 0.5, 0.98), (0.02, 0.25, 0.5, 0.75, 0.98)
# mm between the places along a wall, and how many there are of them at a level, about.
_ALONG, _MOST_ALONG = 0.4, 1500
# mm between places all over the shape, and how many there are of them, about.
_ACROSS, _MOST_ACROSS = 0.25, 60_000
# Chords in a quarter turn, so fine that none is off by as much as a thousandth of its radius.
_ROUND = 64
# mm: what an outline bends less than that is no edge with a direction of its own.
_STRAIGHT = 0.002
# mm within the foot of the walls in which a floor is not looked at, and heights that are one.
_FOOT, _ONE_HEIGHT = 0.1, 1e-6
Bools = NDArray[np.bool_]


class _Pair(NamedTuple):
    """An insert and its recess, with what cut them."""

    laid: Inlaid
    recess: Sequence[Case]
    insert: Sequence[Case]

    @property
    def thickness(self) -> float:
        """mm, of the insert's board."""
        return self.insert[0].fixture.board.thickness

    def recess_depth(self, places: Floats) -> Floats:
        """(k,) mm to which the recess is cut at places (k, 2)."""
        return cut_from(self.recess, self.laid.face, places)

    def insert_depth(self, places: Floats) -> Floats:
        """(k,) mm below the recess's face down to which there is wood of the insert; minus infinity where none is."""
        cut = self._insert_cut(places)
        if self.laid.turned_over:
            return self.laid.front_depth - cut
        stands = cut < self.thickness - self.laid.tab_height - _ONE_HEIGHT
        return np.where(stands, self.laid.front_depth + self.thickness, -np.inf)

    def insert_wood(self, places: Floats, depth: Floats) -> Bools:
        """(k,) whether there is wood of the insert at places (k, 2), so deep (k,) below the recess's face."""
        cut = self._insert_cut(places)
        if self.laid.turned_over:
            return np.asarray(self.laid.front_depth - cut >= depth)
        return np.asarray(cut < depth - self.laid.front_depth)

    def recess_room(self, places: Floats, depth: Floats) -> Bools:
        """(k,) whether the recess is so deep there."""
        return np.asarray(self.recess_depth(places) >= depth)

    def _insert_cut(self, places: Floats) -> Floats:
        return cut_from(self.insert, "front", self.laid.on_insert(places))


class _Walls(NamedTuple):
    """Places where walls are meant: (k, 2) places, (k, 2) directions out of the shape, (k,) depths."""

    places: Floats
    out: Floats
    depth: Floats


def laid_in(laid: Inlaid, recess: Sequence[Case], insert: Sequence[Case]) -> InlayFit:
    """The fit of an insert.

    recess, insert : the programs that cut each board
    """
    pair = _Pair(laid, recess, insert)
    walls = _walls(pair)
    wall_of_recess = _found(pair.recess_room, walls)
    gap = wall_of_recess - _found(pair.insert_wood, walls)
    tightest, widest = (walls.places[int(at)].tolist() for at in (gap.argmin(), gap.argmax()))
    places, area = _all_over(laid.shape, max(laid.brim, _sideways(pair)))
    depth, reaches = pair.recess_depth(places), pair.insert_depth(places)
    foot = shapely.buffer(laid.shape, -laid.depth * laid.slope - _FOOT, quad_segs=_ROUND)
    on_floor = shapely.contains_xy(foot, places)
    room = depth[on_floor] - reaches[on_floor]
    return InlayFit(
        name=laid.name,
        meant=laid.gap,
        least=float(gap.min()),
        mean=float(gap.mean()),
        greatest=float(gap.max()),
        tightest=(tightest[0], tightest[1]),
        widest=(widest[0], widest[1]),
        overlap_mm3=float(np.maximum(reaches - depth, 0.0).sum() * area),
        floor_room=float(room.min()) if on_floor.any() else None,
        proud=_proud(pair, places, depth, on_floor),
        slope=laid.slope,
        places=len(gap),
        walls_mm2=float(laid.shape.length * walls.depth.max()),
    )


def _proud(pair: _Pair, places: Floats, depth: Floats, on_floor: Bools) -> float:
    """mm by which the insert stands above the face where it lies on the floor, or its brim where it hangs on one."""
    laid = pair.laid
    if not laid.turned_over:
        return pair.thickness - float(depth[on_floor].min(initial=laid.depth))
    outside = ~shapely.contains_xy(laid.shape, places)
    return -float(pair.insert_depth(places[outside]).min())


def _walls(pair: _Pair) -> _Walls:
    """Where the walls of both are meant, at several depths."""
    laid = pair.laid
    deep = laid.front_depth if laid.turned_over else laid.depth - laid.tab_height
    found = [_along(laid.shape, share * deep, laid.slope) for share in (_SLOPED if laid.slope else _UPRIGHT)]
    return _Walls(*(np.concatenate(columns) for columns in zip(*found, strict=True)))


def _along(shape: BaseGeometry, depth: float, slope: float) -> _Walls:
    inset = shapely.buffer(shape, -depth * slope, quad_segs=_ROUND) if slope else shape
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(shapely.simplify(inset, _STRAIGHT))))
    step = max(_ALONG, float(shapely.length(rings).sum()) / _MOST_ALONG)
    points, ring = shapely.get_coordinates(shapely.segmentize(rings, step), return_index=True)
    ends = ring[1:] == ring[:-1]
    a, b = points[:-1][ends], points[1:][ends]
    along = b - a
    length = np.hypot(*along.T)
    some = length > 1e-6
    # Rings have their area on the left.
    out = np.column_stack([along[:, 1], -along[:, 0]])[some] / length[some, None]
    return _Walls(((a + b) / 2)[some], out, np.full(int(some.sum()), depth))


def _found(inside: Callable[[Floats, Floats], Bools], walls: _Walls) -> Floats:
    """(k,) mm outwards from where each wall is meant to the wall nearest to that; as far as it is looked for where
    there is none, inwards where all is open, and outwards where all is not."""
    count = len(walls.depth)
    known = np.array([inside(walls.places + walls.out * step, walls.depth) for step in _STEPS])
    ends = known[:-1] & ~known[1:]
    # Of several the nearest: beyond it may lie another wall of a narrow place.
    near = np.where(ends, np.maximum(np.abs(_STEPS[:-1]), np.abs(_STEPS[1:]))[:, None], np.inf).argmin(axis=0)
    low, high = _STEPS[near], _STEPS[near + 1]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        within = inside(walls.places + walls.out * middle[:, None], walls.depth)
        low, high = np.where(within, middle, low), np.where(within, high, middle)
    none = np.where(known[len(_STEPS) // 2], _SIDEWAYS, -_SIDEWAYS)
    return np.where(ends.any(axis=0), (low + high) / 2, none).reshape(count)


def _sideways(pair: _Pair) -> float:
    """mm round the shape in which there is no wood but the insert's: its kerf is as wide as a cutter."""
    finest = min(cutter.diameter for case in pair.insert for cutter in case.cutters.values())
    return min(_SIDEWAYS, 0.9 * finest)


def _all_over(shape: BaseGeometry, around: float) -> tuple[Floats, float]:
    """(k, 2) places evenly all over a shape and so far around it, and the mm2 that each stands for."""
    ground = shapely.buffer(shape, around)
    left, low, right, high = ground.bounds
    step = max(_ACROSS, float(np.sqrt(ground.area / _MOST_ACROSS)))
    xs, ys = (np.arange(a + step / 2, b, step) for a, b in ((left, right), (low, high)))
    places = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    return places[shapely.contains_xy(ground, places)], step * step
