"""The order of all work of a side: as few changes of the cutter as what has to come first allows, then a short way.

A list of work is a row of entries; all of one comes before all of the next. An entry of one operation leaves
nothing to choose, so a plain list comes out as it was given, and groups are fitted to what stands around them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from math import dist
from typing import NamedTuple

from shapely import Polygon

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.route import short_route
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.precedence import Facts, bits, needs_of
from toolpaths.making.plan.work import AnyOrder, Item, Stop, Work

# Ways to begin that are followed at once. Below this number the fewest changes are certain.
_BEAM = 300
# Ways that differ by less, mm, are as short.
_NO_SHORTER = 1e-6


class Turn(NamedTuple):
    """One cutter's turn at an operation, and the number of that among all pieces of work as listed."""

    number: int
    operation: Operation
    cutter: Cutter


def listed(work: Iterable[Work]) -> tuple[Item, ...]:
    """All pieces of work as listed, those of groups among them."""
    return tuple(item for entry in work for item in (entry.work if isinstance(entry, AnyOrder) else (entry,)))


def ordered(
    work: Sequence[Work], fixture: Fixture, facts_of: Callable[[int, Operation], Facts]
) -> tuple[list[Turn | Stop], list[str]]:
    """The turns of all work in the order in which they are to be done, and what is to be said of it.

    facts_of : the facts of the operation of a number
    """
    items = listed(work)
    things: list[Turn | Stop] = []
    number_of: list[int] = []
    entries: list[list[int]] = []
    needs: list[int] = []
    notes: list[str] = []

    @cache
    def known(number: int) -> Facts:
        item = items[number]
        return facts_of(number, item) if isinstance(item, Operation) else Facts(area=Polygon())

    def place(thing: int) -> Point:
        area = known(number_of[thing]).area
        if area.is_empty:
            return fixture.wait_at
        middle = fixture.place(area).centroid
        return middle.x, middle.y

    number = 0
    for entry in work:
        first, before = len(things), number
        for item in listed([entry]):
            added = (
                [item] if isinstance(item, Stop) else [Turn(number, item, cutter) for cutter in item.cutters_in_turn]
            )
            things += added
            number_of += [number] * len(added)
            number += 1
        of = [(n - before, _cutter(thing)) for n, thing in zip(number_of[first:], things[first:], strict=True)]
        if isinstance(entry, AnyOrder) and len(entry.work) > 1:
            own, said = needs_of(entry, of, [known(n) for n in range(before, number)], fixture)
            notes += said
        else:
            own = [(1 << k) - 1 for k in range(len(of))]
        needs += [mask << first for mask in own]
        entries.append(list(range(first, len(things))))
    numbers = [cutter.number if cutter else None for cutter in map(_cutter, things)]
    runs = fewest_changes(entries, numbers, needs)
    return [things[t] for t in _along(runs, entries, needs, place, fixture)], notes


def _turns(number: int, item: Operation) -> list[Turn | Stop]:
    return [Turn(number, item, cutter) for cutter in item.cutters_in_turn]


def _cutter(thing: Turn | Stop) -> Cutter | None:
    return None if isinstance(thing, Stop) else thing.cutter


def _along(
    runs: Sequence[Sequence[int]],
    entries: Sequence[Sequence[int]],
    needs: Sequence[int],
    place: Callable[[int], Point],
    fixture: Fixture,
) -> list[int]:
    """The things of all runs, each run begun and ended where the cutter is changed, a short way in between."""
    entry_of = {thing: number for number, entry in enumerate(entries) for thing in entry}
    order: list[int] = []
    for run in runs:
        within = [[t for t in run if entry_of[t] == number] for number in dict.fromkeys(entry_of[t] for t in run)]
        last: int | None = None
        for things in within:
            if len(things) > 1:
                start = fixture.wait_at if last is None else place(last)
                things = short_way(things, needs, place, start, fixture.wait_at if things is within[-1] else None)
            order += things
            last = things[-1]
    return order


# Below, things are numbered as listed, and a set of them is the bits of a number.


def fewest_changes(
    entries: Sequence[Sequence[int]], cutters: Sequence[int | None], needs: Sequence[int]
) -> list[list[int]]:
    """Things in runs, each of one cutter, as few runs as can be; where others are as few, as listed.

    entries : the things of each entry
    cutters : of each thing the number of its cutter, None for a stop
    needs : of each thing those of its entry that come before it
    Nothing is lost by doing with a cutter all that it can do before it goes out: whatever else is done later needs
    no more for it. So the only choice is the next cutter; and of two beginnings with as many changes, one that has
    done all that the other has, and more, is no worse. Both keep the search exact and small.
    """
    search = _Search(entries, cutters, needs)
    done, runs = search.all_with(None, 0), list[list[int]]()
    if done:
        runs.append(list(bits(done)))
    for number in search.numbers():
        more = search.all_with(number, done)
        runs.append(list(bits(more & ~done)))
        done = more
    return runs


class _Search:
    def __init__(self, entries: Sequence[Sequence[int]], cutters: Sequence[int | None], needs: Sequence[int]) -> None:
        self.entries, self.cutters, self.needs = entries, cutters, needs
        self.whole = [sum(1 << thing for thing in entry) for entry in entries]

    def _unfinished(self, done: int) -> int:
        return next((k for k, whole in enumerate(self.whole) if whole & ~done), len(self.entries))

    def all_with(self, number: int | None, done: int) -> int:
        """What is done once a cutter has done all that it can, stops included."""
        for k in range(self._unfinished(done), len(self.entries)):
            mine = [t for t in self.entries[k] if self.cutters[t] in (None, number) and not done >> t & 1]
            while ready := [t for t in mine if not self.needs[t] & ~done]:
                done |= sum(1 << t for t in ready)
                mine = [t for t in mine if not done >> t & 1]
            if self.whole[k] & ~done:
                break
        return done

    def _next(self, done: int) -> Iterable[int]:
        """The cutters that have something to do."""
        entry = self.entries[self._unfinished(done)]
        ready = (self.cutters[t] for t in entry if not done >> t & 1 and not self.needs[t] & ~done)
        return dict.fromkeys(number for number in ready if number is not None)

    def numbers(self) -> tuple[int, ...]:
        """The cutters, one for each run."""
        every = sum(self.whole)
        begun: dict[int, tuple[int, ...]] = {self.all_with(None, 0): ()}
        while every not in begun:
            found: dict[int, tuple[int, ...]] = {}
            for done, numbers in begun.items():
                for number in self._next(done):
                    found.setdefault(self.all_with(number, done), (*numbers, number))
            begun = {done: found[done] for done in _foremost(found)}
        return begun[every]


def _foremost(found: Iterable[int]) -> list[int]:
    """Those sets that lie in no other one, in their order; the largest of them where they are many."""
    kept: list[int] = []
    listed = list(found)
    for done in sorted(listed, key=int.bit_count, reverse=True):
        if len(kept) < _BEAM and not any(done & ~other == 0 for other in kept):
            kept.append(done)
    chosen = set(kept)
    return [done for done in listed if done in chosen]


def short_way(
    things: Sequence[int], needs: Sequence[int], place: Callable[[int], Point], start: Point, end: Point | None
) -> list[int]:
    """Things of one run along a short way from `start` to `end`, straight lines counted; as listed if that is as short.

    end : where the way ends, or None if wherever the last thing is
    """
    listed: list[int] = []
    waiting, mask = sorted(things), sum(1 << thing for thing in things)
    while waiting:
        listed.append(next(t for t in waiting if not needs[t] & mask))
        waiting.remove(listed[-1])
        mask ^= 1 << listed[-1]
    if len(listed) < 2:
        return listed
    at = {thing: place(thing) for thing in listed}
    pairs = [
        (a, b) for b, later in enumerate(listed) for a, earlier in enumerate(listed) if needs[later] >> earlier & 1
    ]
    route = short_route([[(at[thing], at[thing])] for thing in listed], start, end, before=pairs)
    short = [listed[visit.thing] for visit in route]

    def length(order: Sequence[int]) -> float:
        places = [start, *(at[thing] for thing in order), *([] if end is None else [end])]
        return sum(dist(p, q) for p, q in zip(places, places[1:]))

    return short if length(short) < length(listed) - _NO_SHORTER else listed
