"""What has to come before what, in work that may be done in any order: told from what each piece of it leaves.

Reasons come in ranks. What was asked for holds always; each rank below gives way wherever it would close
a ring with those above, so that no reason is ever traded for a weaker one, and there is always an order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.work import AnyOrder, Stop, called

# Pieces smaller than this, mm2, are slivers between two drawn edges.
_SLIVER = 1.0
# Heights nearer than this, mm, are one; so much may a hole fall short of its dowel.
_SAME = 0.01
# Room that a cut keeps to the head of a screw, mm.
_BESIDE_HEAD = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """What a piece of work does to the board, areas as seen from the front, heights from the face of its side.

    area : where it takes wood
    top, floor : z at which it begins, and at which it ends at the deepest
    through : where it leaves no wood at all
    freed : what its cut goes round or splits off, the cut included; empty if it parts nothing
    tabs : whether tabs hold that
    waste : whether all that is waste
    hole : whether it is drilled holes only
    clears : whether it clears areas only
    dowels : whether it makes a hole for a dowel
    """

    area: BaseGeometry
    top: float = 0.0
    floor: float = 0.0
    through: BaseGeometry = field(default_factory=Polygon)
    freed: BaseGeometry = field(default_factory=Polygon)
    tabs: bool = False
    waste: bool = False
    hole: bool = False
    clears: bool = False
    dowels: bool = False


def facts(operation: Operation, fixture: Fixture, tolerance: float) -> Facts:
    """The facts of an operation, for any board, however it lies."""
    features, thick = operation.parts(tolerance), fixture.board.thickness
    radius = max(cutter.radius for cutter in operation.cutters_in_turn)
    depths = [-feature.floor(fixture.board) for feature in features]
    areas = [f.taken(deep + operation.top, radius) for f, deep in zip(features, depths, strict=True)]
    through = shapely.union_all([a for a, deep in zip(areas, depths, strict=True) if deep >= thick - _SAME])
    partings = [feature for feature in features if feature.waste_side]
    return Facts(
        area=shapely.union_all(areas),
        top=operation.top,
        floor=-max(depths, default=0.0),
        through=through,
        freed=_freed(through, fixture),
        tabs=operation.has_tabs,
        waste=bool(partings) and all(parting.waste_side == "inside" for parting in partings),
        hole=bool(features) and all(feature.hole for feature in features),
        clears=all(feature.level for feature in features),
        dowels=not fixture.turned
        and any(
            max(depths, default=0.0) >= thick + dowel.depth - _SAME and through.intersects(Point(dowel.x, dowel.y))
            for dowel in fixture.dowels
        ),
    )


def _freed(through: BaseGeometry, fixture: Fixture) -> BaseGeometry:
    """A cut right through, with what it goes round, and with all but the largest of what it splits the board into."""
    cuts = [part for part in shapely.get_parts(through) if isinstance(part, Polygon)]
    filled = shapely.union_all([Polygon(part.exterior) for part in cuts])
    beside = [p for p in shapely.get_parts(shapely.difference(fixture.board.outline, filled)) if p.area > _SLIVER]
    beside.sort(key=lambda part: part.area)
    freed = shapely.union_all([filled, *beside[:-1]])
    return freed if freed.area > through.area + _SLIVER else Polygon()


def _together(known: Sequence[Facts], fixture: Fixture) -> list[Facts]:
    """The facts of a group, where cuts that part nothing alone free a piece together: each without which it stays."""
    found = list(known)
    cuts = {k: one.through for k, one in enumerate(known) if one.freed.is_empty and not one.through.is_empty}
    every = shapely.union_all(list(cuts.values()))
    freed = _freed(every, fixture)
    for k in cuts if not freed.is_empty else ():
        others = _freed(shapely.union_all([cut for j, cut in cuts.items() if j != k]), fixture)
        pieces = shapely.get_parts(shapely.difference(freed, shapely.union(every, others)))
        if more := [piece for piece in pieces if piece.area > _SLIVER]:
            found[k] = replace(known[k], freed=shapely.union_all([known[k].through, *more]))
    return found


# One turn of a group: the number of its piece of work, and its cutter, None for a stop.
Turn = tuple[int, Cutter | None]


def needs_of(
    group: AnyOrder, turns: Sequence[Turn], known: Sequence[Facts], fixture: Fixture
) -> tuple[list[int], list[str]]:
    """For each turn those that have to come before it, as bits of a number; and notes.

    turns : those of each piece of work, one after the other
    known : the facts of each piece of work, those of a stop empty
    Raises InputError for a stop that nothing places.
    """
    what = _Reasons(group, turns, _together(known, fixture), fixture)
    count = len(what.turns)
    after = [0] * count
    for a, b in what.asked():
        after[a] |= 1 << b
    notes = list(what.objections(_reached(after)))
    for reason in (what.screws, what.frees, what.surface, what.drilled, what.dowels, what.last, what.coarse):
        more = [sum(1 << b for b in range(count) if a != b and reason(a, b)) for a in range(count)]
        reached = _reached([old | new for old, new in zip(after, more, strict=True)])
        for a in range(count):
            after[a] |= sum(1 << b for b in bits(more[a]) if not reached[b] >> a & 1)
    return [sum(1 << a for a in range(count) if after[a] >> b & 1) for b in range(count)], notes


class _Reasons:
    """The reasons for which one turn of a group comes before another. Each method is one rank."""

    def __init__(self, group: AnyOrder, turns: Sequence[Turn], known: Sequence[Facts], fixture: Fixture) -> None:
        self.group, self.turns, self.fixture = group, turns, fixture
        self.facts = [known[number] for number, _ in turns]
        areas, freed = np.array([f.area for f in known]), np.array([f.freed for f in known])
        shapely.prepare(areas)
        self._meet = shapely.intersects(areas[:, None], areas[None, :])
        self._on_freed = shapely.intersects(areas[:, None], freed[None, :])
        self._driven = {
            number: [Point(s.x, s.y).buffer(s.head_diameter / 2) for s in fixture.screws if s.driven_at == item.message]
            for number, item in enumerate(group.work)
            if isinstance(item, Stop)
        }
        asked = {number for pair in group.keeping for number in pair}
        for number, heads in self._driven.items():
            if not heads and number not in asked:
                raise InputError(
                    f"No screw is driven at the {called(group.work[number])} in any_order(), and nothing else says "
                    "when it comes; name it in keeping, or put it into the list beside any_order()."
                )

    def _two(self, a: int, b: int) -> tuple[int, int, Facts, Facts]:
        return self.turns[a][0], self.turns[b][0], self.facts[a], self.facts[b]

    def asked(self) -> Iterator[tuple[int, int]]:
        """The stages of an operation in order, and what `keeping` says."""
        for a, (i, _) in enumerate(self.turns):
            for b, (j, _) in enumerate(self.turns):
                if (i == j and a < b) or (i, j) in self.group.keeping:
                    yield a, b

    def screws(self, a: int, b: int) -> bool:
        """Pilots, and all that cuts close to the heads, before the stop; what parts the wood around them after it."""
        i, j, one, two = self._two(a, b)
        if j in self._driven:
            return any(shapely.distance(head, one.area) < _BESIDE_HEAD for head in self._driven[j])
        near = [head for head in self._driven.get(i, ()) if two.freed.intersects(head)]
        return any(shapely.distance(head, two.area) >= _BESIDE_HEAD for head in near)

    def frees(self, a: int, b: int) -> bool:
        """What lies on a piece before the cut that frees it; inner pieces before outer.

        Two cuts along one wall free one piece: the rough one first, which leaves more of it.
        """
        i, j, one, two = self._two(a, b)
        if i == j or not self._on_freed[i, j]:
            return False
        if self._meet[i, j] and not one.waste and not two.waste and not one.freed.is_empty:
            both = shapely.intersection(one.area, two.area).area
            if both > min(one.area.area, two.area.area) / 2:
                return float(one.freed.area) > float(two.freed.area)
        return float(one.freed.area) < float(two.freed.area)

    def surface(self, a: int, b: int) -> bool:
        """What begins higher before what begins lower, where they meet."""
        i, j, one, two = self._two(a, b)
        return bool(self._meet[i, j]) and one.top > two.top + _SAME

    def drilled(self, a: int, b: int) -> bool:
        """Drilled holes before what cuts around them."""
        i, j, one, two = self._two(a, b)
        return bool(self._meet[i, j]) and one.hole and not two.hole

    def dowels(self, a: int, b: int) -> bool:
        """The holes that the other side depends on before anything may have moved the board."""
        one, two = self.facts[a], self.facts[b]
        return one.dowels and not two.dowels

    def last(self, a: int, b: int) -> bool:
        """All else before what frees a part, or leaves waste lying loose."""
        return self._lets_go(self.facts[b]) and not self._lets_go(self.facts[a])

    def coarse(self, a: int, b: int) -> bool:
        """Coarse before fine, and clearing before following a wall, where they meet.

        A V cutter has no size to compare, a drill was there first.
        """
        i, j, one, two = self._two(a, b)
        first, second = self.turns[a][1], self.turns[b][1]
        if i == j or not self._meet[i, j] or first is None or second is None:
            return False
        if {first.profile.kind, second.profile.kind} & {"V", "drill"}:
            return False
        return (-first.diameter, not one.clears) < (-second.diameter, not two.clears)

    def _held(self, known: Facts) -> bool:
        """Whether something holds what is freed: tabs, screws, clamps or what grips it from below."""
        inside = shapely.difference(known.freed, known.area)
        holds = [Point(s.x, s.y) for s in self.fixture.screws]
        holds += [c.area for c in self.fixture.clamps] + list(self.fixture.grips)
        return known.tabs or all(
            any(piece.intersects(hold) for hold in holds) for piece in shapely.get_parts(inside) if piece.area > _SLIVER
        )

    def _lets_go(self, known: Facts) -> bool:
        return not known.freed.is_empty and not (known.waste and self._held(known))

    def objections(self, asked: Sequence[int]) -> Iterator[str]:
        """Notes on what was asked for against a reason that guards the work."""
        names = [called(item) for item in self.group.work]
        seen: set[tuple[int, int]] = set()
        for a in range(len(self.turns)):
            for b in bits(asked[a]):
                i, j, one, _ = self._two(a, b)
                if i == j or (i, j) in seen:
                    continue
                seen.add((i, j))
                if self.frees(b, a) and not self._held(one):
                    yield (
                        f"{names[i]} comes before {names[j]}, as keeping asks; it frees a piece on which {names[j]} "
                        f"works, and nothing holds that. {names[j]} before {names[i]} works, or tabs."
                    )


def bits(mask: int) -> Iterator[int]:
    """The numbers in a set that is kept as the bits of one."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def _reached(after: Sequence[int]) -> list[int]:
    """For each number all that come after it, also by way of others (Warshall 1962)."""
    reached = list(after)
    for middle in range(len(reached)):
        for number in range(len(reached)):
            if reached[number] >> middle & 1:
                reached[number] |= reached[middle]
    return reached
