"""What certain moves meet in the wood as it stands when they come: rapids, plunges, deep flutes.

A move asks about each cell that it passes: wood must not stand above some height there. Wood only ever
goes away, so a move with no doubt in the wood of a while ago needs no newer wood. For the rest only the
cells in doubt are followed through time, by the moves that cut there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.profile import Profile, flat
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.findings import SHAVING
from toolpaths.judging.wood.field import Grid, Heights, Wood, heights_at
from toolpaths.judging.wood.removal import cuts, level_strips, portions
from toolpaths.judging.wood.sweep import Flags, Ints, cells

# Cells that are asked about at a time, and that the moves between may cut meanwhile: few enough to stay
# in the cache.
PORTION = 400_000
# Cells to the side of the tiles by which most moves are seen to meet nothing.
_TILE = 8

Places = NDArray[np.int32]


class Meeting(NamedTuple):
    """A move that met standing wood: what was wrong, where on the board, and how much."""

    code: str
    move: int
    place: tuple[float, float, float]
    amount: float


class Doubts(NamedTuple):
    """c cells about which moves ask, in the order of the program; (c,) each.

    question : twice the number of the move, and 1 more if it asks about wood beside its flutes, not in its way
    cell, z, limit : flat index, height of the cutter there, height above which no wood may stand
    """

    question: Ints
    cell: Ints
    z: Floats
    limit: Floats


def may_meet(case: Case, stock: Wood, top: Heights, in_the_way: Flags, moves: Ints) -> Flags:
    """(k,) which of these moves may meet too much of the wood `top`, judged by the highest cell of each tile.

    in_the_way : (n,) the moves that ask about wood in their way; the others only about wood beside their flutes
    """
    grid = stock.grid
    rows, columns = -(-grid.rows // _TILE), -(-grid.columns // _TILE)
    padded = np.full((rows * _TILE, columns * _TILE), -np.inf, np.float32)
    padded[: grid.rows, : grid.columns] = top
    highest = padded.reshape(rows, _TILE, -1).max(axis=1).reshape(-1, _TILE).max(axis=1)
    tiles = Grid(_TILE * grid.cell, grid.left, grid.low, rows, columns)
    span, limit = np.zeros(len(moves)), case.low[moves] + SHAVING
    for tool in distinct(case.tool[moves]):
        mine, cutter = case.tool[moves] == tool, case.cutters[tool]
        span[mine] = max(cutter.radius, _beside(cutter).radius)
        limit[mine & ~in_the_way[moves]] += cutter.body.cutting_length
    meets = np.zeros(len(moves), bool)
    # Half the diagonal of a tile: as far as a cell may lie from its middle.
    for strips, owner in level_strips(tiles, case.table[:, moves], span + tiles.cell * 0.7072)[0]:
        tile, count = cells(tiles, strips)
        owner = np.repeat(owner, count)
        meets[owner[highest[tile] > limit[owner]]] = True
    return meets


def put(case: Case, stock: Wood, top: Heights, in_the_way: Ints, deep: Ints) -> Doubts:
    """The cells that are in doubt in the wood `top`: in the way of the ones, and beside the flutes of the others."""
    none = np.zeros(0, np.intp)
    found: list[tuple[Ints, Ints, Floats, Floats]] = [(none, none, np.zeros(0), np.zeros(0))]
    wood = top.reshape(-1)
    for kind, moves in ((0, in_the_way), (1, deep)):
        for tool in distinct(case.tool[moves]):
            some, cutter = moves[case.tool[moves] == tool], case.cutters[tool]
            profile, clearance = (_beside(cutter), 0.0) if kind else (cutter.profile, SHAVING)
            above = SHAVING + (cutter.body.cutting_length if kind else 0.0)
            for cell, z, move in cuts(stock.grid, case.table[:, some], profile, clearance):
                # By the limit that most cells have first; the bottom only matters where the wood is gone.
                doubt = np.flatnonzero(wood[cell] > z + above)
                cell, z, question = cell[doubt], z[doubt], some[move[doubt]] * 2 + kind
                bottom = heights_at(stock.bottom, cell)
                limit = np.maximum(bottom, z + above) if kind else np.maximum(bottom, z) + above
                found.append((question, cell, z, limit))
    question, cell, z, limit = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.argsort(question, kind="stable")
    return in_doubt(Doubts(question[order], cell[order], z[order], limit[order]), top)


def _beside(cutter: Cutter) -> Profile:
    """The cutter and its shank, as wide as the wider of them; what rubs on their rim is found by `body.rubs`."""
    return flat(2 * max(cutter.radius, cutter.body.shank_diameter / 2))


def in_doubt(doubts: Doubts, top: Heights) -> Doubts:
    """Those where too much stands as yet."""
    some = np.flatnonzero(top.reshape(-1)[doubts.cell] > doubts.limit)
    return Doubts(doubts.question[some], doubts.cell[some], doubts.z[some], doubts.limit[some])


def split(doubts: Doubts, at: int) -> tuple[Doubts, Doubts]:
    """The first so many cells, and the others."""
    question, cell, z, limit = doubts
    return Doubts(question[:at], cell[:at], z[:at], limit[:at]), Doubts(question[at:], cell[at:], z[at:], limit[at:])


def answers(case: Case, stock: Wood, top: Heights, cutting: Ints, doubts: Doubts, number: Places) -> Iterator[Meeting]:
    """What is met, when these moves cut one after the other, beginning with the wood `top`.

    number : (cells of the board,) all 0, to work with; left all 0
    """
    # For each cell in doubt one of the places in `doubts` where it stands, counted from 1.
    number[doubts.cell] = np.arange(1, len(doubts.cell) + 1)
    asked = number[doubts.cell] - 1
    standing = top.reshape(-1)[doubts.cell]
    move, place, z = _cuts_there(case, stock, cutting, number)
    number[doubts.cell] = 0
    first = np.flatnonzero(np.diff(doubts.question, prepend=-1))
    until, done = np.searchsorted(move, doubts.question[first] // 2), 0
    last = np.append(first[1:], len(doubts.cell))
    for end, *cell in zip(until.tolist(), first.tolist(), last.tolist(), strict=True):
        if end > done:
            np.minimum.at(standing, place[done:end], z[done:end])
            done = end
        which = slice(*cell)
        wood = standing[asked[which]]
        if (wood > doubts.limit[which]).any():
            about = Doubts(doubts.question[which], doubts.cell[which], doubts.z[which], doubts.limit[which])
            yield _meeting(case, stock, about, wood.astype(np.float64))


def _cuts_there(case: Case, stock: Wood, moves: Ints, number: Places) -> tuple[Ints, Places, Heights]:
    """Of each cut in a cell that has a number: the move, in order, the number less 1, and the height."""
    found: list[tuple[Ints, Places, Heights]] = [(np.zeros(0, np.intp), np.zeros(0, np.int32), np.zeros(0, np.float32))]
    for tool in distinct(case.tool[moves]):
        mine, profile = moves[case.tool[moves] == tool], case.cutters[tool].profile
        for first, last in portions(stock.grid, case.table[:, mine], profile.diameter, PORTION):
            for cell, z, move in cuts(stock.grid, case.table[:, mine[first:last]], profile):
                place = number[cell]
                some = np.flatnonzero(place)
                low = np.asarray(z[some], np.float32)
                found.append((mine[first + move[some]], place[some] - np.int32(1), low))
    move, place = (np.concatenate(column) for column in list(zip(*found, strict=True))[:2])
    order = np.argsort(move, kind="stable")
    return move[order], place[order], np.concatenate([z for _, _, z in found])[order]


def _meeting(case: Case, stock: Wood, doubts: Doubts, wood: Floats) -> Meeting:
    """The worst of one question, that found too much wood."""
    move, deep = divmod(int(doubts.question[0]), 2)
    code = "flutes" if deep else "rapid-in-wood" if case.kind[move] == RAPID else "plunge"
    floor = doubts.z if deep else np.maximum(doubts.z, heights_at(stock.bottom, doubts.cell))
    amounts = np.where(wood > doubts.limit, wood - floor, 0.0)
    most, grid = int(np.argmax(amounts)), stock.grid
    row, column = divmod(int(doubts.cell[most]), grid.columns)
    x, y = grid.left + (column + 0.5) * grid.cell, grid.low + (row + 0.5) * grid.cell
    return Meeting(code, move, (x, y, float(doubts.z[most])), float(amounts[most]))
