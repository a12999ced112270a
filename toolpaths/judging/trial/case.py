"""One program on one board: the facts that every check reads, and what the program did to the wood."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from operator import attrgetter
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats, values
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.facts.part import Part
from toolpaths.facts.profile import Profile
from toolpaths.judging.reader.motions import RAPID, Change, Event, Program
from toolpaths.judging.trial.cutter_in_spindle import cutters_in_spindle
from toolpaths.judging.trial.findings import Meeting
from toolpaths.judging.trial.known_places import settled
from toolpaths.judging.trial.moves_on_board import Moves, moves_on_board
from toolpaths.judging.trial.screw_stops import (
    ALONE,
    OtherPrograms,
    ScrewStop,
    messages_of,
    operator_stops,
    said_in_head,
    screw_stops,
    spoken,
)
from toolpaths.judging.wood.field import Wood, one_height
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1, Z0, Z1, deepest, lowest_so_far, taken
from toolpaths.judging.wood.sweep import Flags, Ints

# Moves that follow each other and are looked at as one, to see where none of them comes near; of fewer than so many
# each is looked at.
_TOGETHER, _VERY_MANY = 64, 5_000

_Found = TypeVar("_Found")


@dataclass(frozen=True, eq=False, repr=False)
class Case:
    """A program on the board that a fixture holds.

    cutters : by number
    moves : what it does
    events, changes : as in the program, but that `before` is the index of a move
    resumed : indices of the moves with which the place of the cutter is known again, after something unreadable
    screw_stops : by message, when the screws are driven that have one
    """

    program: Program
    fixture: Fixture
    cutters: dict[int, Cutter]
    moves: Moves
    events: tuple[Event, ...]
    changes: tuple[Change, ...]
    resumed: tuple[int, ...]
    screw_stops: Mapping[str, ScrewStop]

    def __repr__(self) -> str:
        return f"<Case: {len(self.moves)} moves on {self.fixture!r}>"

    def work(self, points: Floats) -> Floats:
        """Points (n, 3) of the board, as the program counts them."""
        return np.asarray(points - np.array(self.fixture.zero), np.float64)

    def point(self, x: float, y: float, z: float) -> tuple[float, float, float]:
        """A point of the board, as the program counts it."""
        x, y, z = self.work(np.array([[x, y, z]]))[0].tolist()
        return x, y, z

    def ends(self, which: Ints) -> Floats:
        """(k, 3) end points of these moves, as the program counts them."""
        return self.work(self.moves.path[[[X1], [Y1], [Z1]], which].T)

    def low_ends(self, which: Ints) -> Floats:
        """(k, 3) the lower end points of these moves, as the program counts them."""
        path = self.moves.path[:, which]
        rising = path[Z0] < path[Z1]
        return self.work(np.where(rising, path[[X0, Y0, Z0]], path[[X1, Y1, Z1]]).T)

    def places_before(self, moves: Sequence[int]) -> Floats:
        """(k, 3) where the cutter stands before each of these moves, as the program counts; NaN before the first."""
        before = np.asarray(moves, np.intp) - 1
        places = np.full((len(before), 3), np.nan)
        places[before >= 0] = self.ends(before[before >= 0])
        return places

    def place_before(self, move: int) -> tuple[float, float, float]:
        """Where the cutter stands before a move, as the program counts."""
        x, y, z = self.places_before([move])[0].tolist()
        return x, y, z

    @cached_property
    def known(self) -> Flags:
        """(n,) moves of the cutters that were given."""
        return np.isin(self.moves.tool, np.array(list(self.cutters)))

    @cached_property
    def cutting(self) -> Flags:
        """(n,) moves that take wood away if it stands in their way; not such as an earlier one has left nothing for."""
        found = self.moves.below(0.0) & ~self.moves.again & self.known
        # Every check reads the same array: one that narrows it down for itself has to make its own.
        found.setflags(write=False)
        return found

    @cached_property
    def cutting_moves(self) -> Ints:
        """(k,) which these are."""
        return np.flatnonzero(self.cutting)

    @cached_property
    def lowest_moves(self) -> Ints:
        """(m,) those of them that no other of the same cutter repeats along the same path as low or lower: they leave
        the wood as all do. The deepest come last."""
        found = [mine[deepest(taken(self.moves.path, mine))] for _, mine in self.by_opening(self.cutting_moves)]
        which = np.sort(np.concatenate([np.empty(0, np.intp), *found]))
        return which[np.argsort(-self.moves.low[which], kind="stable")]

    @cached_property
    def overlap(self) -> float:
        """About how many of them pass over each place where any does."""
        which = self.cutting_moves
        if not len(which):
            return 0.0
        wide = 2 * self.radii(which)
        left, right, bottom, top = self.moves.box[:, which]
        area = (right.max() - left.min() + wide.max()) * (top.max() - bottom.min() + wide.max())
        return float(((self.moves.length[which] + wide) * wide).sum() / area)

    def by_cutter(self, which: Ints) -> Iterator[tuple[int, Ints]]:
        """Of these moves those of each cutter: its number, and (k,) the moves."""
        return _alike(self.moves.tool, which)

    def by_opening(self, which: Ints) -> Iterator[tuple[Profile, Ints]]:
        """Of these moves of known cutters those that open the wood alike from above: the profile that is open there
        then, and (k,) the moves.

        That is the cutter's own; of an undercut cutter its head where it came straight down from above the board, or
        from where a rapid went sideways, else its neck. So a shoulder counts as standing until something takes it from
        above; what lies open below it is known to trial/undercuts.py.
        """
        for opening, mine in _alike(self._opening, which):
            yield self._opening_profile(opening), mine

    def openings_in_turn(self, which: Ints) -> Iterator[tuple[Profile, Ints]]:
        """As by_opening(), but in the order of the moves: each profile anew whenever it comes after another."""
        opening = self._opening[which]
        for mine in np.split(which, np.flatnonzero(np.diff(opening)) + 1) if len(which) else ():
            yield self._opening_profile(int(self._opening[mine[0]])), mine

    def _opening_profile(self, opening: int) -> Profile:
        profile = self.cutters[abs(opening)].profile
        return profile if opening > 0 else profile.opens_sideways

    @cached_property
    def _opening(self) -> Ints:
        """(n,) the cutter's number; below 0 where it opens no more than its neck."""
        moves = self.moves
        necked = list(self.undercutting)
        if not necked:
            return moves.tool
        chain = np.cumsum(~moves.upright | (np.diff(moves.tool, prepend=-1) != 0))
        # A move that leads there sideways has been there at its end alone; a rapid goes through air, or is found.
        reached = np.where(moves.kind == RAPID, np.maximum(moves.path[Z1], 0.0), moves.path[Z1])
        reached = np.where(moves.upright, np.maximum(moves.path[Z0], moves.path[Z1]), reached)
        highest = -lowest_so_far(-reached, chain)
        below = np.isin(moves.tool, necked) & ~(moves.upright & (highest >= 0))
        return np.where(below, -moves.tool, moves.tool)

    def under_shoulders(self) -> Iterator[tuple[Cutter, Ints]]:
        """Of each undercut cutter the moves (k,) that cut with its head below wood that may stand."""
        for opening, mine in _alike(self._opening, self.cutting_moves) if self.undercutting else ():
            if opening < 0:
                yield self.cutters[-opening], mine

    @property
    def undercutting(self) -> dict[int, Cutter]:
        """The undercut cutters among those given, by number."""
        return {number: cutter for number, cutter in self.cutters.items() if cutter.profile.kind == "undercut"}

    def radii(self, which: Ints) -> Floats:
        """(k,) mm, radius of the cutter of each of these moves; 0 if it was not given."""
        return np.asarray(self._radius[which])

    @cached_property
    def _radius(self) -> Floats:
        """(n,) mm, as radii() of all moves: asked for whenever places and moves are brought together."""
        return self._of_cutters(np.arange(len(self.moves)), attrgetter("radius"))

    @cached_property
    def _blocks(self) -> tuple[Floats, Floats]:
        """(4, b) a box about every so many moves that follow each other, and (b,) mm, the largest radius of their
        cutters."""
        begin = np.arange(0, len(self.moves), _TOGETHER)
        box = np.empty((4, len(begin)))
        for side, of_all in enumerate(self.moves.box):
            (np.maximum if side % 2 else np.minimum).reduceat(of_all, begin, out=box[side])
        return box, np.maximum.reduceat(self._radius, begin)

    def in_blocks_near(self, which: Ints, near: Callable[[Floats, Floats], Flags]) -> Ints:
        """Of very many moves, rising or not, those of which a whole block may come near; of fewer all.

        near : of boxes (4, b), as in Moves, and radii (b,), which of them do
        """
        if len(which) < _VERY_MANY:
            return which
        return which[near(*self._blocks)[which // _TOGETHER]]

    def points(self, which: Ints) -> Floats:
        """(k,) mm from the tip up to the full width of the cutter of each of these moves; 0 if it was not given."""
        return self._of_cutters(which, attrgetter("profile.tip_height"))

    def _of_cutters(self, which: Ints, length: Callable[[Cutter], float]) -> Floats:
        tool, number = self.moves.tool[which], np.array(sorted(self.cutters))
        lengths = np.array([length(self.cutters[each]) for each in number.tolist()])
        nth = np.minimum(np.searchsorted(number, tool), len(number) - 1)
        return np.where(number[nth] == tool, lengths[nth], 0.0)

    def widest(self, tool: int) -> float:
        """mm; largest radius of the cutter, its shank and its nut."""
        cutter = self.cutters.get(tool)
        return max(cutter.radius, cutter.body.shank_diameter / 2, cutter.nut_diameter / 2) if cutter else 0.0

    def name(self, tool: int) -> str:
        """Of a cutter, as messages have it."""
        return str(self.cutters[tool]) if tool in self.cutters else f"T{tool}"

    def stands_from(self, thing: HoldDown) -> int:
        """The first move for which a hold-down may stand in the way; beyond all where its stop does not come."""
        return self.screw_stops[thing.driven_at].stands if thing.driven_at else 0

    def holds_from(self, thing: HoldDown) -> int:
        """The first move for which a hold-down surely holds; beyond all where its stop may not come."""
        return self.screw_stops[thing.driven_at].holds if thing.driven_at else 0


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Trial:
    """A program and what it did to the wood: what the checks read that need the wood.

    before, after : the wood before and after the program, on one grid
    meetings : what watched moves met, in the order of the program
    part : what was meant, if it is known
    thinnest_web : mm, least thickness that may be left anywhere; 0 if no limit was set
    """

    case: Case
    before: Wood
    after: Wood
    part: Part | None
    thinnest_web: float
    meetings: tuple[Meeting, ...]
    _found: dict[Callable[[Trial], object], object] = field(default_factory=dict, init=False)

    def __repr__(self) -> str:
        return f"<Trial: {self.case!r}>"

    def once(self, find: Callable[[Trial], _Found]) -> _Found:
        """What a function of the trial finds, worked out once however many checks ask for it."""
        if find not in self._found:
            self._found[find] = find(self)
        return cast(_Found, self._found[find])


def make_case(program: Program, fixture: Fixture, cutters: Iterable[Cutter], programs: OtherPrograms = ALONE) -> Case:
    """A program laid on the board, each move with the cutter that is in the spindle.

    programs : the others that are run on this side, in the same fixture

    Raises InputError without cutters.
    """
    known = rack(values("cutters", cutters, Cutter))
    if not known:
        raise InputError("cutters is empty; give at least one cutter.")
    places = settled(program, fixture)
    places.fresh[list(program.resumed), :2] = True
    tool = cutters_in_spindle(program, places.motions, tuple(known))
    moves = moves_on_board(places, tool, fixture.zero)
    events, changes, resumed = program.events, program.changes, program.resumed
    if len(moves) > len(places.motions):
        first = np.searchsorted(moves.motion, np.arange(len(places.motions) + 1)).tolist()
        events = tuple(replace(event, before=first[event.before]) for event in events)
        changes = tuple(change._replace(before=first[change.before]) for change in changes)
        resumed = tuple(first[motion] for motion in resumed)
    messages = messages_of(fixture)
    stops, by_head = (operator_stops(program, events, known), said_in_head(program, messages)) if messages else ((), {})
    driven = screw_stops(fixture, stops, len(moves), programs, by_head)
    return Case(program, fixture, known, moves, events, changes, resumed, driven)


def programs_before(stock: Wood, fixture: Fixture) -> OtherPrograms:
    """What is known of the programs that cut the upper face of some wood."""
    if stock.top_cuts is None:
        return OtherPrograms(driven_before=not one_height(stock.top))
    wanted = {spoken(message) for message in messages_of(fixture)}
    stops = [
        stop
        for case in (stock.top_cuts if wanted else ())
        for stop in operator_stops(case.program, case.events, case.cutters)
        # What else another fixture has its screws driven at is none of this one.
        if case.fixture == fixture or not wanted.isdisjoint(stop.words)
    ]
    return OtherPrograms(tuple(stops), judged=bool(stock.top_cuts))


def _alike(number: Ints, which: Ints) -> Iterator[tuple[int, Ints]]:
    """Of these moves those of each number (n,): the number, and (k,) the moves."""
    mine = number[which]
    order = np.argsort(mine, kind="stable")
    first = np.flatnonzero(np.diff(mine[order], prepend=mine[order[:1]] - 1)).tolist()
    for begin, end in pairwise([*first, len(order)]):
        yield int(mine[order[begin]]), which[order[begin:end]]


def distinct(numbers: NDArray[Any]) -> list[Any]:
    """Each number once, in order; numpy's own way loads a module that takes longer than all checks."""
    return sorted(set(numbers.tolist()))
