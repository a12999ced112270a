"""Patches of cells, and cells and places of one grid known from each other."""

from __future__ import annotations

from itertools import product

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Board
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.regions import label
from toolpaths.judging.wood.sweep import Flags, Ints

# Cells of one patch that are looked up.
_MOST_LOOKS = 400


def patches(cells: Flags) -> tuple[list[Ints], list[Ints]]:
    """Patches of cells, neighbours across a corner as well: (those a few cells across, those thinner).

    Thin ones may be the cells that happen to show what happened to a wall.
    """
    if not cells.any():
        return [], []
    core = around(~cells)
    np.logical_not(core, out=core)
    wide = around(cells)
    joined, flat = label(wide), np.flatnonzero(cells)
    # Small numbers are sorted soonest.
    names = np.arange(len(joined.area)).astype(np.min_scalar_type(len(joined.area)))
    each = np.repeat(names[joined.region], joined.last - joined.first + 1)
    number, broad = each[cells[wide]], np.zeros(len(names), bool)
    broad[each[core[wide]]] = True
    order = np.argsort(number, kind="stable")
    number, flat = number[order], flat[order]
    edges = np.flatnonzero(number[1:] != number[:-1]) + 1
    groups = np.split(flat, edges)
    is_broad = broad[number[np.concatenate([[0], edges])]].tolist()
    return [g for g, b in zip(groups, is_broad, strict=True) if b], [
        g for g, b in zip(groups, is_broad, strict=True) if not b
    ]


def spread_over(cells: Ints, worst: int) -> Ints:
    """Indices of the worst of some cells and of others spread over them, few enough to look up their moves."""
    return np.unique(np.append(np.arange(0, len(cells), max(len(cells) // _MOST_LOOKS, 1)), worst))


def around(cells: Flags) -> Flags:
    """The cells and their eight neighbours."""
    wide = cells.copy()
    if not wide.any():
        return wide
    wide[1:] |= cells[:-1]
    wide[:-1] |= cells[1:]
    across = wide.copy()
    across[:, 1:] |= wide[:, :-1]
    across[:, :-1] |= wide[:, 1:]
    return across


def mask_of(like: Flags, patches: list[Ints]) -> Flags:
    """(rows, columns) the cells of some patches, on the grid of `like`."""
    mask = np.zeros(like.shape, bool)
    for cells in patches:
        mask.reshape(-1)[cells] = True
    return mask


def marked(mask: Flags, grid: Grid, places: Floats) -> Flags:
    """The mask with the cells of some places added."""
    marked = mask.copy()
    marked[cells_at(grid, places)] = True
    return marked


def extreme_around(heights: Heights, row: Ints, column: Ints, extreme: np.ufunc) -> Heights:
    """(k,) the greatest, np.maximum, or least, np.minimum, height of these cells (k,), each with its eight
    neighbours."""
    found: Heights = heights[row, column]
    rows, columns = heights.shape
    for up, across in product((-1, 0, 1), repeat=2):
        found = extreme(found, heights[np.clip(row + up, 0, rows - 1), np.clip(column + across, 0, columns - 1)])
    return found


def highest_in_tiles(heights: Heights, side: int) -> Heights:
    """(rows, columns of tiles) the greatest height in square tiles of so many cells to the side, from the grid's
    corner on."""
    rows, columns = (-(-count // side) for count in heights.shape)
    padded = np.full((rows * side, columns * side), -np.inf, np.float32)
    padded[: heights.shape[0], : heights.shape[1]] = heights
    return np.asarray(padded.reshape(rows, side, -1).max(axis=1).reshape(rows, columns, side).max(axis=2))


def cells_at(grid: Grid, points: Floats) -> tuple[Ints, Ints]:
    """Row and column of the cell that holds each point; of the nearest for a point off the board."""
    column = np.clip((points[:, 0] - grid.left) // grid.cell, 0, grid.columns - 1).astype(np.intp)
    row = np.clip((points[:, 1] - grid.low) // grid.cell, 0, grid.rows - 1).astype(np.intp)
    return row, column


def on_board(board: Board, points: Floats) -> Flags:
    """(k,) whether points (k, 2) lie on the board."""
    return np.asarray(((points >= 0) & (points <= (board.width, board.height))).all(axis=1))


def centres(grid: Grid, cells: Ints) -> Floats:
    """(k, 2) x, y of the centres of cells given by flat index."""
    row, column = np.divmod(cells, grid.columns)
    return np.stack([grid.left + (column + 0.5) * grid.cell, grid.low + (row + 0.5) * grid.cell], axis=1)
