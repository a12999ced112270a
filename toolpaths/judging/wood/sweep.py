"""Which cells a round cutter passes over: for each move and each row of the grid, one interval.

Every interval is closed form and worked out for a whole batch of moves at once; the result does not
depend on the order of the moves. A cell counts when its centre lies within the radius, boundary
included: EDGE more than the radius still counts, so that rounding does not decide about a centre
that lies exactly on the boundary, which in round numbers is a common case.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.field import Grid

Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

# mm; a thousandth of the last digit of any program, a thousand times the rounding of the arithmetic.
EDGE = 1e-7
_QUARTER = np.pi / 2
# Radians; an arc that begins so close to an axis begins on it (0.1 um on a path of 100 m).
_ANGLE = 1e-12


class Strips(NamedTuple):
    """n intervals of cells: (n,) row, first and last column (both covered), and the move that did it."""

    row: Ints
    first: Ints
    last: Ints
    owner: Ints


def capsules(grid: Grid, radius: Floats, x0: Floats, y0: Floats, x1: Floats, y1: Floats) -> Strips:
    """Cells within `radius` of straight moves; a move of no length covers a disc. All (n,)."""
    reach = radius + EDGE
    owner, row = _rows(grid, np.minimum(y0, y1) - reach, np.maximum(y0, y1) + reach)
    dx, dy = x1 - x0, y1 - y0
    length = np.hypot(dx, dy)
    # A level row never meets the side of the capsule alone, so dy = 0 needs no side at all.
    slanted = np.abs(dy) > 1e-12
    safe = np.where(slanted, dy, 1.0)
    per_row = dx / safe
    y = grid.low + (row + 0.5) * grid.cell
    r, xa, ya, xb, yb = reach[owner], x0[owner], y0[owner], x1[owner], y1[owner]
    half_a = r * r - (y - ya) ** 2
    half_b = r * r - (y - yb) ** 2
    in_a, in_b = half_a >= 0, half_b >= 0
    half_a, half_b = np.sqrt(np.maximum(half_a, 0)), np.sqrt(np.maximum(half_b, 0))
    left = np.minimum(np.where(in_a, xa - half_a, np.inf), np.where(in_b, xb - half_b, np.inf))
    right = np.maximum(np.where(in_a, xa + half_a, -np.inf), np.where(in_b, xb + half_b, -np.inf))
    if slanted.any():
        # Sides of the capsule: the path moved by the radius to the left and to the right.
        steep = (length / np.abs(safe))[owner] * r
        lean = (dx / np.where(length > 0, length, 1.0) * np.sign(safe))[owner] * r
        middle = xa + (y - ya) * per_row[owner]
        low, high = np.minimum(ya, yb), np.maximum(ya, yb)
        tilted = slanted[owner]
        on_left = tilted & (y - lean >= low) & (y - lean <= high)
        on_right = tilted & (y + lean >= low) & (y + lean <= high)
        left = np.minimum(left, np.where(on_left, middle - steep, np.inf))
        right = np.maximum(right, np.where(on_right, middle + steep, -np.inf))
    return _columns(grid, row, left, right, owner)


def discs(grid: Grid, radius: Floats, x: Floats, y: Floats) -> Strips:
    """Cells within `radius` of places. All (n,)."""
    reach = radius + EDGE
    owner, row = _rows(grid, y - reach, y + reach)
    off = grid.low + (row + 0.5) * grid.cell - y[owner]
    half = np.sqrt(np.maximum((reach * reach)[owner] - off * off, 0.0))
    middle = x[owner]
    return _columns(grid, row, middle - half, middle + half, owner)


def sectors(
    grid: Grid, radius: Floats, cx: Floats, cy: Floats, path_radius: Floats, start: Floats, sweep: Floats
) -> Strips:
    """Cells within `radius` of arcs and in their sector; the discs at their ends are not included.

    start : angle at which the arc begins; sweep : signed, at most one turn. All (n,), radians.
    """
    low, high = np.minimum(start, start + sweep), np.maximum(start, start + sweep)
    first = np.floor(low / _QUARTER)
    quarters = np.maximum(np.ceil(high / _QUARTER) - first, 1).astype(np.intp)
    arc, nth = spread(quarters)
    quarter = first[arc] + nth
    base = quarter * _QUARTER
    begin = np.clip(low[arc] - base, 0, _QUARTER)
    end = np.clip(high[arc] - base, 0, _QUARTER)
    # Mirror every quarter onto the first, in which one formula holds.
    kind = quarter.astype(np.intp) % 4
    odd = kind % 2 == 1
    begin, end = np.where(odd, _QUARTER - end, begin), np.where(odd, _QUARTER - begin, end)
    side = np.where((kind == 1) | (kind == 2), -1.0, 1.0)
    upward = np.where(kind >= 2, -1.0, 1.0)
    inner = np.maximum(path_radius - radius - EDGE, 0)[arc]
    outer = (path_radius + radius + EDGE)[arc]

    from_y, to_y = inner * np.sin(begin) - EDGE, outer * np.sin(end) + EDGE
    centre_y = cy[arc]
    part, row = _rows(
        grid,
        centre_y + np.where(upward > 0, from_y, -to_y),
        centre_y + np.where(upward > 0, to_y, -from_y),
    )
    y = np.maximum((grid.low + (row + 0.5) * grid.cell - centre_y[part]) * upward[part], 0)
    upper = (1 / np.tan(np.maximum(end, _ANGLE)))[part]
    lower = (1 / np.tan(np.maximum(begin, _ANGLE)))[part]
    near = np.maximum(np.sqrt(np.maximum((inner * inner)[part] - y * y, 0)), y * upper - EDGE)
    far = np.where(begin[part] > _ANGLE, y * lower + EDGE, np.inf)
    room = (outer * outer)[part] - y * y
    far = np.where(room >= 0, np.minimum(far, np.sqrt(np.maximum(room, 0))), -np.inf)
    x, flip = cx[arc][part], side[part] < 0
    return _columns(grid, row, np.where(flip, x - far, x + near), np.where(flip, x - near, x + far), arc[part])


def cells(grid: Grid, strips: Strips) -> tuple[Ints, Ints]:
    """Flat indices of the cells covered, strip after strip, and how many each strip holds."""
    count = strips.last - strips.first + 1
    begin = strips.row * grid.columns + strips.first
    before = np.cumsum(count) - count
    total = int(before[-1] + count[-1]) if len(count) else 0
    flat = np.repeat(begin - before, count)
    flat += np.arange(total)
    return flat, count


def running_sums(count: NDArray[Any]) -> Ints:
    """(rows + 1, columns + 1) sums of the cells (rows, columns) below and to the left of each corner."""
    sums = np.zeros((count.shape[0] + 1, count.shape[1] + 1), np.intp)
    np.cumsum(count, axis=0, out=sums[1:, 1:])
    np.cumsum(sums[1:, 1:], axis=1, out=sums[1:, 1:])
    return sums


def rows_near(grid: Grid, sums: Ints, box: Floats, span: Floats) -> tuple[Flags, Ints]:
    """(n,) whether any of what is counted in the cells may be within `span` (n,) of boxes (4, n), and in how many rows.

    sums : as running_sums() has them
    box : least and greatest x, least and greatest y
    """
    corner, most = np.array([[grid.left], [grid.low]]), [[grid.columns], [grid.rows]]
    first = np.floor((box[[0, 2]] - span - corner) / grid.cell)
    last = np.floor((box[[1, 3]] + span - corner) / grid.cell)
    (left, low), (right, high) = (np.clip(edge, 0, most).astype(np.intp) for edge in (first, last + 1))
    return sums[high, right] - sums[low, right] - sums[high, left] + sums[low, left] > 0, high - low


def spread(count: Ints) -> tuple[Ints, Ints]:
    """For counts (2, 3): owners 0 0 1 1 1, and the place within each, 0 1 0 1 2."""
    owner = np.repeat(np.arange(len(count)), count)
    before = np.cumsum(count) - count
    return owner, np.arange(len(owner)) - before[owner]


def within(some: Ints, rising: Ints) -> Flags:
    """(k,) which of some numbers are among others, which rise."""
    if not len(rising):
        return np.zeros(len(some), bool)
    return np.asarray(rising[np.minimum(np.searchsorted(rising, some), len(rising) - 1)] == some)


def in_portions(count: Ints | Floats, most: int) -> Iterator[tuple[int, int]]:
    """Ranges of things in a row that together count about `most` at most; a single one is never divided."""
    if len(count):
        edges = [0, *(np.flatnonzero(np.diff(np.cumsum(count) // most)) + 1).tolist(), len(count)]
        yield from zip(edges[:-1], edges[1:], strict=True)


def _rows(grid: Grid, low: Floats, high: Floats) -> tuple[Ints, Ints]:
    """Rows whose centres lie in [low, high], for each of n: (owner, row)."""
    first = np.ceil((low - grid.low) / grid.cell - 0.5)
    last = np.floor((high - grid.low) / grid.cell - 0.5)
    first = np.clip(first, 0, grid.rows).astype(np.intp)
    last = np.clip(last, -1, grid.rows - 1).astype(np.intp)
    owner, nth = spread(np.maximum(last - first + 1, 0))
    return owner, first[owner] + nth


def _columns(grid: Grid, row: Ints, left: Floats, right: Floats, owner: Ints) -> Strips:
    """Strips from the x range covered in each row; those that hold no cell centre are dropped."""
    first = np.ceil((left - grid.left) / grid.cell - 0.5)
    last = np.floor((right - grid.left) / grid.cell - 0.5)
    first = np.clip(first, 0, grid.columns).astype(np.intp)
    last = np.clip(last, -1, grid.columns - 1).astype(np.intp)
    some = np.flatnonzero(last >= first)
    return Strips(row[some], first[some], last[some], owner[some])
