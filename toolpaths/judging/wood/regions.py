"""Connected regions of a grid: which cells hang together, side by side or one above the other.

Rows are cut into runs of equal cells first, so the work grows with the number of runs, not of cells.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.judging.wood.sweep import Flags, Ints, spread


class Regions(NamedTuple):
    """n regions, numbered in the order in which a reader, row by row, comes upon them; r runs.

    columns : width of the grid; a flat index is row * columns + column
    first, last : (r,) flat indices of the first and last cell of each run, rising; a run stays in its row
    region : (r,) the region of each run
    links : (2, m) pairs of runs of whatever regions, one right above the other in some column
    value : (n,) value of the cells of each region
    area : (n,) cells
    box : (n, 4) first and last row, first and last column that the region reaches
    inside : (n, 2) row and column of a cell of the region, the middle of its longest run
    """

    columns: int
    first: Ints
    last: Ints
    region: Ints
    links: Ints
    value: NDArray[Any]
    area: Ints
    box: Ints
    inside: Ints

    def at(self, row: int, column: int) -> int:
        """Number of the region of a cell, -1 if it is in none."""
        return int(self.of(np.array([row * self.columns + column]))[0])

    def of(self, cells: Ints) -> Ints:
        """(m,) number of the region of each of these cells, given by flat index; -1 where in none."""
        if not len(self.first):
            return np.full(len(cells), -1)
        run = np.searchsorted(self.first, cells, "right") - 1
        return np.where((run >= 0) & (cells <= self.last[run]), self.region[run], -1)

    def cells(self, *numbers: int) -> Ints:
        """Flat indices of the cells of these regions, rising."""
        mine = np.isin(self.region, np.array(numbers, np.intp))
        first, count = self.first[mine], self.last[mine] - self.first[mine] + 1
        run, nth = spread(count)
        return np.asarray(first[run] + nth)


def label(cells: NDArray[Any]) -> Regions:
    """The regions of a grid (rows, columns): of its True cells, or of cells of equal value if it holds numbers.

    Cells are neighbours across an edge, not across a corner.
    """
    columns = cells.shape[1]
    flat = np.ascontiguousarray(cells).reshape(-1)
    begins = np.empty(flat.size, bool)
    np.not_equal(flat[1:], flat[:-1], out=begins[1:])
    begins[::columns] = True
    first = np.flatnonzero(begins)
    last = np.append(first[1:], flat.size) - 1
    value = flat[first]
    if flat.dtype == bool:
        first, last, value = first[value], last[value], value[value]
    links = _links(first, last, columns)
    same = value[links[0]] == value[links[1]]
    root = joined(len(first), *links[:, same])
    # A root is the lowest run of its region, so the regions come out in order.
    roots = np.flatnonzero(root == np.arange(len(first)))
    region = np.searchsorted(roots, root)
    count, number = last - first + 1, len(roots)
    row, column = np.divmod(first, columns)
    end = column + count - 1
    area = np.bincount(region, weights=count, minlength=number).astype(np.intp)
    box = np.empty((number, 4), np.intp)
    for side, values, pick in (
        (0, row, np.minimum),
        (1, row, np.maximum),
        (2, column, np.minimum),
        (3, end, np.maximum),
    ):
        box[:, side] = values[roots]
        pick.at(box[:, side], region, values)
    # The longest run of each region comes last of its own, and the last assignment stays.
    order = np.argsort(count, kind="stable")
    longest = np.empty(number, np.intp)
    longest[region[order]] = order
    inside = np.stack([row[longest], (column[longest] + end[longest]) // 2], axis=1)
    return Regions(columns, first, last, region, links, value[roots], area, box, inside)


def _links(first: Ints, last: Ints, columns: int) -> Ints:
    """(2, m) pairs of runs of which the second lies right above a part of the first."""
    begin = np.searchsorted(last, first + columns)
    end = np.searchsorted(first, last + columns, "right")
    below, nth = spread(np.maximum(end - begin, 0))
    return np.stack([below, begin[below] + nth])


def joined(count: int, one: Ints, other: Ints) -> Ints:
    """(count,) for things joined in pairs: the lowest number that hangs together with each.

    Every round hangs each group on its lowest neighbour, which more than halves chains, and then shortens
    the way to the roots.
    """
    root = np.arange(count)
    while len(one):
        a, b = root[one], root[other]
        apart = a != b
        one, other, a, b = one[apart], other[apart], a[apart], b[apart]
        np.minimum.at(root, np.maximum(a, b), np.minimum(a, b))
        while True:
            nearer = root[root]
            if np.array_equal(nearer, root):
                break
            root = nearer
    return root


def thick(cells: Flags, side: int) -> bool:
    """Whether a square of so many cells a side, at least one, fits among the True cells (rows, columns)."""
    for _ in range(2):
        if len(cells) < side:
            return False
        total = np.zeros((len(cells) + 1, cells.shape[1]), np.intp)
        np.cumsum(cells, axis=0, out=total[1:])
        cells = (total[side:] - total[:-side] == side).T
    return bool(cells.any())
