"""The order of all work of a side: as few changes of the cutter as what has to come first allows, then a short route.

A list of work is a row of entries; all of one comes before all of the next. An entry of one operation leaves
nothing to choose, so a plain list comes out as it was given, and groups are fitted to what stands around them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from heapq import heapify, heappop, heappush
from itertools import groupby
from math import dist

from shapely import Polygon

from toolpaths.base.errors import Point
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.before import Before, Waiting, within
from toolpaths.making.motion.route import short_route
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.cutter_turn import Turn
from toolpaths.making.plan.effect import Effect
from toolpaths.making.plan.fewest_changes import fewest_changes
from toolpaths.making.plan.precedence import in_turn, with_precedence
from toolpaths.making.plan.work import AnyOrder, Stop, Work, listed

# Routes that differ by less, mm, are as short.
_NO_SHORTER = 1e-6

Place = Callable[[Turn], Point]


def ordered(
    work: Sequence[Work], fixture: Fixture, effect_of: Callable[[int, Operation], Effect]
) -> tuple[list[Turn], list[str]]:
    """The turns of all work in the order in which they are to be done, and what is to be said of it.

    effect_of : the effect of the operation of a number
    """

    @cache
    def effect(number: int) -> Effect:
        item = items[number]
        return effect_of(number, item) if isinstance(item, Operation) else Effect(area=Polygon())

    def place(turn: Turn) -> Point:
        area = effect(turn.work).area
        if area.is_empty:
            return fixture.wait_at
        middle = fixture.place(area).centroid
        return middle.x, middle.y

    items, turns = listed(work), list(_turns(work))
    notes: list[str] = []
    before: dict[int, list[Before]] = {}
    for number, some in groupby(turns, key=lambda turn: turn.entry):
        own, entry = list(some), work[number]
        if isinstance(entry, AnyOrder) and len(entry.work) > 1:
            known = [effect(number) for number in dict.fromkeys(turn.work for turn in own)]
            before[number], said = with_precedence(entry, own, known, fixture)
            notes += said
        else:
            before[number] = in_turn(own)
    return _along(fewest_changes(turns, before), before, place, fixture), notes


def _turns(work: Sequence[Work]) -> Iterator[Turn]:
    """The turns of all work as listed, those of an entry after each other."""
    number = of_work = 0
    for entry, items in enumerate(listed([each]) for each in work):
        for item in items:
            for cutter in (None,) if isinstance(item, Stop) else item.cutters_in_turn:
                yield Turn(number, of_work, entry, item, cutter)
                number += 1
            of_work += 1


def _along(
    runs: Sequence[Sequence[Turn]], before: Mapping[int, Sequence[Before]], place: Place, fixture: Fixture
) -> list[Turn]:
    """The turns of all runs, each run begun and ended where the cutter is changed, a short route in between."""
    order: list[Turn] = []
    for run in runs:
        by_entry = [list(turns) for _, turns in groupby(run, key=lambda turn: turn.entry)]
        last: Turn | None = None
        for turns in by_entry:
            if len(turns) > 1:
                start = fixture.wait_at if last is None else place(last)
                end = fixture.wait_at if turns is by_entry[-1] else None
                turns = on_short_route(turns, before[turns[0].entry], place, start, end)
            order += turns
            last = turns[-1]
    return order


def on_short_route(
    turns: Sequence[Turn], before: Sequence[Before], place: Place, start: Point, end: Point | None
) -> list[Turn]:
    """Turns of one run along a short route from `start` to `end`, straight lines counted; as listed if that is as
    short.

    before : what comes before what, by the numbers of the turns
    end : where the route ends, or None if wherever the last turn is
    """
    listed = _as_listed(turns, before)
    if len(listed) < 2:
        return listed
    at = {turn.number: place(turn) for turn in listed}
    rows = within(before, {turn.number: k for k, turn in enumerate(listed)})
    route = short_route([[(at[turn.number],) * 2] for turn in listed], start, end, before=rows)
    short = [listed[visit.thing] for visit in route]

    def length(order: Sequence[Turn]) -> float:
        places = [start, *(at[turn.number] for turn in order), *([] if end is None else [end])]
        return sum(dist(p, q) for p, q in zip(places, places[1:]))

    return short if length(short) < length(listed) - _NO_SHORTER else listed


def _as_listed(turns: Sequence[Turn], before: Sequence[Before]) -> list[Turn]:
    """Turns as listed, but for those that have to wait: always the first that may come next."""
    by_number = {turn.number: turn for turn in turns}
    waiting = Waiting(within(before, {number: number for number in by_number}))
    ready = [number for number in by_number if number not in waiting]
    heapify(ready)
    listed: list[Turn] = []
    while ready:
        listed.append(by_number[heappop(ready)])
        for number in waiting.done(listed[-1].number):
            heappush(ready, number)
    return listed
