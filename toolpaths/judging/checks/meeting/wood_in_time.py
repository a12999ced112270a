"""The run through time: wood is taken away, and the moves that are watched are looked at when they come.

A check watches some moves: in no cell that such a move passes may wood stand above some height. Wood is only ever
taken away, so a move with nothing in doubt in the wood of a while ago needs no newer wood. For the rest only the cells
in doubt are followed through time, by the moves that cut there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.profile import Profile
from toolpaths.judging.trial.case import Case, Trial, distinct
from toolpaths.judging.trial.findings import Meeting
from toolpaths.judging.wood.field import Grid, Heights, Wood, heights_at, own_copy
from toolpaths.judging.wood.moves import taken
from toolpaths.judging.wood.patches import highest_in_tiles
from toolpaths.judging.wood.removal import cells_covered, cuts, level_strips, portions, remove
from toolpaths.judging.wood.sweep import Flags, Ints, cells

# Watched moves taken at a time; cells looked at together, and cells that the moves between may cut meanwhile: few
# enough to stay in the cache. Far more are ruled out at once by the tiles.
_AT_A_TIME = 2_000
PORTION = 400_000
_BY_TILES = 10
# Cells to the side of the tiles by which most moves are seen to meet nothing.
_TILE = 8

Numbers = NDArray[np.int32]


class Body(NamedTuple):
    """What of a cutter may not meet wood: a solid, the mm by which it counts as smaller, and the mm by which wood may
    stand above its surface."""

    profile: Profile
    clearance: float
    above: float


class Watch(NamedTuple):
    """What a check looks for in some moves.

    code : of the finding
    moves : (n,) those that are watched
    body : of each cutter, what may not meet wood
    down_to_underside : whether what a cutter meets ends at the underside of the board, for a cutter that goes below it
    """

    code: str
    moves: Flags
    body: Callable[[Cutter], Body]
    down_to_underside: bool = True


# A move, the place on the board, how much is met.
Met = tuple[int, tuple[float, float, float], float]


class Doubts(NamedTuple):
    """c cells that watched moves pass, in the order of the program; (c,) each.

    move, watch : the move, and the index of the watch that looks at it
    cell, z, limit : flat index, height of the body there, height above which no wood may stand
    """

    move: Ints
    watch: Ints
    cell: Ints
    z: Floats
    limit: Floats

    def some(self, which: Ints | slice) -> Doubts:
        move, watch, cell, z, limit = self
        return Doubts(move[which], watch[which], cell[which], z[which], limit[which])

    def still(self, top: Heights) -> Doubts:
        """Those where too much stands as yet."""
        return self.some(np.flatnonzero(top.reshape(-1)[self.cell] > self.limit))


class Cuts(NamedTuple):
    """Cuts in the cells in doubt, in order: the move, the number of the cell among them, the height; (c,) each."""

    move: Ints
    number: Numbers
    z: Heights


class _Standing:
    """The wood as it stands before the move `next_move`; it only ever goes on to later ones.

    numbers : (cells of the board,) all 0, to work with
    """

    def __init__(self, case: Case, before: Wood) -> None:
        self.case, self.before = case, before
        self.top = own_copy(before.top)
        self.taking = case.cutting
        self.next_move = 0
        self.numbers = np.zeros(self.top.size, np.int32)

    def go_on_to(self, move: int) -> None:
        """Takes away what the moves before this one cut."""
        case, which = self.case, self.taken_until(move)
        for profile, mine in case.by_opening(which):
            remove(self.top, self.before.grid, taken(case.moves.path, mine), profile)
        self.next_move = move

    def taken_until(self, move: int) -> Ints:
        """The moves from now until before this one that cut."""
        return self.next_move + np.flatnonzero(self.taking[self.next_move : move])


def run(case: Case, before: Wood, watches: Sequence[Watch]) -> tuple[Wood, tuple[Meeting, ...]]:
    """The wood after the whole program, and what met wood that it should not have met, in the order of the program."""
    wood = _Standing(case, before)
    is_watched = np.zeros(len(case.moves.low), bool)
    for watch in watches:
        is_watched |= watch.moves
    watched = np.flatnonzero(is_watched)
    widest = max(cutter.diameter for cutter in case.cutters.values())
    # How many cells the moves before each cut, about.
    work = np.zeros(len(wood.taking) + 1)
    if len(watched):
        np.cumsum(cells_covered(before.grid, case.moves.path, widest) * wood.taking, out=work[1:])
    meetings: list[Meeting] = []
    while len(watched):
        some = _first_few(case, before, watched[:_AT_A_TIME], widest, _BY_TILES * PORTION)
        doubtful = some[_may_meet(wood, watches, some)]
        if len(doubtful):
            some = _first_few(case, before, doubtful, widest, PORTION)
        watched = watched[np.searchsorted(watched, some[-1], side="right") :]
        if not len(doubtful):
            continue
        doubts = _doubts(wood, watches, some)
        while len(doubts.cell):
            wood.go_on_to(int(doubts.move[0]))
            doubts = doubts.still(wood.top)
            enough = work[wood.next_move] + PORTION
            soon = int(np.searchsorted(work[doubts.move], enough, side="right"))
            if soon:
                meetings += _met(wood, watches, doubts.some(slice(soon)))
            doubts = doubts.some(slice(soon, None))
    wood.go_on_to(len(case.moves.low))
    cut_by = None if before.top_cuts is None else (*before.top_cuts, case)
    meetings.sort(key=lambda meeting: meeting.move)
    return replace(before, top=wood.top, top_cuts=cut_by), tuple(meetings)


def all_met(
    trial: Trial, watch: Watch, closer: Callable[[Trial, Ints], Iterator[Met]]
) -> Iterator[tuple[Cutter, Ints, Floats, Floats]]:
    """What watched moves met, by cutter: lines (k,), places (k, 3) as the program counts, and how much (k,).

    closer : looks between the centres of cells, at the moves that met nothing there
    """
    case = trial.case
    met = [meeting for meeting in trial.meetings if meeting.code == watch.code]
    others = watch.moves.copy()
    others[[meeting.move for meeting in met]] = False
    met += [Meeting(watch.code, *found) for found in closer(trial, np.flatnonzero(others))]
    met.sort(key=lambda meeting: meeting.move)
    for tool, cutter in case.cutters.items():
        some = [meeting for meeting in met if case.moves.tool[meeting.move] == tool]
        if some:
            places = case.work(np.array([meeting.place for meeting in some]))
            amounts = np.array([meeting.amount for meeting in some])
            yield cutter, case.moves.line[[meeting.move for meeting in some]], places, amounts


def _first_few(case: Case, before: Wood, moves: Ints, widest: float, most: int) -> Ints:
    """The first of these moves, at least one, that pass over about so many cells together at most."""
    return moves[slice(*next(portions(before.grid, case.moves.path[:, moves], widest, most)))]


def _may_meet(wood: _Standing, watches: Sequence[Watch], moves: Ints) -> Flags:
    """(k,) which of these moves may meet too much of the wood, judged by the highest cell of each tile."""
    case, grid = wood.case, wood.before.grid
    highest = highest_in_tiles(wood.top, _TILE)
    tiles = Grid(_TILE * grid.cell, grid.left, grid.low, *highest.shape)
    span, limit = np.zeros(len(moves)), np.full(len(moves), np.inf)
    for watch in watches:
        for tool in distinct(case.moves.tool[moves]):
            body = watch.body(case.cutters[tool])
            mine = watch.moves[moves] & (case.moves.tool[moves] == tool)
            span[mine] = np.maximum(span[mine], body.profile.radius)
            limit[mine] = np.minimum(limit[mine], case.moves.low[moves[mine]] + body.above)
    meets = np.zeros(len(moves), bool)
    # Half the diagonal of a tile: as far as a cell may lie from its middle.
    for strips, owner in level_strips(tiles, case.moves.path[:, moves], span + tiles.cell * 0.7072)[0]:
        tile, count = cells(tiles, strips)
        owner = np.repeat(owner, count)
        meets[owner[highest.reshape(-1)[tile] > limit[owner]]] = True
    return meets


def _doubts(wood: _Standing, watches: Sequence[Watch], moves: Ints) -> Doubts:
    """The cells that are in doubt in the wood as it stands."""
    case, before, top = wood.case, wood.before, wood.top.reshape(-1)
    none = np.zeros(0, np.intp)
    found = [Doubts(none, none, none, np.zeros(0), np.zeros(0))]
    for index, watch in enumerate(watches):
        watched = moves[watch.moves[moves]]
        for tool, mine in case.by_cutter(watched):
            body = watch.body(case.cutters[tool])
            for cell, z, move in cuts(before.grid, case.moves.path[:, mine], body.profile, body.clearance):
                # By the limit that most cells have first; the underside only matters where no wood is left.
                doubt = np.flatnonzero(top[cell] > z + body.above)
                cell, z, move = cell[doubt], z[doubt], mine[move[doubt]]
                underside = heights_at(before.bottom, cell)
                limit = np.maximum(underside, _floor(watch, z, underside) + body.above)
                found.append(Doubts(move, np.full(len(move), index), cell, z, limit))
    doubts = Doubts(*(np.concatenate(column) for column in zip(*found, strict=True)))
    return doubts.some(np.lexsort([doubts.watch, doubts.move])).still(wood.top)


def _floor(watch: Watch, z: Floats, underside: Heights) -> Floats:
    """(c,) height from which what is met is measured, for a body at heights z."""
    return np.maximum(z, underside) if watch.down_to_underside else z


def _met(wood: _Standing, watches: Sequence[Watch], doubts: Doubts) -> Iterator[Meeting]:
    """What is met in these cells, as they are cut from now on."""
    # For each cell in doubt one of the places in `doubts` where it stands, counted from 1.
    wood.numbers[doubts.cell] = np.arange(1, len(doubts.cell) + 1)
    place = wood.numbers[doubts.cell] - 1
    standing = wood.top.reshape(-1)[doubts.cell]
    cut = _cuts_there(wood, wood.taken_until(int(doubts.move[-1])))
    wood.numbers[doubts.cell] = 0
    begins = np.flatnonzero((np.diff(doubts.move, prepend=-1) != 0) | (np.diff(doubts.watch, prepend=-1) != 0))
    until, done = np.searchsorted(cut.move, doubts.move[begins]), 0
    for end, *cell in zip(until.tolist(), begins.tolist(), [*begins[1:].tolist(), len(doubts.cell)], strict=True):
        if end > done:
            np.minimum.at(standing, cut.number[done:end], cut.z[done:end])
            done = end
        which = slice(*cell)
        stands = standing[place[which]]
        if (stands > doubts.limit[which]).any():
            yield _worst(wood.before, watches, doubts.some(which), stands.astype(np.float64))


def _cuts_there(wood: _Standing, moves: Ints) -> Cuts:
    """The cuts of these moves in the cells that have a number."""
    case, grid = wood.case, wood.before.grid
    found = [Cuts(np.zeros(0, np.intp), np.zeros(0, np.int32), np.zeros(0, np.float32))]
    for profile, mine in case.by_opening(moves):
        for first, last in portions(grid, case.moves.path[:, mine], profile.diameter, PORTION):
            for cell, z, move in cuts(grid, case.moves.path[:, mine[first:last]], profile):
                number = wood.numbers[cell]
                some = np.flatnonzero(number)
                low = np.asarray(z[some], np.float32)
                found.append(Cuts(mine[first + move[some]], number[some] - np.int32(1), low))
    move, number, low = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.argsort(move, kind="stable")
    return Cuts(move[order], number[order], low[order])


def _worst(before: Wood, watches: Sequence[Watch], doubts: Doubts, stands: Floats) -> Meeting:
    """The cell in which one move that is watched meets most."""
    watch, grid = watches[int(doubts.watch[0])], before.grid
    floor = _floor(watch, doubts.z, heights_at(before.bottom, doubts.cell))
    amounts = np.where(stands > doubts.limit, stands - floor, 0.0)
    most = int(np.argmax(amounts))
    row, column = divmod(int(doubts.cell[most]), grid.columns)
    x, y = grid.left + (column + 0.5) * grid.cell, grid.low + (row + 0.5) * grid.cell
    return Meeting(watch.code, int(doubts.move[0]), (x, y, float(doubts.z[most])), float(amounts[most]))
