"""Smaller cells, smaller errors: how fast the wood approaches the shape cut, and that it is the right shape.

A height is exact at the centre of its cell, so all that cells cost is that a wall lies anywhere within
the cell in which it is seen. Whether one wall is seen well is luck: the claims are about the mean over
many places of the cut on the grid.

- The place of a straight wall along the grid is off by up to half a cell either way, evenly: by a
  quarter of a cell on average. Half the cell, half the error.
- The error of a slot's volume is that of its two walls and ends, so it halves as well.
- Along a round wall the errors of its cells are nearly independent, and cancel: the error of a disc's
  volume falls as the cell to the power 3/2 (the cells at the wall are in number as 1 / cell, each off by
  about a cell's area), so by 2.8 when the cell is halved.
- Shifted evenly over a whole cell, the volumes average to that of the shape itself at any cell size.
"""

from __future__ import annotations

import numpy as np
import pytest
from test_removal import VOLUMES, line, table

from toolpaths.facts.board import Board
from toolpaths.facts.profile import Profile, flat
from toolpaths.judging.wood.field import Wood, whole_board
from toolpaths.judging.wood.removal import remove

CELLS = (1.0, 0.5, 0.25, 0.125)
SMALL = Board(width=50, height=16, thickness=20)
PLACES = 300


def after(board: Board, cell: float, moves: np.ndarray, profile: Profile) -> Wood:
    stock = whole_board(board, cell)
    top = stock.top.copy()
    remove(top, stock.grid, moves, profile)
    return Wood(board, stock.grid, top, stock.bottom)


def mean_errors(error) -> np.ndarray:
    """Mean absolute error over the same random cuts, for each size of cell."""
    rng = np.random.default_rng(11)
    cuts = rng.uniform(0, 1, (PLACES, 4))
    return np.array([np.mean([abs(error(cell, *cut)) for cut in cuts]) for cell in CELLS])


@pytest.mark.long
def test_the_place_of_a_wall_is_off_by_a_quarter_of_a_cell_and_half_as_much_with_half_the_cell():
    def error(cell: float, across: float, along: float, wide: float, turned: float) -> float:
        diameter, x, y = 3 + 5 * wide, 8 + 4 * across, 6 + 4 * along
        upright = turned > 0.5
        ends = (x, 5, -2, x, 11, -2) if upright else (7, y, -2, 13, y, -2)
        stock = after(SMALL, cell, table(line(ends[:3], ends[3:])), flat(diameter))
        row, column = stock.cell_at(x, y)
        profile = stock.top[row, column:] if upright else stock.top[row:, column]
        # The wall stands where the last cell cut and the first one left meet.
        wall = (np.argmax(profile == 0) + (column if upright else row)) * cell
        return wall - ((x if upright else y) + diameter / 2)

    errors = mean_errors(error)
    assert errors == pytest.approx(np.array(CELLS) / 4, rel=0.1)
    assert (errors[:-1] / errors[1:] > 1.8).all()
    assert (errors[:-1] / errors[1:] < 2.2).all()


@pytest.mark.long
@pytest.mark.long
def test_the_error_of_a_slots_volume_halves_with_the_cell():
    def error(cell: float, across: float, along: float, wide: float, deep: float) -> float:
        diameter, x, y, depth = 3 + 5 * wide, 6 + 2 * across, 6 + 4 * along, 1 + 4 * deep
        stock = after(SMALL, cell, table(line((x, y, -depth), (x + 9, y, -depth))), flat(diameter))
        return stock.removed() / ((9 * diameter + np.pi * diameter**2 / 4) * depth) - 1

    errors = mean_errors(error)
    assert (errors[:-1] / errors[1:] > 1.7).all(), errors
    assert (errors[:-1] / errors[1:] < 2.6).all(), errors


@pytest.mark.long
def test_the_error_of_a_round_holes_volume_falls_faster_than_the_cell():
    def error(cell: float, across: float, along: float, wide: float, deep: float) -> float:
        diameter, x, y, depth = 3 + 5 * wide, 8 + 4 * across, 6 + 4 * along, 1 + 4 * deep
        stock = after(SMALL, cell, table(line((x, y, 0), (x, y, -depth))), flat(diameter))
        return stock.removed() / (np.pi * diameter**2 / 4 * depth) - 1

    errors = mean_errors(error)
    assert (errors[:-1] / errors[1:] > 2.3).all(), errors
    assert (errors[:-1] / errors[1:] < 3.4).all(), errors


@pytest.mark.parametrize("name", VOLUMES)
def test_volumes_averaged_over_a_cell_are_those_of_the_formulas(name):
    """Section 2.3 of the project's reference values: without the error of the cells, what is left is the shape."""
    profile, moves, expected = VOLUMES[name]
    board = Board(width=106, height=66, thickness=20)
    cell, parts = 0.5, 10
    rng = np.random.default_rng(3)
    found = []
    for row in range(parts):
        for column in range(parts):
            dx, dy = (np.array([column, row]) + rng.uniform(0, 1, 2)) * (cell / parts)
            shifted = table(*moves)
            shifted[[0, 3, 6]] += dx + 2
            shifted[[1, 4, 7]] += dy + 2
            found.append(after(board, cell, shifted, profile).removed())
    assert np.mean(found) == pytest.approx(expected, rel=3e-4)
