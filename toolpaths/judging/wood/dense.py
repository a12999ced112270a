"""Many moves of a flat cutter at one depth: the path as a raster, widened to what is surely cut.

A cell so near a place of the path that it is cut wherever in its own cell that place lies needs no
formula, and most cells of a cleared area are of that kind. Only the moves near the rim of the cut
are worked out one by one, by the same formula as everywhere else, so the result is the same.
"""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.moves import CX, CY, RADIUS, START, SWEEP, X0, X1, Y0, Y1
from toolpaths.judging.wood.sweep import EDGE, Flags, Ints, Strips, spread

# Cells by which the places taken from a path may seem farther from a cell than the path is.
_BLUR = 0.1
# A move of more places than this is quicker worked out than looked at.
_MOST_PLACES = 32
# Moves looked at together, for the sake of memory.
_PORTION = 200_000
_HALF_DIAGONAL = 0.5**0.5


def rim_moves(grid: Grid, table: Floats, radius: float, open_to: Flags) -> tuple[Flags, Ints]:
    """What a flat cutter surely cuts, moving level, and the moves that decide about the rest.

    open_to : (rows, columns) cells of any interest
    Returns (rows, columns) the cells surely cut, and the numbers of the moves to be worked out.
    """
    cells = radius / grid.cell
    pad = int(cells) + 3
    shape = grid.rows + 2 * pad, grid.columns + 2 * pad
    inner = slice(pad, -pad), slice(pad, -pad)
    mark = np.zeros(shape, bool)
    flat_mark = mark.reshape(-1)
    portions = [
        (first, *_places(grid, table[:, first : first + _PORTION], radius, pad))
        for first in range(0, table.shape[1], _PORTION)
    ]
    for _, _, place, _ in portions:
        flat_mark[place] = True
    reach = (radius + EDGE) / grid.cell
    sure = widened(mark, cells - _HALF_DIAGONAL)
    perhaps = widened(mark, reach + _BLUR + _HALF_DIAGONAL)
    perhaps[inner] &= open_to
    perhaps &= ~sure
    perhaps[:pad] = perhaps[-pad:] = perhaps[:, :pad] = perhaps[:, -pad:] = False
    rim = widened(perhaps, reach + _BLUR + _HALF_DIAGONAL).reshape(-1)
    deciding = np.zeros(table.shape[1], bool)
    for first, owner, place, long in portions:
        deciding[first + long] = True
        deciding[first + owner[rim[place]]] = True
    return sure[inner], np.flatnonzero(deciding)


def _places(grid: Grid, table: Floats, radius: float, pad: int) -> tuple[Ints, Ints, Ints]:
    """Moves and padded cells of places along their paths, and the moves too long to be looked at.

    A place lies at either end, and between them so closely that from any cell within the radius of
    the path the nearest place is at most _BLUR cells farther away than the path.
    """
    x0, y0, x1, y1 = table[[X0, Y0, X1, Y1]]
    # Of a cell at distance d from a straight path, the nearest place is sqrt(d^2 + (step / 2)^2) away.
    step = np.sqrt(8 * radius * _BLUR * grid.cell)
    length = np.hypot(x1 - x0, y1 - y0)
    arcs = np.flatnonzero(table[SWEEP])
    if len(arcs):
        # Outside a bend the cell sees the place farther round the corner.
        length[arcs] = np.abs(table[SWEEP, arcs]) * np.sqrt(table[RADIUS, arcs] * (table[RADIUS, arcs] + radius))
    count = np.minimum(np.ceil(length / step), _MOST_PLACES + 1).astype(np.intp)
    short = count <= _MOST_PLACES
    ends = np.flatnonzero(short)
    linked = np.zeros(len(short), bool)
    linked[1:] = short[:-1] & (x0[1:] == x1[:-1]) & (y0[1:] == y1[:-1])
    begins = np.flatnonzero(short & ~linked)
    some = np.flatnonzero(short & (count > 1))
    which, nth = spread(count[some] - 1)
    which = some[which]
    part = (nth + 1) / count[which]
    x = x0[which] + part * (x1[which] - x0[which])
    y = y0[which] + part * (y1[which] - y0[which])
    if len(arcs):
        bent = np.flatnonzero(table[SWEEP, which])
        cx, cy, bend, start, sweep = table[[[CX], [CY], [RADIUS], [START], [SWEEP]], which[bent]]
        angle = start + part[bent] * sweep
        x[bent], y[bent] = cx + bend * np.cos(angle), cy + bend * np.sin(angle)
    owner = np.concatenate([ends, begins, which])
    column = (np.concatenate([x1[ends], x0[begins], x]) - grid.left) * (1 / grid.cell) + pad
    row = (np.concatenate([y1[ends], y0[begins], y]) - grid.low) * (1 / grid.cell) + pad
    width, height = grid.columns + 2 * pad, grid.rows + 2 * pad
    near = (column >= 0) & (row >= 0) & (column < width) & (row < height)
    if not near.all():
        owner, column, row = owner[near], column[near], row[near]
    return owner, row.astype(np.intp) * width + column.astype(np.intp), np.flatnonzero(~short)


def widened(mark: Flags, radius: float) -> Flags:
    """Cells whose centres lie within so many cells of a marked one.

    Good only farther than the radius from the sides, where rows run on into each other.
    """
    out = np.zeros_like(mark)
    if radius < 0:
        return out
    wide, flat = mark.reshape(-1).copy(), out.reshape(-1)
    half = 0
    for off in range(int(radius), -1, -1):
        wanted = int(np.sqrt(radius * radius - off * off))
        while half < wanted:
            more = min(wanted - half, 2 * half + 1)
            grown = wide.copy()
            grown[more:] |= wide[:-more]
            grown[:-more] |= wide[more:]
            wide, half = grown, half + more
        shift = off * mark.shape[1]
        flat[shift:] |= wide[: len(wide) - shift]
        flat[: len(flat) - shift] |= wide[shift:]
    return out


def in_strips(grid: Grid, strips: Strips) -> Flags:
    """(rows, columns) whether a cell lies in any of the strips."""
    width = grid.columns + 1
    size = grid.rows * width
    begins = np.bincount(strips.row * width + strips.first, minlength=size)
    begins -= np.bincount(strips.row * width + strips.last + 1, minlength=size)
    return np.cumsum(begins.reshape(grid.rows, width), axis=1)[:, :-1] > 0
