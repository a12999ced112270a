"""A tour: things in the order in which they are done, each with the ends at which it is begun and left."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import dist

import numpy as np

from toolpaths.base.errors import InputError, Point

# Where a thing is begun and where it is left: one place for most; an open line cut once is left at its other end.
Ends = tuple[Point, Point]
# mm more, up and down, from one place to the other; the same both ways.
Rise = Callable[[Point, Point], float]

# Neighbours known of each thing.
_NEAR = 8


class Tour:
    """The tour so far: `seq` holds the numbers of pairs of ends, from that of the start, 0, to that of the end.

    All pairs of ends of all things are numbered in one row. Things are numbered from 1; the start is thing 0, the end
    the last one.

    thing : of each pair of ends the number of its thing
    ends_of : of each thing the numbers of its pairs of ends
    back : of each pair of ends that which is it run backwards; -1 where there is none
    near : of each thing those nearest to it, with the least distance between any of their ends
    pos : of each thing its place in `seq`
    """

    def __init__(
        self,
        things: Sequence[Sequence[Ends]],
        start: Point,
        end: Point | None,
        rise: Rise | None,
        pairs: list[tuple[int, int]],
    ) -> None:
        listed = [[(start, start)], *[list(ends) for ends in things], [(end or start, end or start)]]
        self.count = len(things)
        self.first: list[int] = []
        self.thing: list[int] = []
        for number, ends in enumerate(listed):
            self.first.append(len(self.thing))
            self.thing += [number] * len(ends)
        self.ends_of = [list(range(a, a + len(ends))) for a, ends in zip(self.first, listed)]
        flat = [pair for ends in listed for pair in ends]
        self.begin, self.end = [pair[0] for pair in flat], [pair[1] for pair in flat]
        self.back = [
            next((v for v in self.ends_of[t] if self.begin[v] == self.end[w] and self.end[v] == self.begin[w]), -1)
            for w, t in enumerate(self.thing)
        ]
        # From the last thing to wherever it ends there is nothing to go.
        self.nowhere = len(flat) - 1 if end is None else -1
        self.rise = rise
        self.risen: dict[tuple[int, int], float] = {}
        self.pairs = [(a + 1, b + 1) for a, b in pairs]
        self.waits: dict[int, list[int]] = {}
        for a, b in self.pairs:
            self.waits.setdefault(b, []).append(a)
        self.near = self._neighbours()
        self.seq = self._nearest_first()
        self.pos = [0] * (self.count + 2)
        self.note_places(0, len(self.seq))

    def far(self, a: int, b: int) -> float:
        """mm from where one thing is left to where another is begun."""
        if b == self.nowhere:
            return 0.0
        p, q = self.end[a], self.begin[b]
        straight = dist(p, q)
        if self.rise is None:
            return straight
        if (a, b) not in self.risen:
            self.risen[a, b] = self.rise(p, q)
        return straight + self.risen[a, b]

    def _neighbours(self) -> list[list[tuple[float, int]]]:
        """Of each thing those nearest to it, with the least distance of any of their ends."""
        begins, ends, starts = np.array(self.begin), np.array(self.end), np.array(self.first)
        found: list[list[tuple[float, int]]] = []
        for number, pairs in enumerate(self.ends_of):
            away = np.full(len(self.first), np.inf)
            for pair in pairs:
                for here, there in ((self.end[pair], begins), (self.begin[pair], ends)):
                    each = np.hypot(there[:, 0] - here[0], there[:, 1] - here[1])
                    away = np.minimum(away, np.minimum.reduceat(each, starts))
            away[[number] if self.nowhere < 0 else [number, -1]] = np.inf
            order = np.argsort(away, kind="stable")[:_NEAR]
            found.append([(float(away[k]), int(k)) for k in order if np.isfinite(away[k])])
        return found

    def _nearest_first(self) -> list[int]:
        """A first tour: always on to the nearest thing that may come next."""
        begins, things = np.array(self.begin), np.array(self.thing)
        waiting = {b: len(set(a)) for b, a in self.waits.items()}
        open_ = np.ones(len(begins), bool)
        open_[[0, -1]] = False
        held = np.isin(things, list(waiting))
        seq = [0]
        while len(seq) <= self.count:
            x, y = self.end[seq[-1]]
            away = np.where(open_ & ~held, np.hypot(begins[:, 0] - x, begins[:, 1] - y), np.inf)
            pair = int(away.argmin())
            if not np.isfinite(away[pair]):
                raise InputError("The things of the route wait for each other in a ring; none of them can be first.")
            seq.append(pair)
            done = self.thing[pair]
            open_[self.ends_of[done]] = False
            for a, b in self.pairs:
                if a == done:
                    waiting[b] -= 1
                    if not waiting[b]:
                        held[self.ends_of[b]] = False
        return [*seq, len(begins) - 1]

    def note_places(self, low: int, high: int) -> None:
        """Write down in `pos` where the things of the stretch [low, high) of `seq` are."""
        for at in range(low, high):
            self.pos[self.thing[self.seq[at]]] = at

    def replace(self, low: int, new: list[int]) -> bool:
        """The stretch from `low` on replaced by the same things otherwise, unless it brings one before its turn."""
        if -1 in new:
            return False
        high = low + len(new)
        old = self.seq[low:high]
        self.seq[low:high] = new
        self.note_places(low, high)
        if any(self.pos[a] > self.pos[b] for a, b in self.pairs):
            self.seq[low:high] = old
            self.note_places(low, high)
            return False
        return True
