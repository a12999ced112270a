"""Motions made ready for cutting: on the board, in one table, arcs out of the XY plane as lines."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import ARC, Motions
from toolpaths.judging.wood.sweep import Flags, Ints, spread

# Rows of a table of moves. An arc has a sweep other than 0; the rest of its rows mean nothing for a line.
X0, Y0, Z0, X1, Y1, Z1, CX, CY, RADIUS, START, SWEEP = range(11)

# mm that the short lines may stray from an arc in the XZ or YZ plane.
_CHORD = 1e-4
# At most so many lines for one such arc: that fine up to a radius of a metre, coarser beyond.
_MOST_LINES = 4_000
# Lines for all such arcs of a program, about: where that is too few for that fineness, all are coarser, and never
# fewer than so many for one.
_MOST_IN_ALL, _LEAST = 3_000_000, 8
# Fewer than one move in so many to be joined is not worth a copy of the table.
_FEW = 20
# Any large odd number scatters the keys; this is 2^64 over the golden ratio.
_MIXER = np.uint64(0x9E3779B97F4A7C15)
_METRE = 1000.0
# Of a key, by which those are found of which there are two.
_BITS = 20


class Paths(NamedTuple):
    """Where motions go: table : (11, n), mm from the board's lower-left corner and top; motion : (n,) which."""

    table: Floats
    motion: Ints


def on_board(motions: Motions, zero: tuple[float, float, float]) -> Paths:
    """All motions in board coordinates, one column each, or several for an arc in XZ or YZ."""
    table = np.zeros((11, len(motions)))
    for row, column in ((X0, motions.start), (X1, motions.end)):
        for axis in range(3):
            np.add(column[:, axis], zero[axis], out=table[row + axis])
    arcs = np.flatnonzero(motions.kind == ARC)
    shift = np.array(zero)
    cx, cy = centre = (motions.centre[arcs] + shift)[:, :2].T
    dx, dy = table[:2, arcs] - centre
    table[6:, arcs] = cx, cy, np.hypot(dx, dy), np.arctan2(dy, dx), motions.sweep[arcs]
    order = np.arange(len(motions))
    upright = arcs[motions.plane[arcs] != 17]
    if not len(upright):
        return Paths(table, order)
    count = np.ones(len(motions), np.intp)
    count[upright] = _lines_for(motions, upright)
    owner, _ = spread(count)
    table = table[:, owner]
    first = np.cumsum(count) - count
    for i in upright.tolist():
        start, end, centre = (column[i] + shift for column in (motions.start, motions.end, motions.centre))
        chain = _upright(start, end, centre, float(motions.sweep[i]), int(motions.plane[i]), int(count[i]))
        here = slice(first[i], first[i] + count[i])
        table[:3, here], table[3:6, here] = chain[:-1].T, chain[1:].T
        table[6:, here] = 0.0
    return Paths(table, owner)


def _axes(plane: int) -> tuple[int, int]:
    """The standard's first and second axis of the XZ (18) or YZ (19) plane: G18 turns from Z towards X."""
    return (2, 0) if plane == 18 else (1, 2)


def _lines_for(motions: Motions, arcs: Ints) -> Ints:
    """(k,) how many lines stand for each of these arcs in the XZ or YZ plane."""
    out = motions.start[arcs] - motions.centre[arcs]
    for plane in (18, 19):
        out[motions.plane[arcs] == plane, 3 - sum(_axes(plane))] = 0.0
    radius = np.maximum(np.sqrt((out * out).sum(axis=1)), 1e-9)
    step = 2 * np.arccos(np.maximum(1 - _CHORD / radius, 0.0))
    count = np.clip(np.ceil(np.abs(motions.sweep[arcs]) / step), 1, _MOST_LINES)
    share = min(_MOST_IN_ALL / float(count.sum()), 1.0)
    return np.asarray(np.minimum(count, np.maximum(np.ceil(count * share), _LEAST)), np.intp)


def _upright(start: Floats, end: Floats, centre: Floats, sweep: float, plane: int, count: int) -> Floats:
    """(count + 1, 3) points along an arc in the XZ (18) or YZ (19) plane."""
    first, second = _axes(plane)
    along = 3 - first - second
    a, b = start[first] - centre[first], start[second] - centre[second]
    radius = float(np.hypot(a, b))
    part = np.linspace(0.0, 1.0, count + 1)
    angle = np.arctan2(b, a) + sweep * part
    chain = np.empty((count + 1, 3))
    chain[:, first] = centre[first] + radius * np.cos(angle)
    chain[:, second] = centre[second] + radius * np.sin(angle)
    chain[:, along] = start[along] + (end[along] - start[along]) * part
    chain[0], chain[-1] = start, end
    return chain


def path_keys(path: Floats | list[Floats]) -> NDArray[np.uint64]:
    """(n,) one number for each column of (rows, n), so that one sort finds the columns that may be the same."""
    key = np.zeros(len(path[0]), np.uint64)
    for row in path:
        key = (key ^ np.ascontiguousarray(row).view(np.uint64)) * _MIXER
        key ^= key >> np.uint64(32)
    return key


def repeated(key: NDArray[np.uint64]) -> Ints:
    """Which of these numbers come more than once; now and then one that does not is among them."""
    in_order = np.sort(key)
    twice = in_order[1:][in_order[1:] == in_order[:-1]]
    if not len(twice):
        return np.zeros(0, np.intp)
    some, last_bits = np.zeros(1 << _BITS, bool), np.uint64((1 << _BITS) - 1)
    some[twice & last_bits] = True
    return np.flatnonzero(some[key & last_bits])


def taken(table: Floats, which: Ints) -> Floats:
    """These of the moves, in rising order, without a copy where they follow each other."""
    if len(which) and which[-1] - which[0] + 1 == len(which):
        return table[:, which[0] : which[-1] + 1]
    return table[:, which]


def chosen(table: Floats, which: Flags) -> Floats:
    """Some of the moves, without a copy if that is all."""
    return table if which.all() else table[:, which]


def deepest(table: Floats) -> Flags:
    """(n,) without the moves that another one repeats at the same depth or below, along the same path.

    A contour in seven passes is seven times one path: only the lowest leaves a trace.
    """
    kept = np.ones(table.shape[1], bool)
    path = [table[row] for row in (X0, Y0, X1, Y1, SWEEP, CX, CY)]
    key = path_keys(path)
    some = repeated(key)
    if not len(some):
        return kept
    low, high = table[Z0], table[Z1]
    order = some[np.lexsort([(low + high)[some], key[some]])]
    fresh = np.ones(len(order), bool)
    fresh[1:] = key[order[1:]] != key[order[:-1]]
    best = order[np.flatnonzero(fresh)[np.cumsum(fresh) - 1]]
    again = (low[order] >= low[best]) & (high[order] >= high[best]) & ~fresh
    for row in path:
        again &= row[order] == row[best]
    kept[order[again]] = False
    return kept


def straightened(table: Floats) -> Floats:
    """The same paths with level moves that go on, or back, along one line of X or of Y made one move, unless
    they are too few to be worth it."""
    x0, y0, z0, x1, y1, z1 = table[:6]
    level = (z0 == z1) & (table[SWEEP] == 0)
    along_x, along_y = level & (y0 == y1) & (x0 != x1), level & (x0 == x1) & (y0 != y1)
    joined = (along_x[1:] & along_x[:-1]) | (along_y[1:] & along_y[:-1])
    joined &= (x0[1:] == x1[:-1]) & (y0[1:] == y1[:-1]) & (z0[1:] == z0[:-1])
    if np.count_nonzero(joined) * _FEW <= len(joined):
        return table
    begin = np.flatnonzero(np.append(True, ~joined))
    fewer = table[:, begin]
    many = np.flatnonzero(np.diff(begin, append=len(joined) + 1) > 1)
    for first, last in ((X0, X1), (Y0, Y1)):
        fewer[first, many] = np.minimum.reduceat(np.minimum(table[first], table[last]), begin)[many]
        fewer[last, many] = np.maximum.reduceat(np.maximum(table[first], table[last]), begin)[many]
    return fewer


def follows_at(table: Floats, step: float) -> Flags:
    """(n,) moves whose path one before has gone, either way, no more than `step` higher at both ends."""
    swap = (table[X0] > table[X1]) | ((table[X0] == table[X1]) & (table[Y0] > table[Y1]))
    x0, y0, z0, x1, y1, z1 = _turned_round(table, swap)
    sweep = np.where(swap, -table[SWEEP], table[SWEEP])
    arc = sweep != 0
    path = np.stack([x0, y0, x1, y1, sweep, np.where(arc, table[CX], 0.0), np.where(arc, table[CY], 0.0)]) + 0.0
    key = path_keys(path)
    some = repeated(key)
    order = some[np.argsort(key[some], kind="stable")]
    last, this = order[:-1], order[1:]
    again = (path[:, last] == path[:, this]).all(axis=0)
    again &= (z0[last] - z0[this] <= step) & (z1[last] - z1[this] <= step)
    found = np.zeros(table.shape[1], bool)
    found[this[again]] = True
    return found


def lowest_so_far(heights: Floats, chain: Ints) -> Floats:
    """(n,) the least height up to each move within its chain.

    chain : (n,) number of the chain that each move belongs to, never falling
    Heights beyond a metre are cut short.
    """
    # Subtracting more than any height for each chain lets one running minimum serve for all of them.
    step = chain * 2 * _METRE
    return np.asarray(np.minimum.accumulate(np.clip(heights, -_METRE, _METRE) - step) + step)


def uphill_lines(table: Floats) -> Floats:
    """(6, n) x, y, z of the low end and of the high end of straight moves."""
    return _turned_round(table, table[Z1] < table[Z0])


def _turned_round(table: Floats, which: Flags) -> Floats:
    """(6, n) x, y, z of the first and of the last end of moves, of these (n,) the other way about."""
    first, last = table[X0 : Z0 + 1], table[X1 : Z1 + 1]
    return np.concatenate([np.where(which, last, first), np.where(which, first, last)])


def uphill_arcs(table: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Of arcs in the XY plane, (n,) each: angle of the low end, way round uphill (1 or -1), radians
    turned, z of the low end, rise per radian."""
    falling = table[Z1] < table[Z0]
    low_end = np.where(falling, table[START] + table[SWEEP], table[START])
    sense = np.where(falling, -np.sign(table[SWEEP]), np.sign(table[SWEEP]))
    sweep = np.abs(table[SWEEP])
    return low_end, sense, sweep, np.minimum(table[Z0], table[Z1]), np.abs(table[Z1] - table[Z0]) / sweep
