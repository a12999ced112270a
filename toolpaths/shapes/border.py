"""The border of an area as the sides that its medial axis lies between, and points on it close enough to tell which."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import radians

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from toolpaths.base.checks import Floats
from toolpaths.shapes import door

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

# A vertex that turns inwards by less than this is a point of the border like any other.
_STRAIGHT = 1e-3
# Two sides may be chords of one curve where they turn by less.
_CURVED = radians(15.0)
# Corners that turn by more have their sides parted ever finer towards them.
_SHARP = radians(40.0)
# A piece of a side is short enough where what lies opposite is so many times as far away as half of it is long.
_FAR = 1.4
# Radians times the mm of a chord: at less a corner reaches less than an eighth of it beyond the curve.
_HARDLY = 0.01
# Share of the radius of a disc in which another side is met.
_INSIDE = 0.98
# mm; no piece is parted to less.
_SHORTEST = 2e-3


@dataclass(frozen=True, eq=False)
class Border:
    """Sides of a polygon by number, each with the area on its left; a corner has the number of the side it begins.

    start, end : (n, 2) mm
    after, before : (n,) the side that follows on the same ring, and the one it follows
    """

    start: Floats
    end: Floats
    after: Ints
    before: Ints

    @cached_property
    def length(self) -> Floats:
        return np.asarray(np.hypot(*(self.end - self.start).T))

    @cached_property
    def along(self) -> Floats:
        """(n, 2) unit vectors along the sides."""
        return np.asarray((self.end - self.start) / self.length[:, None])

    @cached_property
    def inwards(self) -> Floats:
        """(n, 2) unit vectors to the left of them."""
        return np.column_stack([-self.along[:, 1], self.along[:, 0]])

    @cached_property
    def turn(self) -> Floats:
        """(n,) radians to the left by which the border turns at the start of each side."""
        one, other = self.along[self.before], self.along
        across = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
        return np.asarray(np.arctan2(across, (one * other).sum(axis=1)))

    @cached_property
    def convex(self) -> Flags:
        """(n,) whether the area is narrowest at the start of a side: a corner into which an axis runs."""
        return np.asarray(self.turn > _STRAIGHT)

    @cached_property
    def sides(self) -> NDArray[np.object_]:
        """The sides as shapely lines."""
        lines: NDArray[np.object_] = shapely.linestrings(np.stack([self.start, self.end], axis=1))
        return lines

    @cached_property
    def tree(self) -> shapely.STRtree:
        return shapely.STRtree(self.sides)

    def distance(self, side: Ints, places: Floats) -> tuple[Floats, Floats]:
        """(k,) mm from places (k, 2) to sides, and (k, 2) unit vectors away from them."""
        off = places - self.start[side]
        along = self.along[side]
        foot = np.clip((off * along).sum(axis=1), 0.0, self.length[side])
        away = off - along * foot[:, None]
        far = np.maximum(np.hypot(*away.T), 1e-12)
        return far, np.asarray(away / far[:, None])

    def nearer(self, side: Ints, places: Floats) -> Ints:
        """(k,) the nearest of each side and its neighbours, those beyond a corner that is no part of a curve left
        out."""
        before, after = self.before[side], self.after[side]
        best, least = side.copy(), self.distance(side, places)[0] - 1e-12
        for other, bend in ((before, self.turn[side]), (after, self.turn[after])):
            far = self.distance(other, places)[0]
            better = (far < least) & (bend < _CURVED)
            best, least = np.where(better, other, best), np.where(better, far, least)
        return np.asarray(best)


def border_of(polygon: Polygon) -> Border:
    """The border of a sound polygon; its outside anticlockwise, its holes clockwise."""
    rings = [_distinct(points) for points in door.rings_points(polygon)]
    counts = [len(ring) for ring in rings]
    first = np.cumsum([0, *counts])[:-1]
    after = np.concatenate([base + np.roll(np.arange(count), -1) for base, count in zip(first, counts)])
    before = np.concatenate([base + np.roll(np.arange(count), 1) for base, count in zip(first, counts)])
    start = np.concatenate(rings)
    return Border(start, start[after], after, before)


def _distinct(points: Floats) -> Floats:
    """A ring without points that repeat the one before."""
    apart = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > 1e-6
    return np.asarray(points[apart])


def samples(border: Border, finer: float = 1.0) -> tuple[Floats, Ints]:
    """(k, 2) places on the border, and (k,) the number of its side.

    They lie closer together than the border lies to what is opposite, and at corners in pairs as far from the corner;
    none lies in a corner into which the axis runs.

    finer : times closer
    """
    pieces = _Pieces(border, finer)
    pieces.refine()
    pieces.level_at_corners()
    pieces.refine()
    side, begin = pieces.side, pieces.begin
    kept = (begin > 0) | ~border.convex[side]
    side, begin = side[kept], begin[kept]
    return border.start[side] + border.along[side] * begin[:, None], side


class _Pieces:
    """Pieces of the sides, from `begin` to `end` mm along each."""

    def __init__(self, border: Border, finer: float) -> None:
        self.border, self.finer = border, finer
        count = len(border.start)
        self.side = np.arange(count)
        self.begin, self.end = np.zeros(count), border.length.copy()
        # Every side has a point of its own.
        self._part(np.flatnonzero(border.convex))

    def _part(self, which: Ints) -> None:
        self._part_at(which, (self.begin[which] + self.end[which]) / 2)

    def _part_at(self, which: Ints, at: Floats) -> None:
        end = self.end.copy()
        end[which] = at
        self.side = np.append(self.side, self.side[which])
        self.begin = np.append(self.begin, at)
        self.end = np.append(end, self.end[which])

    def refine(self) -> None:
        """Part what is long beside what is near."""
        which = np.arange(len(self.side))
        while len(which):
            which = self._too_long(which)
            count = len(self.side)
            self._part(which)
            which = np.append(which, np.arange(count, len(self.side)))

    def _too_long(self, which: Ints) -> Ints:
        border = self.border
        side, begin, end = self.side[which], self.begin[which], self.end[which]
        half = (end - begin) / 2
        middle = border.start[side] + border.along[side] * ((begin + end) / 2)[:, None]
        piece, other = border.tree.query(shapely.points(middle), predicate="dwithin", distance=_FAR * half * self.finer)
        mine = side[piece]
        sharp = border.turn > _SHARP
        at_start = (other == border.before[mine]) & ~(sharp[mine] & (begin[piece] > 0))
        at_end = (other == border.after[mine]) & ~(sharp[border.after[mine]] & (end[piece] < border.length[mine]))
        met = (other != mine) & ~at_start & ~at_end
        long = np.zeros(len(which), bool)
        long[piece[met]] = True
        return np.asarray(which[long & (half > _SHORTEST)])

    def level_at_corners(self) -> None:
        """The pieces on either side of a corner as long as each other, and so short that a disc that touches both
        where they end meets nothing else."""
        border = self.border
        corner = np.flatnonzero(border.convex)
        while len(corner):
            first, last = np.empty(len(border.start), np.int64), np.empty(len(border.start), np.int64)
            starts, ends = np.flatnonzero(self.begin == 0), np.flatnonzero(self.end == border.length[self.side])
            first[self.side[starts]], last[self.side[ends]] = starts, ends
            one, other = last[border.before[corner]], first[corner]
            long_one, long_other = self.end[one] - self.begin[one], self.end[other]
            most = np.minimum(long_one, long_other)
            met = self._meets(corner, most)
            short = np.where(met, most / 2, most)
            near, far = long_one > short * (1 + 1e-9), long_other > short * (1 + 1e-9)
            self._part_at(np.append(one[near], other[far]), np.append(self.end[one[near]] - short[near], short[far]))
            corner = corner[met]

    def _meets(self, corner: Ints, long: Floats) -> Flags:
        """(k,) whether a disc that touches both sides of a corner so many mm from it meets others; of chords of a
        curve that is not asked."""
        border = self.border
        found = np.zeros(len(corner), bool)
        looked_at = np.flatnonzero((long * border.turn[corner] > _HARDLY) & (long > _SHORTEST))
        corner, long = corner[looked_at], long[looked_at]
        radius = long / np.tan(border.turn[corner] / 2)
        centre = border.start[corner] + border.along[corner] * long[:, None] + border.inwards[corner] * radius[:, None]
        disc, side = border.tree.query(shapely.points(centre), predicate="dwithin", distance=radius * _INSIDE)
        met = (side != corner[disc]) & (side != border.before[corner[disc]])
        found[looked_at[disc[met]]] = True
        return found
