"""How far many places are from the straight pieces of an edge: each looks only at those that may be the nearest.

Places lie in square cells, cells in cells four times as wide. A piece that is farther from the middle of a cell than
the nearest one by more than the cell's diagonal is not the nearest to any place in it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats

Ints = NDArray[np.intp]

# Cells each way that a wider one has, as a shift of bits; how often they are made narrower; mm of the narrowest, and
# pairs of a place and a piece looked at at a time.
_SHIFT, _MOST_LEVELS, _NARROWEST, _MOST_PAIRS = 2, 6, 0.5, 4_000_000


class Edge(NamedTuple):
    """The straight pieces of lines: (n, 2) first and (n, 2) last points; of a point twice itself."""

    first: Floats
    last: Floats


def edge_of(lines: BaseGeometry) -> Edge:
    """All straight pieces of lines, and points."""
    parts = shapely.get_parts(lines)
    points, owner = shapely.get_coordinates(parts, return_index=True)
    follows = np.flatnonzero(owner[1:] == owner[:-1])
    alone = np.flatnonzero(np.isin(owner, np.flatnonzero(shapely.get_num_coordinates(parts) == 1)))
    return Edge(points[np.append(follows, alone)], points[np.append(follows + 1, alone)])


def distances(edge: Edge, places: Floats) -> Floats:
    """(k,) mm from places (k, 2) to the nearest piece of an edge."""
    if not len(places):
        return np.empty(0)
    corner = places.min(axis=0)
    wide = max(float((places.max(axis=0) - corner).max()), _NARROWEST)
    # Places in the order of their cells, however narrow: those of a wider cell follow each other too.
    levels = int(np.clip(np.log2(wide / _NARROWEST) // _SHIFT, 1, _MOST_LEVELS))
    cells = 1 << (_SHIFT * levels)
    at = np.minimum((places - corner) * (cells / wide), cells - 1).astype(np.int64)
    code = _interleaved(at[:, 0]) | _interleaved(at[:, 1]) << 1
    order = np.argsort(code, kind="stable")
    code = code[order]
    owner, piece = np.zeros(len(edge.first), np.intp), np.arange(len(edge.first))
    known = np.zeros(1, np.int64)
    for level in range(1, levels + 1):
        here = np.unique(code >> 2 * _SHIFT * (levels - level))
        owner, piece = _spread_to(np.searchsorted(known, here >> 2 * _SHIFT), owner, piece)
        side = wide / (1 << (_SHIFT * level))
        x, y = (corner[i] + (column + 0.5) * side for i, column in enumerate(_split(here)))
        away = np.sqrt(_away(edge, piece, x[owner], y[owner]))
        least = np.minimum.reduceat(away, np.searchsorted(owner, np.arange(len(here))))
        # Half a diagonal for the place, half for the middle.
        may = away <= least[owner] + 1.4143 * side
        owner, piece, known = owner[may], piece[may], here
    cell = np.searchsorted(known, code)
    found, (x, y) = np.empty(len(places)), places[order].T
    count = np.bincount(owner, minlength=len(known))[cell]
    ends = np.cumsum(count)
    begin = 0
    while begin < len(places):
        before = ends[begin - 1] if begin else 0
        end = max(int(np.searchsorted(ends, before + _MOST_PAIRS, "right")), begin + 1)
        mine, some = _spread_to(cell[begin:end], owner, piece)
        away = _away(edge, some, x[begin:end][mine], y[begin:end][mine])
        found[order[begin:end]] = np.minimum.reduceat(away, ends[begin:end] - count[begin:end] - before)
        begin = end
    return np.sqrt(found)


def _spread_to(cells: Ints, owner: Ints, piece: Ints) -> tuple[Ints, Ints]:
    """For each of some cells (c,), its pieces: the number of the cell in that list, and the piece; in order.

    owner, piece : of each cell the pieces that may be the nearest, in the order of the cells
    """
    begin, end = np.searchsorted(owner, cells), np.searchsorted(owner, cells, "right")
    count = end - begin
    mine = np.repeat(np.arange(len(cells)), count)
    nth = np.arange(len(mine)) - np.repeat(np.cumsum(count) - count, count)
    return mine, piece[begin[mine] + nth]


def _away(edge: Edge, piece: Ints, x: Floats, y: Floats) -> Floats:
    """(p,) square of the mm from places to a piece of its own each."""
    (x0, y0), (x1, y1) = edge.first.T, edge.last.T
    dx, dy = x1 - x0, y1 - y0
    long = dx * dx + dy * dy
    by = 1 / np.where(long > 0, long, 1.0)
    dx, dy, x, y = dx[piece], dy[piece], x - x0[piece], y - y0[piece]
    share = (x * dx + y * dy) * by[piece]
    np.clip(share, 0.0, 1.0, out=share)
    x -= share * dx
    y -= share * dy
    return np.asarray(x * x + y * y)


def _interleaved(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """Numbers below 2^16 with a bit of nothing between each two of theirs (Z-order)."""
    for shift, mask in ((8, 0x00FF00FF), (4, 0x0F0F0F0F), (2, 0x33333333), (1, 0x55555555)):
        numbers = (numbers | numbers << shift) & mask
    return numbers


def _split(codes: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """The columns and the rows that codes are made of."""
    found = list[NDArray[np.int64]]()
    for numbers in (codes, codes >> 1):
        numbers = numbers & 0x55555555
        for shift, mask in ((1, 0x33333333), (2, 0x0F0F0F0F), (4, 0x00FF00FF), (8, 0x0000FFFF)):
            numbers = (numbers | numbers >> shift) & mask
        found.append(numbers)
    return found
