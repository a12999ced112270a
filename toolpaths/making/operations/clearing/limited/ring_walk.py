"""On from one disc along the ring of the wall that it touches: each as far as the limit lets it be from the one before.

The largest discs that touch a wall, in the order of its ring, go along the middles of the room, into each corner and
out of it again. So a branch is one walk, and only where it begins is a choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.limited.advance import Limit, Skin

# Of a step: a disc that sticks out less is none on the way.
_WORTH = 0.3
# Discs of a ring on either side among which a larger one is looked for.
_NEAR = 24
# So much at most of how much larger a disc is sticks out of it in what is hardly a corner.
_FLAT = 0.05
# Times that a place is looked for between two discs.
_LOOKS = 2


class Disc(NamedTuple):
    x: float
    y: float
    size: float

    @classmethod
    def about(cls, centre: Floats, size: float) -> Disc:
        x, y = centre.tolist()
        return cls(x, y, size)


def _apart(a: Disc, b: Disc) -> float:
    return hypot(a.x - b.x, a.y - b.y)


def _worth_a_walk(centres: Floats, radii: Floats, hair: float) -> NDArray[np.int64]:
    """Numbers of the discs of a ring without those of which a larger one near them leaves no more than a hair: in what
    are hardly corners, and in the tips of others."""
    covered = np.zeros(len(radii), bool)
    for by in range(1, min(_NEAR, len(radii))):
        far = np.hypot(*(centres - np.roll(centres, by, axis=0)).T)
        wider = np.roll(radii, by) - radii
        for larger, size, way in ((wider, radii, 0), (-wider, radii + wider, -by)):
            left = far - larger
            covered |= np.roll((left < hair) & ((larger > size) | (left < _FLAT * larger)), way)
    return np.flatnonzero(~covered)


class RingWalk:
    """The discs of all rings, one after another.

    centres, radii : (n, 2), (n,) of the discs that touch the wall
    counts : of each ring, how many
    alike : (n,) the number by which `out` knows each
    skin : what of a disc is not cut
    hair : mm; what sticks out by less is nothing
    """

    def __init__(
        self,
        centres: Floats,
        radii: Floats,
        counts: Sequence[int],
        alike: NDArray[np.int64],
        skin: Skin,
        limit: Limit,
        hair: float,
    ) -> None:
        self._limit, self._skin, self._hair, self._alike = limit, skin, hair, alike.tolist()
        sizes = skin.cut(radii)
        ends = limit.nearest_end(sizes)
        # How far each sticks out of what is cleared; the last is for discs that belong to no ring.
        self.out = np.full(len(radii) + 1, np.inf)
        self._worth = (_WORTH * np.minimum(sizes + limit.radius - ends, limit.widest)).tolist()
        firsts = np.cumsum([0, *counts])
        self._count = np.repeat(counts, counts).tolist()
        after, before = [], []
        for first, last in zip(firsts, firsts[1:]):
            numbers = first + _worth_a_walk(centres[first:last], radii[first:last], 2 * hair)
            every = np.arange(first, last)
            after.append(numbers[np.searchsorted(numbers, every, side="right") % len(numbers)])
            before.append(numbers[np.searchsorted(numbers, every, side="left") - 1])
        self._next = {1: np.concatenate(after).tolist(), -1: np.concatenate(before).tolist()}
        self._x, self._y = centres.T.tolist()
        self._radii, self._sizes, self._ends = radii.tolist(), sizes.tolist(), ends.tolist()

    def on_from(self, number: int, disc: Disc, before: Disc) -> list[Disc]:
        """Discs one after another from near that of a number, either way round, but not back to the one before."""
        return self._walk(number, disc, before, 1) or self._walk(number, disc, before, -1)

    def _walk(self, number: int, disc: Disc, before: Disc, way: int) -> list[Disc]:
        limit, x, y, sizes, ends = self._limit, self._x, self._y, self._sizes, self._ends
        next_, count = self._next[way], self._count[number]
        found, at, share, steps = [disc], number, 0.0, 0
        while True:
            last = found[-1]
            reach, widest = last.size + limit.radius, last.size + limit.widest
            while True:
                after = next_[at]
                away = hypot(x[after] - last.x, y[after] - last.y)
                lacking = max(away + ends[after] - reach, away + sizes[after] - widest)
                if lacking > 0:
                    break
                at, share, steps = after, 0.0, steps + 1
                if steps == count:
                    return found[1:]
            share, following = self._farthest(last, at, after, share, lacking)
            sticks_out = _apart(following, last) + following.size - last.size
            if sticks_out <= self._hair or _apart(following, before) < _apart(last, before):
                return found[1:]
            if self._is_cleared(at) and self._is_cleared(after):
                return found[1:]
            before = last
            found.append(following)

    def _is_cleared(self, number: int) -> bool:
        return bool(self.out[self._alike[number]] <= self._worth[number])

    def _farthest(self, last: Disc, at: int, after: int, share: float, lacking: float) -> tuple[float, Disc]:
        """The farthest disc, and its share of the way, between one that a disc allows and the next, which it does not.

        lacking : mm by which the next is too far
        """
        limit, skin = self._limit, self._skin
        r, wide, side = limit.radius, limit.widest, 2 * limit.radius * cos(limit.angle)
        x0, y0, r0 = self._x[at], self._y[at], self._radii[at]
        dx, dy, dr = self._x[after] - x0, self._y[after] - y0, self._radii[after] - r0
        far = hypot(dx, dy)
        nearest = r0 + min(dr, 0.0) - far / 2
        # Along a straight way the distance of a corner bends by no more than one over it.
        sag = far * far / (2 * nearest) if nearest > far / 2 else 0.0
        low, high, above, below = share, 1.0, 0.0, -lacking
        kept = last
        for look in range(_LOOKS + 1):
            # A little less than where it would be none.
            tried = low + 0.98 * (high - low) * above / max(above - below, 1e-12) if look else low
            if sag:
                radius = r0 + dr * tried - sag * tried * (1 - tried)
            else:
                radius = max(r0 - far * tried, r0 + dr - far * (1 - tried), 0.0)
            size, x, y = skin.cut_one(radius), x0 + dx * tried, y0 + dy * tried
            allowed = min(r - sqrt(size * size + r * r + size * side), wide - size)
            left = last.size + allowed - hypot(x - last.x, y - last.y)
            if not look or (left >= 0 and size > 0):
                low, above, kept = tried, max(left, 0.0), Disc(x, y, size)
            else:
                high, below = tried, min(left, 0.0)
        return low, kept
