"""Areas laid on a grid: which cell centres lie in a polygon."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.sweep import Flags, Ints, Strips, cells, in_portions, spread

# Cells taken at a time.
_MOST_CELLS = 4_000_000
# Cells from which on a strip is done by itself.
_LONG = 64


def covered(area: BaseGeometry, grid: Grid) -> Flags:
    """(rows, columns) whether each cell's centre lies in the area; any polygons, holes left out."""
    mask = np.zeros(grid.shape, bool)
    long, short = _long_and_short(strips_in([area], grid))
    for rows, columns, _ in _blocks(long):
        mask[rows, columns] = True
    for begin, end in in_portions(short.last - short.first + 1, _MOST_CELLS):
        mask.reshape(-1)[cells(grid, Strips(*(column[begin:end] for column in short)))[0]] = True
    return mask


def lower(heights: Heights, grid: Grid, areas: Sequence[BaseGeometry], z: Sequence[float]) -> None:
    """Take heights (rows, columns) of cells whose centres lie in an area down to its own z."""
    at = np.array(z, np.float32)
    long, short = _long_and_short(strips_in(areas, grid))
    for rows, columns, owner in _blocks(long):
        block = heights[rows, columns]
        np.minimum(block, at[owner], out=block)
    for begin, end in in_portions(short.last - short.first + 1, _MOST_CELLS):
        some = Strips(*(column[begin:end] for column in short))
        cell, count = cells(grid, some)
        np.minimum.at(heights.reshape(-1), cell, np.repeat(at[some.owner], count))


def _blocks(strips: Strips) -> Iterator[tuple[slice, slice, int]]:
    """Rows and columns of strips, those that lie under each other as one, and the number of the area."""
    if not len(strips.row):
        return
    order = np.lexsort((strips.row, strips.last, strips.first, strips.owner))
    strips = Strips(*(column[order] for column in strips))
    same = np.diff(strips.row) == 1
    for column in (strips.first, strips.last, strips.owner):
        same &= column[1:] == column[:-1]
    edges = np.concatenate([[0], np.flatnonzero(~same) + 1, [len(strips.row)]])
    each = (column[edges[:-1]].tolist() for column in strips)
    for row, first, last, owner, count in zip(*each, np.diff(edges).tolist(), strict=True):
        yield slice(row, row + count), slice(first, last + 1), owner


def _long_and_short(strips: Strips) -> tuple[Strips, Strips]:
    """Those that are sooner done one by one, and those that are sooner done cell by cell, all together."""
    long = strips.last - strips.first >= _LONG
    return Strips(*(column[long] for column in strips)), Strips(*(column[~long] for column in strips))


def strips_in(areas: Sequence[BaseGeometry], grid: Grid) -> Strips:
    """The cells whose centres lie in each of some areas, the owner of a strip being the number of its area."""
    return strips_between(*_edges(areas), grid)


def strips_between(owner: Ints, first: Floats, last: Floats, grid: Grid) -> Strips:
    """The same between the edges of areas: (n,) the number of the area, (n, 2) first and (n, 2) last points.

    Along the centre line of a row the edges that cross it go in and out by turns.
    """
    rising = first[:, 1] <= last[:, 1]
    low, high = np.where(rising[:, None], first, last), np.where(rising[:, None], last, first)
    # Half open in Y, so that a corner on a centre line counts once.
    begin, end = (
        np.clip(np.ceil((ends[:, 1] - grid.low) / grid.cell - 0.5), 0, grid.rows).astype(np.intp)
        for ends in (low, high)
    )
    edge, nth = spread(np.maximum(end - begin, 0))
    row = begin[edge] + nth
    part = (grid.low + (row + 0.5) * grid.cell - low[edge, 1]) / (high[edge, 1] - low[edge, 1])
    x = low[edge, 0] + part * (high[edge, 0] - low[edge, 0])
    column = np.clip(np.ceil((x - grid.left) / grid.cell - 0.5), 0, grid.columns).astype(np.intp)
    order = np.lexsort((column, row, owner[edge]))
    enter, leave = order[::2], order[1::2]
    some = column[enter] < column[leave]
    enter, leave = enter[some], leave[some]
    return Strips(row[enter], column[enter], column[leave] - 1, owner[edge][enter])


def _edges(areas: Sequence[BaseGeometry]) -> tuple[Ints, Floats, Floats]:
    """(n,) the number of the area, (n, 2) first and (n, 2) last points of all edges of all rings."""
    parts, area = shapely.get_parts(np.array(areas, object), return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    along = np.flatnonzero(ring[1:] == ring[:-1])
    return np.asarray(area[part[ring[along]]]), points[along], points[along + 1]
