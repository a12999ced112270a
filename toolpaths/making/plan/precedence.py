"""What has to come before what, in work that may be done in any order: it follows from what each does to the board.

Reasons come in ranks. What the user keeps holds always; each rank below gives way wherever it would close a ring with
those above, so that no reason is ever traded for a weaker one, and there is always an order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Point, Polygon

from toolpaths.base.errors import InputError
from toolpaths.facts.fixture import Fixture
from toolpaths.making.plan.cutter_turn import Turn
from toolpaths.making.plan.effect import ONE_HEIGHT, Effect, is_held, together
from toolpaths.making.plan.work import AnyOrder, Stop, called

# Room that a cut keeps to the head of a screw, mm.
_ROOM_AT_HEAD = 2.0

# Of each turn, by its number, the numbers of those that come after it.
Later = dict[int, set[int]]


def with_precedence(
    group: AnyOrder, turns: Sequence[Turn], known: Sequence[Effect], fixture: Fixture
) -> tuple[list[Turn], list[str]]:
    """The turns of a group, each with those that have to come before it; and notes on what the user keeps.

    turns : those of each piece of work, one after the other
    known : the effect of each piece of work, that of a stop empty
    Raises InputError for a stop that nothing places.
    """
    what = _grouped(group, turns, known, fixture)
    later: Later = {turn.number: set() for turn in turns}
    for first, second in _kept(what):
        later[first.number].add(second.number)
    notes = list(_objections(what, _reached(later)))
    for rank in RANKS:
        more = {a.number: {b.number for b in turns if a is not b and rank(what, a, b)} for a in turns}
        reached = _reached({number: later[number] | more[number] for number in later})
        for number in later:
            later[number] |= {other for other in more[number] if number not in reached[other]}
    return [replace(turn, after=frozenset(n for n in later if turn.number in later[n])) for turn in turns], notes


def _reached(later: Later) -> Later:
    """For each number all that come after it, also by way of others (Warshall 1962)."""
    reached = {number: set(others) for number, others in later.items()}
    for middle in reached:
        for others in reached.values():
            if middle in others:
                others |= reached[middle]
    return reached


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """A group as the ranks look at it; pieces of work by their numbers among all.

    kept : pairs of pieces of work, the first of which the user has done before the second
    effects : what each does to the board
    meet : pairs whose areas meet
    on_freed : pairs of which the first cuts where the second frees a part of the board
    heads : of each stop the heads of the screws that are driven at it, as seen from the front
    held : those of which something holds all that they free
    """

    turns: tuple[Turn, ...]
    kept: frozenset[tuple[int, int]]
    effects: Mapping[int, Effect]
    meet: frozenset[tuple[int, int]]
    on_freed: frozenset[tuple[int, int]]
    heads: Mapping[int, tuple[Polygon, ...]]
    held: frozenset[int]


def _grouped(group: AnyOrder, turns: Sequence[Turn], known: Sequence[Effect], fixture: Fixture) -> _Group:
    numbers = list(dict.fromkeys(turn.work for turn in turns))
    effects = dict(zip(numbers, together(known, fixture), strict=True))
    areas, freed = np.array([e.area for e in effects.values()]), np.array([e.freed for e in effects.values()])
    shapely.prepare(areas)

    def pairs(others: np.ndarray) -> frozenset[tuple[int, int]]:
        found = np.argwhere(shapely.intersects(areas[:, None], others[None, :]))
        return frozenset((numbers[i], numbers[j]) for i, j in found.tolist())

    kept = frozenset((numbers[first], numbers[second]) for first, second in group.keeping)
    heads: dict[int, tuple[Polygon, ...]] = {}
    for number, item in zip(numbers, group.work, strict=True):
        if not isinstance(item, Stop):
            continue
        screws = [screw for screw in fixture.screws if screw.driven_at == item.message]
        heads[number] = tuple(Point(screw.x, screw.y).buffer(screw.head_diameter / 2) for screw in screws)
        if not screws and not any(number in pair for pair in kept):
            raise InputError(
                f"No screw is driven at the {called(item)} in any_order(), and nothing else says when it comes; name "
                "it in keeping, or put it into the list beside any_order()."
            )
    held = frozenset(number for number, effect in effects.items() if is_held(effect, fixture))
    return _Group(tuple(turns), kept, effects, pairs(areas), pairs(freed), heads, held)


def _kept(group: _Group) -> Iterator[tuple[Turn, Turn]]:
    """The stages of an operation in order, and what the user keeps."""
    for a in group.turns:
        for b in group.turns:
            if (a.work == b.work and a.number < b.number) or (a.work, b.work) in group.kept:
                yield a, b


def _screws(group: _Group, a: Turn, b: Turn) -> bool:
    """Pilots, and all that cuts close to the heads, before the stop; what parts the wood around them after it."""
    one, two = group.effects[a.work], group.effects[b.work]
    if b.work in group.heads:
        return any(shapely.distance(head, one.area) < _ROOM_AT_HEAD for head in group.heads[b.work])
    parted = [head for head in group.heads.get(a.work, ()) if two.freed.intersects(head)]
    return any(shapely.distance(head, two.area) >= _ROOM_AT_HEAD for head in parted)


def _frees(group: _Group, a: Turn, b: Turn) -> bool:
    """What lies on a part of the board before the cut that frees it; inner parts before outer.

    Two cuts along one wall free one part: the rough one first, which leaves more of it.
    """
    if a.work == b.work or (a.work, b.work) not in group.on_freed:
        return False
    one, two = group.effects[a.work], group.effects[b.work]
    if (a.work, b.work) in group.meet and not one.waste and not two.waste and not one.freed.is_empty:
        both = shapely.intersection(one.area, two.area).area
        if both > min(one.area.area, two.area.area) / 2:
            return float(one.freed.area) > float(two.freed.area)
    return float(one.freed.area) < float(two.freed.area)


def _surface(group: _Group, a: Turn, b: Turn) -> bool:
    """What begins higher before what begins lower, where they meet."""
    return (a.work, b.work) in group.meet and group.effects[a.work].top > group.effects[b.work].top + ONE_HEIGHT


def _drilled(group: _Group, a: Turn, b: Turn) -> bool:
    """Drilled holes before what cuts around them."""
    return (a.work, b.work) in group.meet and group.effects[a.work].hole and not group.effects[b.work].hole


def _dowels(group: _Group, a: Turn, b: Turn) -> bool:
    """The holes that the other side depends on before anything may have moved the board."""
    return group.effects[a.work].dowels and not group.effects[b.work].dowels


def _last(group: _Group, a: Turn, b: Turn) -> bool:
    """All else before what frees a part, or leaves waste lying loose."""
    return _lets_go(group, b) and not _lets_go(group, a)


def _lets_go(group: _Group, turn: Turn) -> bool:
    effect = group.effects[turn.work]
    return not effect.freed.is_empty and not (effect.waste and turn.work in group.held)


def _coarse(group: _Group, a: Turn, b: Turn) -> bool:
    """Coarse before fine, and clearing before following a wall, where they meet.

    A V cutter has no size to compare, a drill was there first.
    """
    if a.work == b.work or (a.work, b.work) not in group.meet or a.cutter is None or b.cutter is None:
        return False
    if {a.cutter.profile.kind, b.cutter.profile.kind} & {"V", "drill"}:
        return False
    one, two = group.effects[a.work], group.effects[b.work]
    return (-a.cutter.diameter, not one.clears) < (-b.cutter.diameter, not two.clears)


# Whether one turn comes before another, the strongest reason first.
RANKS: tuple[Callable[[_Group, Turn, Turn], bool], ...] = (
    _screws, _frees, _surface, _drilled, _dowels, _last, _coarse,
)  # fmt: skip


def _objections(group: _Group, later: Later) -> Iterator[str]:
    """Notes on what the user keeps against a reason that guards the work."""
    seen: set[tuple[int, int]] = set()
    for a in group.turns:
        for b in group.turns:
            if b.number not in later[a.number] or a.work == b.work or (a.work, b.work) in seen:
                continue
            seen.add((a.work, b.work))
            if _frees(group, b, a) and a.work not in group.held:
                first, second = called(a.item), called(b.item)
                yield (
                    f"{first} comes before {second}, as keeping asks; it frees a piece on which {second} "
                    f"works, and nothing holds that. {second} before {first} works, or tabs."
                )
