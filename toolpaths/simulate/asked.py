"""What certain moves meet in the wood as it stands when they come: rapids, plunges, deep flutes.

A move asks a question: over each cell that it passes, wood must not stand above some height. Wood
only ever goes away, so a question with no doubt in the wood of a while ago needs no newer wood. For
the rest only the cells in doubt are followed through time, by the moves that cut there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.checks import Floats
from toolpaths.cutters import Profile, flat
from toolpaths.gcode.motion import RAPID
from toolpaths.simulate.case import Case, distinct
from toolpaths.simulate.field import Heights, Stock
from toolpaths.simulate.removal import cuts, portions
from toolpaths.simulate.sweep import Flags, Ints

# mm, in height and sideways: a rapid that shaves less meets only what rounding and the cells' own
# height leave of a floor or wall cut before; it is also the library's usual tolerance.
SHAVING = 0.01

Places = NDArray[np.int32]


class Meeting(NamedTuple):
    """A move that met standing wood: what was wrong, where on the board, and how much."""

    code: str
    move: int
    place: tuple[float, float, float]
    amount: float


class Questions(NamedTuple):
    """q questions in the order of the program, and the cells that they ask about, question after question.

    move, deep : (q,) who asks, and whether about wood beside the flutes, else about wood in the way
    begin : (q + 1,) where the cells of each question begin
    cell, z, limit : (c,) flat index, height of the cutter there, height above which no wood may stand
    """

    move: Ints
    deep: Flags
    begin: Ints
    cell: Ints
    z: Floats
    limit: Floats


def put(case: Case, stock: Stock, in_the_way: Ints, deep: Ints) -> Questions:
    """The questions of these moves: what stands in the way of the ones, and beside the others."""
    none = np.zeros(0, np.intp)
    found: list[tuple[Ints, Ints, Floats, Floats]] = [(none, none, np.zeros(0), np.zeros(0))]
    for kind, moves in ((0, in_the_way), (1, deep)):
        for tool in distinct(case.tool[moves]):
            some = moves[case.tool[moves] == tool]
            profile, clearance = (
                (_beside(case, tool, stock.cell), 0.0) if kind else (case.cutters[tool].profile, SHAVING)
            )
            longest = case.cutters[tool].cutting_length if kind else 0.0
            for cut in cuts(stock.grid, case.table[:, some], profile, clearance):
                bottom = _at(stock.bottom, cut.cell)
                limit = np.maximum(bottom, cut.z + longest + SHAVING) if kind else np.maximum(bottom, cut.z) + SHAVING
                found.append((some[cut.move] * 2 + kind, cut.cell, cut.z, limit))
    key, cell, z, limit = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.argsort(key, kind="stable")
    return _sorted(key[order], cell[order], z[order], limit[order])


def _beside(case: Case, tool: int, cell: float) -> Profile:
    """Beside means under the cutter or its shank, and within one cell of them when the shank is as
    thick as the cutter, since then it rubs on the wall just cut."""
    cutter = case.cutters[tool]
    shank, radius = cutter.shank_diameter / 2, cutter.radius
    return flat(2 * (max(radius, shank) + (cell if shank >= radius else 0.0)))


def _sorted(key: Ints, cell: Ints, z: Floats, limit: Floats) -> Questions:
    first = np.flatnonzero(np.diff(key, prepend=-1))
    return Questions(key[first] // 2, key[first] % 2 == 1, np.append(first, len(key)), cell, z, limit)


def in_doubt(questions: Questions, top: Heights) -> Questions:
    """The questions about cells where too much stands as yet, and those cells of theirs."""
    some = np.flatnonzero(top.reshape(-1)[questions.cell] > questions.limit)
    key = np.repeat(questions.move * 2 + questions.deep, np.diff(questions.begin))
    return _sorted(key[some], questions.cell[some], questions.z[some], questions.limit[some])


def first_of(questions: Questions, count: int) -> tuple[Questions, Questions]:
    """The first so many questions, and the others."""
    move, deep, begin, cell, z, limit = questions
    at = begin[count]
    return (
        Questions(move[:count], deep[:count], begin[: count + 1], cell[:at], z[:at], limit[:at]),
        Questions(move[count:], deep[count:], begin[count:] - at, cell[at:], z[at:], limit[at:]),
    )


def answers(case: Case, stock: Stock, top: Heights, cutting: Ints, questions: Questions) -> Iterator[Meeting]:
    """What is met, when these moves cut one after the other, beginning with the wood `top`."""
    doubted = np.zeros(top.size, bool)
    doubted[questions.cell] = True
    cells = np.flatnonzero(doubted)
    # From the number of a cell on the board to its place among those in doubt.
    number = np.empty(top.size, np.int32)
    number[cells] = np.arange(len(cells))
    standing = top.reshape(-1)[cells]
    move, place, z = _cuts_there(case, stock, cutting, doubted, number)
    until = np.searchsorted(move, questions.move)
    asked, done = number[questions.cell], 0
    for i, (end, first, last) in enumerate(
        zip(until.tolist(), questions.begin[:-1].tolist(), questions.begin[1:].tolist(), strict=True)
    ):
        if end > done:
            np.minimum.at(standing, place[done:end], z[done:end])
            done = end
        wood = standing[asked[first:last]]
        if (wood > questions.limit[first:last]).any():
            yield _meeting(case, stock, questions, i, wood.astype(np.float64))


def _cuts_there(case: Case, stock: Stock, moves: Ints, doubted: Flags, number: Places) -> tuple[Ints, Places, Heights]:
    """Of each cut in a cell in doubt, in order: move, the cell's place among those, height."""
    none: tuple[Ints, Places, Heights] = (np.zeros(0, np.intp), np.zeros(0, np.int32), np.zeros(0, np.float32))
    found = [none]
    for tool in distinct(case.tool[moves]):
        mine, profile = moves[case.tool[moves] == tool], case.cutters[tool].profile
        for first, last in portions(case.table[:, mine], profile.diameter, stock.grid):
            for cut in cuts(stock.grid, case.table[:, mine[first:last]], profile):
                some = np.flatnonzero(doubted[cut.cell])
                found.append((mine[first + cut.move[some]], number[cut.cell[some]], cut.z[some].astype(np.float32)))
    move, place, z = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.argsort(move, kind="stable")
    return move[order], place[order], z[order]


def _meeting(case: Case, stock: Stock, questions: Questions, i: int, wood: Floats) -> Meeting:
    """The worst of one question that found too much wood."""
    which = slice(questions.begin[i], questions.begin[i + 1])
    cell, z, move = questions.cell[which], questions.z[which], int(questions.move[i])
    deep, grid = bool(questions.deep[i]), stock.grid
    code = "flutes" if deep else "rapid-in-wood" if case.kind[move] == RAPID else "plunge"
    amounts = np.where(
        wood > questions.limit[which], wood - (z if deep else np.maximum(z, _at(stock.bottom, cell))), 0.0
    )
    most = int(np.argmax(amounts))
    row, column = divmod(int(cell[most]), grid.columns)
    x, y = grid.left + (column + 0.5) * grid.cell, grid.low + (row + 0.5) * grid.cell
    return Meeting(code, move, (x, y, float(z[most])), float(amounts[most]))


def _at(heights: Heights, cell: Ints) -> Heights:
    """Heights of cells, without unfolding a face that is the same everywhere."""
    if heights.strides == (0, 0):
        return np.broadcast_to(heights[0, 0], cell.shape)
    return np.asarray(heights[cell // heights.shape[1], cell % heights.shape[1]])
