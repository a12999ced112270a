"""When each cell of a room is cleared, and paths from cell to cell over those that are.

Cells only suggest a path: all that wood touches counts as wood, and so does each cell beside it. Whoever takes a path
holds it against the wood itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point

Numbers = NDArray[np.int64]
# Of what is never cleared: walls, and all beyond them.
_NEVER = np.iinfo(np.int64).max
# Cells round about the room, so that neighbours need no look at the edge.
_EDGE = 2
# More cells than this along one side are not worth their memory: then they are larger.
_MOST = 2000


@dataclass(frozen=True, slots=True)
class ClearedCells:
    """cells : (rows, columns), the number of cuts after which each is cleared, with all cells beside it

    corner : (x, y) of the middle of the first
    size : mm
    """

    cells: Numbers
    corner: Point
    size: float

    def near(self, place: Point, far: float, cuts: int) -> Floats:
        """The middles of cells cleared by so many cuts within `far` of a place, (n, 2), the nearest first."""
        row, column = self._cell(place)
        reach = ceil(far / self.size)
        top, left = max(0, row - reach), max(0, column - reach)
        rows, columns = np.nonzero(self.cells[top : row + reach + 1, left : column + reach + 1] <= cuts)
        middles = self._middles(np.column_stack([columns + left, rows + top]))
        away = np.hypot(*(middles - place).T)
        order = np.argsort(away, kind="stable")
        return middles[order[: np.searchsorted(away[order], far)]]

    def path(self, a: Point, b: Point, longest: float, cuts: int) -> Floats | None:
        """Middles of cells cleared by so many cuts from that of a to that of b, (n, 2); None where there is none."""
        (row, column), (to_row, to_column) = self._cell(a), self._cell(b)
        spare = ceil(longest / self.size / 2)
        top, left = max(0, min(row, to_row) - spare), max(0, min(column, to_column) - spare)
        window = self.cells[top : max(row, to_row) + spare + 1, left : max(column, to_column) + spare + 1] <= cuts
        open_ = np.pad(window, 1)
        width = open_.shape[1]
        start = (row - top + 1) * width + column - left + 1
        goal = (to_row - top + 1) * width + to_column - left + 1
        found = _path(open_.ravel(), width, start, goal, ceil(longest / self.size))
        if found is None:
            return None
        return self._middles(np.column_stack([found % width - 1 + left, found // width - 1 + top]))

    def _cell(self, place: Point) -> tuple[int, int]:
        """(row, column)"""
        return round((place[1] - self.corner[1]) / self.size), round((place[0] - self.corner[0]) / self.size)

    def _middles(self, cells: Numbers) -> Floats:
        middles: Floats = np.array(self.corner) + self.size * cells
        return middles


def cleared_cells(room: BaseGeometry, wood: NDArray[np.object_], cuts: Numbers, size: float) -> ClearedCells:
    """The cells of a room in which pieces of wood stand until so many cuts are done.

    wood : (n,) areas
    cuts : (n,) the number of cuts for each
    size : mm of a cell, or more in a very large room
    """
    x0, y0, x1, y1 = room.bounds
    size = max(size, (x1 - x0) / _MOST, (y1 - y0) / _MOST)
    corner = (x0 - _EDGE * size, y0 - _EDGE * size)
    shape = (ceil((y1 - y0) / size) + 2 * _EDGE + 1, ceil((x1 - x0) / size) + 2 * _EDGE + 1)
    cells = np.full(shape, _NEVER)
    outline, touched, first = _touched(room, corner, size)
    np.copyto(_part(cells, first, touched), 0, where=_part(touched & ~outline, -first, cells))
    for area, count in zip(wood, cuts.tolist()):
        _, touched, first = _touched(area, corner, size)
        part = _part(cells, first, touched)
        np.maximum(part, count, out=part, where=_part(touched, -first, cells))
    for axis in (0, 1):
        cells = np.maximum(cells, np.maximum(np.roll(cells, 1, axis), np.roll(cells, -1, axis)))
    return ClearedCells(cells, corner, size)


def _part(cells: np.ndarray, first: Numbers, other: np.ndarray) -> np.ndarray:
    """The part of cells that others cover, when (row, column) of theirs first is `first` here."""
    top, left = np.maximum(first, 0).tolist()
    bottom, right = np.maximum(first + other.shape, 0).tolist()
    return cells[top:bottom, left:right]


def _touched(area: BaseGeometry, corner: Point, size: float) -> tuple[np.ndarray, np.ndarray, Numbers]:
    """The cells that the outline of an area touches, and those that the area does; (row, column) of the first."""
    rings = shapely.get_rings(shapely.get_parts(area))
    points, ring = shapely.get_coordinates(shapely.segmentize(rings, size / 2), return_index=True)
    points = (points - corner) / size
    whole = np.rint(points).astype(np.int64)
    first, last = whole.min(axis=0), whole.max(axis=0)
    columns, rows = (last - first + 1).tolist()
    outline = np.zeros((rows, columns), bool)
    outline[whole[:, 1] - first[1], whole[:, 0] - first[0]] = True
    # Each side of a ring turns over all cells of its row behind it; no side is longer than a row is high.
    points = points - first
    ends = ring[1:] == ring[:-1]
    (x, y), (to_x, to_y) = points[:-1][ends].T, points[1:][ends].T
    row = np.ceil(np.minimum(y, to_y))
    crossed = row < np.maximum(y, to_y)
    x, y, to_x, to_y, row = (values[crossed] for values in (x, y, to_x, to_y, row))
    behind = np.ceil(x + (row - y) / (to_y - y) * (to_x - x)).astype(np.int64)
    turned = np.zeros((rows, columns + 1), np.int64)
    np.add.at(turned, (row.astype(np.int64), behind), 1)
    return outline, (turned.cumsum(axis=1)[:, :-1] % 2 == 1) | outline, first[::-1]


def _path(open_: np.ndarray, width: int, start: int, goal: int, most: int) -> Numbers | None:
    """Numbers of open cells from start to goal, each beside the next, over at most so many: a wave from the goal."""
    if not (open_[start] and open_[goal]):
        return None
    beside = np.array([-1, 1, -width, width, -width - 1, -width + 1, width - 1, width + 1])
    far = np.full(len(open_), -1)
    far[goal] = 0
    edge = np.array([goal])
    count = 0
    while far[start] < 0:
        count += 1
        reached = (edge[:, None] + beside).ravel()
        edge = np.unique(reached[open_[reached] & (far[reached] < 0)])
        far[edge] = count
        if not len(edge) or count > most:
            return None
    found = [start]
    while found[-1] != goal:
        reached = found[-1] + beside
        found.append(int(reached[np.argmax(far[reached] == far[found[-1]] - 1)]))
    return np.array(found)
