"""Areas laid on a grid: which cell centres lie in a polygon."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.sweep import Flags, spread


class Covered(NamedTuple):
    """The rows and columns of a grid that an area reaches, and whether the centre of each cell of these lies in it."""

    rows: slice
    columns: slice
    inside: Flags


def covered(area: BaseGeometry, grid: Grid) -> Flags:
    """(rows, columns) whether each cell's centre lies in the area; any polygons, holes left out."""
    mask = np.zeros(grid.shape, bool)
    rows, columns, inside = covered_part(area, grid)
    mask[rows, columns] = inside
    return mask


def covered_part(area: BaseGeometry, grid: Grid) -> Covered:
    """As covered(), of no more than the cells that the area reaches: many small areas cost no more than their cells.

    Every edge toggles the cells to the right of it in the rows whose centre line it crosses, so a
    centre is inside after an odd number of toggles.
    """
    first, last = _edges(area)
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
    if not len(row):
        return Covered(slice(0), slice(0), np.zeros((0, 0), bool))
    top, bottom, left = row.min(), row.max() + 1, column.min()
    right = column.max()
    width = right - left + 1
    toggles = np.bincount((row - top) * width + column - left, minlength=(bottom - top) * width)
    inside = np.cumsum(toggles.reshape(bottom - top, width), axis=1) % 2 == 1
    return Covered(slice(top, bottom), slice(left, right), inside[:, :-1])


def _edges(area: BaseGeometry) -> tuple[Floats, Floats]:
    """(n, 2) first and last points of all edges of all rings."""
    rings = shapely.get_rings(shapely.get_parts(area)) if not area.is_empty else []
    empty = np.empty((0, 2))
    points = [shapely.get_coordinates(ring) for ring in rings]
    return (
        np.concatenate([empty, *(p[:-1] for p in points)]),
        np.concatenate([empty, *(p[1:] for p in points)]),
    )
