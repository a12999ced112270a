"""Places in the cells of a coarse grid, so that moves find those that they come near, row by row."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.sweep import Flags, Ints, rows_near, running_sums


class InCells(NamedTuple):
    """Places in the cells of a coarse grid.

    order : (k,) places by cell, row after row
    begin : (cells + 1,) where those of each cell begin in `order`
    sums : (rows + 1, columns + 1) how many lie below and to the left
    """

    grid: Grid
    order: Ints
    begin: Ints
    sums: Ints


def sorted_into_cells(places: Floats) -> InCells:
    """Places (k, 2), at least one, in the cells of a coarse grid about them."""
    left, low = places.min(axis=0).tolist()
    width, height = (places.max(axis=0) - places.min(axis=0)).tolist()
    # About four cells for each place, none under a millimetre.
    cell = max(1.0, np.sqrt(width * height / len(places)) / 2, max(width, height) / 4 / len(places))
    rows, columns = int(height / cell) + 1, int(width / cell) + 1
    row = np.minimum((places[:, 1] - low) / cell, rows - 1).astype(np.intp)
    column = np.minimum((places[:, 0] - left) / cell, columns - 1).astype(np.intp)
    index = row * columns + column
    count = np.bincount(index, minlength=rows * columns)
    begin, sums = np.concatenate([[0], np.cumsum(count)]), running_sums(count.reshape(rows, columns))
    return InCells(Grid(cell, left, low, rows, columns), np.argsort(index, kind="stable"), begin, sums)


def slack(in_cells: InCells) -> float:
    """Half the diagonal of a cell: as far as a place may lie from the cell's centre."""
    return in_cells.grid.cell * 0.7072


def come_near(in_cells: InCells, box: Floats, radius: Floats) -> Flags:
    """(n,) whether cutters of these radii (n,) may reach any of the places from within boxes (4, n)."""
    return rows_near(in_cells.grid, in_cells.sums, box, radius + slack(in_cells))[0]
