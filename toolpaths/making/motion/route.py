"""A short way through many places: which thing is done next, and from which of its ends.

A way is begun by the nearest thing that may come next, then bettered until nothing small betters it: a stretch
run the other way round (Croes 1958), up to three things moved elsewhere (Or 1976), a thing begun elsewhere; each
only towards near neighbours, and only where something changed (Bentley 1992). Then two neighbouring stretches are
swapped somewhere, the place is mended, and the swap kept if the way got no longer (Martin, Otto and Felten 1991).
The dice have a fixed seed and the number of throws is bounded: the same places give the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import dist
from random import Random
from typing import Literal, NamedTuple

import numpy as np

from toolpaths.base.checks import one_of
from toolpaths.base.errors import InputError, Point

Order = Literal["short", "as given"]
ORDERS: tuple[Order, ...] = ("short", "as given")

# A way ends where it began for most things; an open line cut once ends at its other end.
Way = tuple[Point, Point]
# mm of extra way, up and down, from one place to the other; the same both ways.
Rise = Callable[[Point, Point], float]

# Neighbours tried for each thing.
_NEAR = 8
# Longest run of things moved elsewhere together.
_RUN = 3
# Throws: so many, so many more for each thing, and in all; and the longest stretches swapped, as long
# as rows of holes may be.
_THROWS, _THROWS_EACH, _MOST_THROWS = 50, 2, 1000
_STRETCH = 100
_LEAST_GAIN = 1e-9


class Visit(NamedTuple):
    """One thing of the route: its number, and which of its ways is taken."""

    thing: int
    way: int


def checked_order(order: str) -> str:
    """How things are visited: along a "short" way, or "as given"."""
    return one_of("order", order, ORDERS)


def short_order(places: Sequence[Point], start: Point, end: Point | None, rise: Rise | None = None) -> list[int]:
    """The numbers of the places, in the order of a short way; see short_route."""
    return [visit.thing for visit in short_route([[(place, place)] for place in places], start, end, rise)]


def short_route(
    things: Sequence[Sequence[Way]],
    start: Point,
    end: Point | None,
    rise: Rise | None = None,
    before: Iterable[tuple[int, int]] = (),
) -> list[Visit]:
    """Every thing once, along a short way from `start` to `end`, or to wherever the last one ends.

    things : of each the ways in which it can be done, as (where it begins, where it ends), mm
    rise : extra mm between two places, for instance up and down over what stands between them
    before : pairs of things, the first of which is to be done before the second
    The length is that of the straight lines from where one ends to where the next begins, and their rise.
    Raises InputError where a thing has no way, or where things wait for each other in a ring.
    """
    pairs = sorted(set(before))
    if not things:
        return []
    if empty := [number for number, ways in enumerate(things) if not ways]:
        raise InputError(f"Thing {empty[0]} of the route has no way in which it could be done.")
    search = _Search(things, start, end, rise, pairs)
    search.settle()
    search.throw()
    search.settle()
    first = search.first
    return [Visit(search.thing[way] - 1, way - first[search.thing[way]]) for way in search.seq[1:-1]]


class _Search:
    """The way so far, as ways in order from that of the start, 0, to that of the end.

    Things are numbered from 1 here; the start is thing 0, the end the last one.
    """

    def __init__(
        self,
        things: Sequence[Sequence[Way]],
        start: Point,
        end: Point | None,
        rise: Rise | None,
        pairs: list[tuple[int, int]],
    ) -> None:
        listed = [[(start, start)], *[list(ways) for ways in things], [(end or start, end or start)]]
        self.count = len(things)
        self.first: list[int] = []
        self.thing: list[int] = []
        for number, ways in enumerate(listed):
            self.first.append(len(self.thing))
            self.thing += [number] * len(ways)
        self.ways = [list(range(a, a + len(ways))) for a, ways in zip(self.first, listed)]
        flat = [way for ways in listed for way in ways]
        self.begin, self.end = [way[0] for way in flat], [way[1] for way in flat]
        # The way that is this one run backwards; -1 where there is none.
        self.back = [
            next((v for v in self.ways[t] if self.begin[v] == self.end[w] and self.end[v] == self.begin[w]), -1)
            for w, t in enumerate(self.thing)
        ]
        # Wherever the last thing ends is no way at all from there.
        self.nowhere = len(flat) - 1 if end is None else -1
        self.rise = rise
        self.risen: dict[tuple[int, int], float] = {}
        self.pairs = [(a + 1, b + 1) for a, b in pairs]
        self.waits: dict[int, list[int]] = {}
        for a, b in self.pairs:
            self.waits.setdefault(b, []).append(a)
        self.near = self._neighbours()
        self.seq = self._nearest_first()
        self.gained = 0.0
        self.pos = [0] * (self.count + 2)
        self._place(0, len(self.seq))

    def far(self, a: int, b: int) -> float:
        """mm from the end of one way to the beginning of another."""
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
        """Of each thing those nearest to it, with the least distance of any of their ways."""
        begins, ends, starts = np.array(self.begin), np.array(self.end), np.array(self.first)
        found: list[list[tuple[float, int]]] = []
        for number, ways in enumerate(self.ways):
            away = np.full(len(self.first), np.inf)
            for way in ways:
                for here, there in ((self.end[way], begins), (self.begin[way], ends)):
                    each = np.hypot(there[:, 0] - here[0], there[:, 1] - here[1])
                    away = np.minimum(away, np.minimum.reduceat(each, starts))
            away[[number] if self.nowhere < 0 else [number, -1]] = np.inf
            order = np.argsort(away, kind="stable")[:_NEAR]
            found.append([(float(away[k]), int(k)) for k in order if np.isfinite(away[k])])
        return found

    def _nearest_first(self) -> list[int]:
        """A first way: always on to the nearest thing that may come next."""
        begins, things = np.array(self.begin), np.array(self.thing)
        waiting = {b: len(set(a)) for b, a in self.waits.items()}
        open_ = np.ones(len(begins), bool)
        open_[[0, -1]] = False
        held = np.isin(things, list(waiting))
        seq = [0]
        while len(seq) <= self.count:
            x, y = self.end[seq[-1]]
            away = np.where(open_ & ~held, np.hypot(begins[:, 0] - x, begins[:, 1] - y), np.inf)
            way = int(away.argmin())
            if not np.isfinite(away[way]):
                raise InputError("The things of the route wait for each other in a ring; none of them can be first.")
            seq.append(way)
            done = self.thing[way]
            open_[self.ways[done]] = False
            for a, b in self.pairs:
                if a == done:
                    waiting[b] -= 1
                    if not waiting[b]:
                        held[self.ways[b]] = False
        return [*seq, len(begins) - 1]

    def _place(self, low: int, high: int) -> None:
        for at in range(low, high):
            self.pos[self.thing[self.seq[at]]] = at

    def _put(self, low: int, new: list[int]) -> bool:
        """The stretch from `low` on replaced by the same things otherwise, unless it brings one before its turn."""
        if -1 in new:
            return False
        high = low + len(new)
        old = self.seq[low:high]
        self.seq[low:high] = new
        self._place(low, high)
        if any(self.pos[a] > self.pos[b] for a, b in self.pairs):
            self.seq[low:high] = old
            self._place(low, high)
            return False
        return True

    def settle(self) -> None:
        """Mend the whole way, and choose all its ways together, until neither betters it."""
        while True:
            self.gained = 0.0
            self._choose(1, self.count + 1)
            self.mend(range(1, self.count + 1))
            if self.gained <= _LEAST_GAIN:
                return

    def mend(self, things: Iterable[int]) -> None:
        """Small changes about these things, and about those that they change, until none betters the way."""
        queue = list(things)
        waiting = set(queue)
        while queue:
            thing = queue.pop()
            waiting.discard(thing)
            while changed := self._better(thing):
                fresh = [t for t in changed if t != thing and t not in waiting]
                queue += fresh
                waiting.update(fresh)

    def _better(self, thing: int) -> list[int]:
        """One change for the better at a thing: the things at whose ends the way changed; none if there is none."""
        at, seq, far = self.pos[thing], self.seq, self.far
        if 0 < at <= self.count and len(self.ways[thing]) > 1:
            a, b, now = seq[at - 1], seq[at + 1], seq[at]
            best = min(self.ways[thing], key=lambda way: far(a, way) + far(way, b))
            gain = far(a, now) + far(now, b) - far(a, best) - far(best, b)
            if gain > _LEAST_GAIN:
                seq[at] = best
                self.gained += gain
                return [self.thing[a], self.thing[b]]
        for ahead in (True, False):
            if (ahead and at > self.count) or (not ahead and at == 0):
                continue
            gone = far(seq[at], seq[at + 1]) if ahead else far(seq[at - 1], seq[at])
            for away, other in self.near[thing]:
                if away >= gone - _LEAST_GAIN:
                    break
                if changed := self._turn(at, self.pos[other], ahead) or self._move(at, self.pos[other], ahead):
                    return changed
        return []

    def _turn(self, at: int, to: int, ahead: bool) -> list[int]:
        """Run the stretch between two places backwards, so that they come together."""
        seq, far, back = self.seq, self.far, self.back
        low, high = min(at, to), max(at, to)
        # [low, high) is turned; it lies after both places, or before both.
        low, high = (low + 1, high + 1) if ahead else (low, high)
        if low < 1 or high > self.count + 1 or high - low < 1:
            return []
        a, b, c, d = seq[low - 1], seq[low], seq[high - 1], seq[high]
        if back[b] < 0 or back[c] < 0:
            return []
        gain = far(a, b) + far(c, d) - far(a, back[c]) - far(back[b], d)
        if gain > _LEAST_GAIN and self._put(low, [back[way] for way in reversed(seq[low:high])]):
            self.gained += gain
            return [self.thing[way] for way in (a, b, c, d)]
        return []

    def _move(self, at: int, to: int, ahead: bool) -> list[int]:
        """Move up to three things, of which the one here is last (ahead) or first, to beside another."""
        seq, far = self.seq, self.far
        for long in range(1, _RUN + 1):
            low, high = (at - long + 1, at + 1) if ahead else (at, at + long)
            if low < 1 or high > self.count + 1 or low <= to < high:
                break
            before, after = seq[low - 1], seq[high]
            saved = far(before, seq[low]) + far(seq[high - 1], after) - far(before, after)
            straight = seq[low:high]
            turned = [self.back[way] for way in straight[::-1]]
            # Behind the other, or in front of it; the thing here comes to lie beside it.
            for gap, run in ((to + 1, turned if ahead else straight), (to, straight if ahead else turned)):
                if not 1 <= gap <= self.count + 1 or low <= gap <= high or -1 in run:
                    continue
                a, b = seq[gap - 1], seq[gap]
                gain = saved - far(a, run[0]) - far(run[-1], b) + far(a, b)
                if gain <= _LEAST_GAIN:
                    continue
                start, new = (gap, run + seq[gap:low]) if gap < low else (low, seq[high:gap] + run)
                if self._put(start, new):
                    self.gained += gain
                    return [self.thing[way] for way in (before, after, a, b, run[0], run[-1])]
        return []

    def _choose(self, low: int, high: int) -> None:
        """The best of all ways of each thing of the stretch [low, high), its order as it is (shortest path)."""
        stretch, seq, far = [self.thing[way] for way in self.seq[low:high]], self.seq, self.far
        if all(len(self.ways[thing]) == 1 for thing in stretch):
            return
        was = sum(far(a, b) for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
        best = {seq[low - 1]: 0.0}
        came: list[dict[int, int]] = []
        for ways in [*(self.ways[thing] for thing in stretch), [seq[high]]]:
            came.append({way: min(best, key=lambda a: best[a] + far(a, way)) for way in ways})
            best = {way: best[a] + far(a, way) for way, a in came[-1].items()}
        gain = was - best[seq[high]]
        if gain > _LEAST_GAIN:
            self.gained += gain
            for at in range(high - 1, low - 1, -1):
                seq[at] = came[at - low + 1][seq[at + 1]]

    def throw(self) -> None:
        """Swap two neighbouring stretches at random, mend, and keep it if the way got no longer; so many times."""
        dice, far, longest = Random(1), self.far, max(1, min(_STRETCH, self.count // 2))
        for _ in range(min(_THROWS + _THROWS_EACH * self.count, _MOST_THROWS)):
            one, two = dice.randint(1, longest), dice.randint(1, longest)
            if one + two > self.count:
                continue
            low = dice.randint(1, self.count + 1 - one - two)
            middle, high = low + one, low + one + two
            kept, seq = self.seq.copy(), self.seq
            touched = [self.thing[seq[at]] for at in (low - 1, low, middle - 1, middle, high - 1, high)]
            was = sum(far(a, b) for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
            if not self._put(low, seq[middle:high] + seq[low:middle]):
                continue
            self.gained = was - sum(far(a, b) for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
            self._choose(max(low - _RUN, 1), min(high + _RUN, self.count + 1))
            self.mend(touched)
            if self.gained < 0:
                self.seq = kept
                self._place(0, len(kept))
