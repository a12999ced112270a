"""What has to come before what, in work that may be done in any order: it follows from what each does to the board.

Reasons come in ranks. What the user keeps holds always; each rank below gives way wherever it would close a ring with
those above, so that no reason is ever traded for a weaker one, and there is always an order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

import numpy as np
import shapely
from shapely import Point, Polygon, STRtree

from toolpaths.base.errors import InputError
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.before import Before
from toolpaths.making.plan.cutter_turn import Turn
from toolpaths.making.plan.effect import ONE_HEIGHT, Effect, is_held, together
from toolpaths.making.plan.strongly_connected import strongly_connected
from toolpaths.making.plan.work import AnyOrder, Item, Stop, called

# Room that a cut keeps to the head of a screw, mm.
_ROOM_AT_HEAD = 2.0


def with_precedence(
    group: AnyOrder, turns: Sequence[Turn], known: Sequence[Effect], fixture: Fixture
) -> tuple[list[Before], list[str]]:
    """Which turns of a group, by their numbers, have to come before which; and notes on what the user keeps.

    turns : those of each piece of work, one after the other
    known : the effect of each piece of work, that of a stop empty
    Raises InputError for a stop that nothing places.
    """
    what = _grouped(group, turns, known, fixture)
    before = [*in_turn(turns), *(Before(what.numbers([a]), what.numbers([b])) for a, b in what.kept)]
    for rank in RANKS:
        before += _without_rings(before, list(rank(what)))
    return before, list(_objections(what))


def in_turn(turns: Sequence[Turn]) -> list[Before]:
    """The cutters of each operation one after the other."""
    return [Before([a.number], [b.number]) for a, b in pairwise(turns) if a.work == b.work]


def _without_rings(sure: Sequence[Before], more: Sequence[Before]) -> list[Before]:
    """What more rows say, but for the pairs that lie on a ring with others of them or with what is sure."""
    # Rows are nodes as well, with numbers below those of turns: from each of their first to each of the others one
    # goes by way of them.
    after: dict[int, list[int]] = {}
    for node, row in enumerate([*sure, *more], start=-len(sure) - len(more)):
        after[node] = list(row.then)
        for number in row.first:
            after.setdefault(number, []).append(node)
        for number in row.then:
            after.setdefault(number, [])
    ring = strongly_connected(after) if more else {}
    kept: list[Before] = []
    for node, row in enumerate(more, start=-len(more)):
        first, then = ([n for n in side if ring[n] != ring[node]] for side in row)
        if len(first) == len(row.first) or len(then) == len(row.then):
            kept.append(row)
        else:
            split = Before(first, row.then), Before([n for n in row.first if ring[n] == ring[node]], then)
            kept += [part for part in split if part.first and part.then]
    return kept


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """A group as the ranks look at it; pieces of work by their numbers among all.

    turns : of each piece of work its turns
    kept : pairs of pieces of work, the first of which the user has done before the second
    effects : what each does to the board
    areas : of each piece of work those whose areas its own meets
    on_freed : of each piece of work those which cut where it frees a part of the board
    heads : of each stop the heads of the screws that are driven at it, as seen from the front
    held : those of which something holds all that they free
    """

    turns: Mapping[int, Sequence[Turn]]
    kept: Collection[tuple[int, int]]
    effects: Mapping[int, Effect]
    meet: Mapping[int, Collection[int]]
    on_freed: Mapping[int, Collection[int]]
    heads: Mapping[int, tuple[Polygon, ...]]
    held: frozenset[int]

    def numbers(self, work: Collection[int]) -> list[int]:
        """The numbers of all turns of pieces of work."""
        return [turn.number for number in work for turn in self.turns[number]]

    def item(self, work: int) -> Item:
        """A piece of work itself."""
        return self.turns[work][0].item

    def before_each(self, others: Mapping[int, Collection[int]], comes: Callable[[int, int], bool]) -> Iterator[Before]:
        """Of the others of each piece of work those that come before it."""
        for number, some in others.items():
            if first := [other for other in some if other != number and comes(other, number)]:
                yield Before(self.numbers(first), self.numbers([number]))


def _grouped(group: AnyOrder, turns: Sequence[Turn], known: Sequence[Effect], fixture: Fixture) -> _Group:
    turns_of: dict[int, list[Turn]] = {}
    for turn in turns:
        turns_of.setdefault(turn.work, []).append(turn)
    numbers = list(turns_of)
    effects = dict(zip(numbers, together(known, fixture), strict=True))
    areas = STRtree([effect.area for effect in effects.values()])

    def meeting(others: Sequence[shapely.Geometry]) -> dict[int, set[int]]:
        found: dict[int, set[int]] = {number: set() for number in numbers}
        for of, other in areas.query(others, predicate="intersects").T.tolist():
            found[numbers[of]].add(numbers[other])
        return found

    kept = [(numbers[first], numbers[second]) for first, second in group.keeping]
    placed = {number for pair in kept for number in pair}
    heads: dict[int, tuple[Polygon, ...]] = {}
    for number, item in zip(numbers, group.work, strict=True):
        if not isinstance(item, Stop):
            continue
        screws = [screw for screw in fixture.screws if screw.driven_at == item.message]
        heads[number] = tuple(Point(screw.x, screw.y).buffer(screw.head_diameter / 2) for screw in screws)
        if not screws and number not in placed:
            raise InputError(
                f"No screw is driven at the {called(item)} in any_order(), and nothing else says when it comes; name "
                "it in keeping, or put it into the list beside any_order()."
            )
    held = frozenset(number for number, effect in effects.items() if is_held(effect, fixture))
    meet, on_freed = (
        meeting(some) for some in ([e.area for e in effects.values()], [e.freed for e in effects.values()])
    )
    return _Group(turns_of, kept, effects, meet, on_freed, heads, held)


def _screws(group: _Group) -> Iterator[Before]:
    """Pilots, and all that cuts close to the heads, before the stop; what parts the wood around them after it."""
    numbers = np.array(list(group.effects))
    areas, freed = (STRtree([getattr(e, which) for e in group.effects.values()]) for which in ("area", "freed"))
    for stop, heads in group.heads.items():
        close, after = set[int](), set[int]()
        for head in heads:
            close.update(
                number
                for number in numbers[areas.query(head, predicate="dwithin", distance=_ROOM_AT_HEAD)].tolist()
                if shapely.distance(head, group.effects[number].area) < _ROOM_AT_HEAD
            )
            after.update(
                number
                for number in numbers[freed.query(head, predicate="intersects")].tolist()
                if shapely.distance(head, group.effects[number].area) >= _ROOM_AT_HEAD
            )
        for first, then in ((sorted(close), [stop]), ([stop], sorted(after))):
            if first and then:
                yield Before(group.numbers(first), group.numbers(then))


def _frees(group: _Group) -> Iterator[Before]:
    """What lies on a part of the board before the cut that frees it; inner parts before outer."""
    yield from group.before_each(group.on_freed, lambda a, b: _works_on_freed(group, a, b))


def _works_on_freed(group: _Group, a: int, b: int) -> bool:
    """Whether what cuts where another frees a part works on that part.

    Two cuts along one wall free one part: the rough one first, which leaves more of it.
    """
    one, two = group.effects[a], group.effects[b]
    if a in group.meet[b] and not one.waste and not two.waste and not one.freed.is_empty:
        both = shapely.intersection(one.area, two.area).area
        if both > min(one.area.area, two.area.area) / 2:
            return float(one.freed.area) > float(two.freed.area)
    return float(one.freed.area) < float(two.freed.area)


def _surface(group: _Group) -> Iterator[Before]:
    """What begins higher before what begins lower, where they meet."""
    top = {number: effect.top for number, effect in group.effects.items()}
    yield from group.before_each(group.meet, lambda a, b: top[a] > top[b] + ONE_HEIGHT)


def _drilled(group: _Group) -> Iterator[Before]:
    """Drilled holes before what cuts around them."""
    hole = {number: effect.hole for number, effect in group.effects.items()}
    yield from group.before_each(group.meet, lambda a, b: hole[a] and not hole[b])


def _dowels(group: _Group) -> Iterator[Before]:
    """The holes that the other side depends on before anything may have moved the board."""
    yield from _all_before(group, {number for number, effect in group.effects.items() if not effect.dowels})


def _last(group: _Group) -> Iterator[Before]:
    """All else before what frees a part, or leaves waste lying loose."""
    yield from _all_before(group, {number for number in group.effects if _lets_go(group, number)})


def _all_before(group: _Group, then: set[int]) -> Iterator[Before]:
    first = [number for number in group.effects if number not in then]
    if first and then:
        yield Before(group.numbers(first), group.numbers(then))


def _lets_go(group: _Group, work: int) -> bool:
    effect = group.effects[work]
    return not effect.freed.is_empty and not (effect.waste and work in group.held)


def _coarse(group: _Group) -> Iterator[Before]:
    """Coarse before fine, and clearing before following a wall, where they meet.

    A V cutter has no size to compare, nor has a rounding cutter; a drill was there first. An undercut cutter comes
    last: its entry hole is made before, and so is the face above its shoulders.
    """
    for number, others in group.meet.items():
        coarseness = {
            turn.number: (
                inf if turn.cutter.profile.kind == "undercut" else -turn.cutter.diameter,
                not group.effects[turn.work].clears,
            )
            for work in (number, *(other for other in others if other != number))
            for turn in group.turns[work]
            if turn.cutter is not None and turn.cutter.profile.kind not in ("V", "drill", "rounding")
        }
        own = group.numbers([number])
        for then in own:
            first = [a for a in coarseness if then in coarseness and a not in own and coarseness[a] < coarseness[then]]
            if first:
                yield Before(first, [then])


# Whether one turn comes before another, the strongest reason first.
RANKS: tuple[Callable[[_Group], Iterator[Before]], ...] = (
    _screws, _frees, _surface, _drilled, _dowels, _last, _coarse,
)  # fmt: skip


def _objections(group: _Group) -> Iterator[str]:
    """Notes on what the user keeps against a reason that guards the work."""
    kept: dict[int, list[int]] = {}
    for a, b in group.kept:
        kept.setdefault(a, []).append(b)
    for a in sorted(kept):
        freed = sorted(b for b in group.on_freed[a] if b != a and _works_on_freed(group, b, a))
        if a in group.held or not freed:
            continue
        later, follow = set[int](), [a]
        while follow:
            more = [b for b in kept.get(follow.pop(), ()) if b not in later]
            later.update(more)
            follow += more
        for b in freed:
            if b in later:
                first, second = called(group.item(a)), called(group.item(b))
                yield (
                    f"{first} comes before {second}, as keeping asks; it frees a piece on which {second} "
                    f"works, and nothing holds that. {second} before {first} works, or tabs."
                )
