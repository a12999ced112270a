"""A tour: things in the order in which they are done, each with the ends at which it is begun and left."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.counted_lengths import all_counted, counted
from toolpaths.base.errors import InputError, Point
from toolpaths.making.motion.before import Before, Waiting

# Where a thing is begun and where it is left: one place for most; an open line cut once is left at its other end.
Ends = tuple[Point, Point]
# (k,) mm more, up and down, from places (k, 2) to places (k, 2); the same both ways.
Rise = Callable[[Floats, Floats], Floats]
Complex = NDArray[np.complex128]

# Neighbours known of each thing: the nearest, and at least so many on each of four sides, or a close group of places
# would know of nothing but itself.
_NEAR, _ON_EACH_SIDE = 8, 2
# Among so many of the nearest, those are looked for first.
_FEW = 64
# Things whose neighbours are looked for at once: a table of all distances would grow with their square.
_AT_ONCE = 256


class Tour:
    """The tour so far: `seq` holds the numbers of pairs of ends, from that of the start, 0, to that of the end.

    All pairs of ends of all things are numbered in one row. Things are numbered from 1; the start is thing 0, the end
    the last one.

    begin, end : of each pair of ends where it begins and is left, as complex numbers
    thing : of each pair of ends the number of its thing
    ends_of : of each thing the numbers of its pairs of ends
    back : of each pair of ends that which is it run backwards; -1 where there is none
    before : rows of things, all of one side of which come before any of the other
    near : of each thing those nearest to it, with the least distance between any of their ends
    pos : of each thing its place in `seq`
    far : of each pair of ends the mm from where it is left to where another is begun
    changes : what has been replaced in `seq`: from where on, and what was there; None while none is to be
        taken back
    """

    def __init__(
        self,
        things: Sequence[Sequence[Ends]],
        start: Point,
        end: Point | None,
        rise: Rise | None,
        before: Iterable[Before],
    ) -> None:
        listed = [[(start, start)], *[list(ends) for ends in things], [(end or start, end or start)]]
        self.count = len(things)
        self.thing = [number for number, ends in enumerate(listed) for _ in ends]
        first = np.cumsum([0, *map(len, listed)]).tolist()
        self.ends_of = [list(range(a, b)) for a, b in zip(first, first[1:])]
        flat = np.array([pair for ends in listed for pair in ends], float)
        self._places = flat
        self.begin: list[complex] = (flat[:, 0] @ (1, 1j)).tolist()
        self.end: list[complex] = (flat[:, 1] @ (1, 1j)).tolist()
        self.back = [
            next((v for v in self.ends_of[t] if self.begin[v] == self.end[w] and self.end[v] == self.begin[w]), -1)
            for w, t in enumerate(self.thing)
        ]
        # From the last thing to wherever it ends there is nothing to go.
        self.nowhere = len(flat) - 1 if end is None else -1
        self.rise = rise
        self._risen: dict[tuple[int, int], float] = {}
        self.before = [Before([a + 1 for a in row.first], [b + 1 for b in row.then]) for row in before]
        self._rows_first: dict[int, list[int]] = {}
        self._rows_then: dict[int, list[int]] = {}
        for number, row in enumerate(self.before):
            for rows_of, some in ((self._rows_first, row.first), (self._rows_then, row.then)):
                for t in some:
                    rows_of.setdefault(t, []).append(number)
        self.far = [_Row(self, v) for v in range(len(flat))]
        self.near = self._neighbours(np.array(first[:-1]))
        self.changes: list[tuple[int, list[int]]] | None = None
        self.seq: list[int] = []
        self.pos = [0] * (self.count + 2)
        self.put(0, self._nearest_first())

    def length(self, a: int, b: int) -> float:
        """mm from where one thing is left to where another is begun."""
        if b == self.nowhere:
            return 0.0
        straight = counted(abs(self.end[a] - self.begin[b]))
        if self.rise is None:
            return straight
        if (a, b) not in self._risen:
            # What lies near may be asked for next, and is as soon found together.
            there = [b, *(v for _, t in self.near[self.thing[b]] for v in self.ends_of[t])]
            self._ask([a] * len(there), there)
        return straight + self._risen[a, b]

    def _ask(self, a: list[int], b: list[int]) -> None:
        """Note what is to be risen from where the ones are left to where the others are begun."""
        if self.rise is not None:
            risen = self.rise(self._places[a, 1], self._places[b, 0])
            for one, two, up in zip(a, b, all_counted(risen).tolist()):
                self._risen[one, two] = self._risen[self.back[two], self.back[one]] = up

    def _neighbours(self, first: NDArray[np.intp]) -> list[list[tuple[float, int]]]:
        """Of each thing those nearest to it, with the least distance of any of their ends."""
        begins, ends, things = np.array(self.begin), np.array(self.end), np.array(self.thing)
        found: list[list[tuple[float, int]]] = []
        one_place = len(begins) == len(first) and bool((begins == ends).all())
        for low in range(0, len(first), _AT_ONCE):
            some = np.arange(low, min(low + _AT_ONCE, len(first)))
            if one_place:
                away = np.abs(begins[some, None] - begins)
            else:
                own = np.flatnonzero(np.isin(things, some))
                away = np.minimum(np.abs(ends[own, None] - begins), np.abs(begins[own, None] - ends))
                away = np.minimum.reduceat(np.minimum.reduceat(away, first, axis=1), first[some] - own[0], axis=0)
            away = all_counted(away)
            away[np.arange(len(some)), some] = np.inf
            if self.nowhere >= 0:
                away[:, -1] = np.inf
            near = _nearest_on_all_sides(away, begins[first], begins[first[some]])
            for row, chosen in zip(away, near.tolist()):
                found.append(sorted((d, k) for k in set(chosen) if (d := float(row[k])) < np.inf))
        if self.rise is not None:
            pairs = ((t, other) for t, near in enumerate(found) for _, other in near)
            queried = [(v, w) for t, other in pairs for v in self.ends_of[t] for w in self.ends_of[other]]
            self._ask([v for v, _ in queried], [w for _, w in queried])
        return found

    def _nearest_first(self) -> list[int]:
        """A first tour: always on to the nearest thing that may come next."""
        begins = np.array(self.begin)
        open_begins = np.full(len(begins), np.inf, complex)
        waiting = Waiting(self.before)
        ready = [t for t in range(1, self.count + 1) if t not in waiting]
        seq = [0]
        while len(seq) <= self.count:
            for t in ready:
                open_begins[self.ends_of[t]] = begins[self.ends_of[t]]
            away = all_counted(np.abs(open_begins - self.end[seq[-1]]))
            pair = int(away.argmin())
            if not away[pair] < np.inf:
                raise InputError("The things of the route wait for each other in a ring; none of them can be first.")
            seq.append(pair)
            done = self.thing[pair]
            open_begins[self.ends_of[done]] = np.inf
            ready = waiting.done(done)
        return [*seq, len(begins) - 1]

    def put(self, low: int, new: list[int]) -> None:
        """Replace the stretch of `seq` from `low` on, and keep what was there in `changes`."""
        if self.changes is not None:
            self.changes.append((low, self.seq[low : low + len(new)]))
        self.seq[low : low + len(new)] = new
        pos, thing = self.pos, self.thing
        for at, ends in enumerate(new, low):
            pos[thing[ends]] = at

    def replace(self, low: int, new: list[int]) -> bool:
        """The stretch from `low` on replaced by the same things otherwise, unless it brings one before its turn."""
        if -1 in new or (self.before and self._too_early(new)):
            return False
        self.put(low, new)
        return True

    def _too_early(self, new: list[int]) -> bool:
        """Whether a new order of one stretch has a thing after one that it comes before."""
        seen: set[int] = set()
        for ends in new:
            thing = self.thing[ends]
            if not seen.isdisjoint(self._rows_first.get(thing, ())):
                return True
            seen.update(self._rows_then.get(thing, ()))
        return False

    def take_back(self) -> None:
        """Undo all changes kept, the last first."""
        changes, self.changes = self.changes or [], None
        for low, old in reversed(changes):
            self.put(low, old)


def _nearest_on_all_sides(away: Floats, there: Complex, here: Complex) -> NDArray[np.intp]:
    """(n, k) the numbers of those near each of n things, of all things; one may be twice among them.

    away : (n, all) mm
    there, here : places of all, and of the n
    """
    # On every side of most of them some are among these few already.
    few = _least(away, _FEW)
    close = np.take_along_axis(away, few, axis=1)
    side = _sides(there[few], here)
    near = np.take_along_axis(few, _chosen(close, side), axis=1)
    known = ((side == np.arange(4)[:, None, None]) & (close < np.inf)).sum(axis=2)
    rest = np.flatnonzero((known < _ON_EACH_SIDE).any(axis=0))
    if len(rest) and few.shape[1] < away.shape[1]:
        near[rest] = _chosen(away[rest], _sides(there[None, :], here[rest]))
    return near


def _sides(there: Complex, here: Complex) -> NDArray[np.intp]:
    """On which of four sides of each of n places others lie, (n, k) or (1, k)."""
    to = there - here[:, None]
    return 2 * (to.real > 0) + (to.imag > 0)


def _chosen(away: Floats, side: NDArray[np.intp]) -> NDArray[np.intp]:
    """The columns of those nearest to each of n things, and of the nearest on each side."""
    on = (_least(np.where(side == s, away, np.inf), _ON_EACH_SIDE) for s in range(4))
    return np.hstack([_least(away, _NEAR), *on])


def _least(away: Floats, count: int) -> NDArray[np.intp]:
    """(n, count) the columns in which the least of each row are, from left to right; of those alike the first."""
    count = min(count, away.shape[1])
    most = np.partition(away, count - 1, axis=1)[:, count - 1 : count]
    less, alike = away < most, away == most
    taken = less | (alike & (np.cumsum(alike, axis=1) <= count - less.sum(axis=1, keepdims=True)))
    return np.nonzero(taken)[1].reshape(len(away), count)


class _Row(dict[int, float]):
    """Lengths from one pair of ends, by that to which they go, each worked out when it is first asked for."""

    def __init__(self, tour: Tour, a: int) -> None:
        super().__init__()
        self._tour, self._a = tour, a

    def __missing__(self, b: int) -> float:
        found = self[b] = self._tour.length(self._a, b)
        return found
