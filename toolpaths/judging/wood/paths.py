"""Closed-form facts about paths seen from above: how near, how far, how wide."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Board
from toolpaths.judging.wood.moves import CX, CY, RADIUS, START, SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Flags, Ints, in_portions, spread

_TURN = 2 * np.pi
# mm between the places at which a sloping move is looked at, and the most places for one move.
_STEP = 0.02
_MOST = 5_000
# Places along all moves of a program: no more than about so many altogether, and so many at a time; and mm of
# one arc, more than any board has room for, beyond which they are no more, but farther apart.
_MOST_PLACES, _AT_A_TIME = 5_000_000, 250_000
_LONGEST = 30_000.0


def nearest(table: Floats, x: float, y: float) -> tuple[Floats, Floats]:
    """Least distance of each path from a point, and the place (n, 2) where it comes that near."""
    x0, y0, dx, dy = table[X0], table[Y0], table[X1] - table[X0], table[Y1] - table[Y0]
    square = dx * dx + dy * dy
    part = ((x - x0) * dx + (y - y0) * dy) / np.where(square > 0, square, 1.0)
    part = np.clip(part, 0.0, 1.0)
    place = np.stack([x0 + part * dx, y0 + part * dy], axis=1)
    arcs = np.flatnonzero(table[SWEEP])
    if len(arcs):
        place[arcs] = _on_arc(table[:, arcs], np.arctan2(y - table[CY][arcs], x - table[CX][arcs]), x, y, False)
    return np.hypot(place[:, 0] - x, place[:, 1] - y), place


def farthest(table: Floats, x: float, y: float) -> Floats:
    """Greatest distance of each path from a point."""
    far = np.maximum(np.hypot(table[X0] - x, table[Y0] - y), np.hypot(table[X1] - x, table[Y1] - y))
    arcs = np.flatnonzero(table[SWEEP])
    if len(arcs):
        away = np.arctan2(table[CY][arcs] - y, table[CX][arcs] - x)
        place = _on_arc(table[:, arcs], away, x, y, True)
        far[arcs] = np.maximum(far[arcs], np.hypot(place[:, 0] - x, place[:, 1] - y))
    return np.asarray(far)


def _on_arc(arcs: Floats, angle: Floats, x: float, y: float, far: bool) -> Floats:
    """The place of each arc at that angle, or where it does not pass there the better of its ends."""
    cx, cy, radius = arcs[CX], arcs[CY], arcs[RADIUS]
    passes = _passes(arcs, angle)
    first = np.hypot(arcs[X0] - x, arcs[Y0] - y)
    second = np.hypot(arcs[X1] - x, arcs[Y1] - y)
    start = first >= second if far else first <= second
    ends = np.where(start, arcs[[X0, Y0]], arcs[[X1, Y1]])
    around = np.stack([cx + radius * np.cos(angle), cy + radius * np.sin(angle)])
    return np.where(passes, around, ends).T


def _passes(arcs: Floats, angle: Floats) -> Flags:
    turn = np.mod((angle - arcs[START]) * np.sign(arcs[SWEEP]), _TURN)
    return np.asarray(turn <= np.abs(arcs[SWEEP]))


def extents(table: Floats) -> Floats:
    """(4, n) least x, greatest x, least y, greatest y of each path."""
    box = np.empty((4, table.shape[1]))
    for row, first, last in ((0, X0, X1), (2, Y0, Y1)):
        np.minimum(table[first], table[last], out=box[row])
        np.maximum(table[first], table[last], out=box[row + 1])
    arcs = np.flatnonzero(table[SWEEP])
    if len(arcs):
        some = table[:, arcs]
        for row, centre, sign, angle in (
            (0, CX, -1, np.pi),
            (1, CX, 1, 0.0),
            (2, CY, -1, -np.pi / 2),
            (3, CY, 1, np.pi / 2),
        ):
            passes = _passes(some, np.full(len(arcs), angle))
            box[row, arcs] = np.where(passes, some[centre] + sign * some[RADIUS], box[row, arcs])
    return box


def boxes_near(box: Floats, x: float, y: float, reach: float | Floats) -> Flags:
    """(n,) whether boxes (4, n), as extents() has them, come within reach of a place along X and along Y."""
    left, right, low, high = box
    return np.asarray((left <= x + reach) & (right >= x - reach) & (low <= y + reach) & (high >= y - reach))


def looks(move: Floats) -> Floats:
    """(m, 3) places along one move, (11,), close together, both ends included."""
    length = float(lengths(move[:, None])[0])
    count = int(min(max(np.ceil(length / _STEP), 1), _MOST)) + 1
    return places_on(np.repeat(move[:, None], count, axis=1), np.linspace(0.0, 1.0, count))


def seen_lengths(table: Floats) -> Floats:
    """(n,) mm of each path as seen from above."""
    dx, dy = table[X1] - table[X0], table[Y1] - table[Y0]
    length = np.sqrt(dx * dx + dy * dy)
    arcs = np.flatnonzero(table[SWEEP])
    length[arcs] = np.abs(table[SWEEP, arcs]) * table[RADIUS, arcs]
    return np.asarray(length)


def places_on(table: Floats, part: Floats) -> Floats:
    """(n, 3) where the tip is after a share (n,) of each move."""
    ends = zip(table[[X0, Y0, Z0]], table[[X1, Y1, Z1]], strict=True)
    place = np.stack([first + part * (last - first) for first, last in ends], axis=1)
    arcs = np.flatnonzero(table[SWEEP])
    if len(arcs):
        cx, cy, radius, start, sweep = table[[[CX], [CY], [RADIUS], [START], [SWEEP]], arcs]
        angle = start + part[arcs] * sweep
        place[arcs, 0], place[arcs, 1] = cx + radius * np.cos(angle), cy + radius * np.sin(angle)
    return place


def along_line(points: Floats, shares: Floats) -> tuple[Floats, Floats]:
    """(k, 2) places at these shares (k,) of the length of a line through points (n, 2), and the direction at each."""
    edges = np.diff(points, axis=0)
    long = np.hypot(*edges.T)
    points, edges, long = points[:-1][long > 0], edges[long > 0], long[long > 0]
    before, at = np.cumsum(long) - long, shares * long.sum()
    edge = np.searchsorted(before, at, "right") - 1
    ahead = edges[edge] / long[edge, None]
    return points[edge] + (at - before[edge])[:, None] * ahead, ahead


def lengths(table: Floats) -> Floats:
    """(n,) mm of each move in space, along the helix where it is one."""
    length = seen_lengths(table)
    rising = np.flatnonzero(table[Z0] != table[Z1])
    length[rising] = np.hypot(length[rising], table[Z1, rising] - table[Z0, rising])
    return np.asarray(length)


def inside(start: Floats, vector: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Between which shares of its way, (n,) each from 0 to 1, each straight move is within a box; both 0 if never.

    start, vector : (2, n) of each move; low, high : (2,) corners of the box
    """
    going = vector != 0
    safe = np.where(going, vector, 1.0)
    one, other = (low[:, None] - start) / safe, (high[:, None] - start) / safe
    # What does not go along an axis is always between its two sides, or never.
    beyond = np.where((start >= low[:, None]) & (start <= high[:, None]), -np.inf, np.inf)
    enter = np.where(going, np.minimum(one, other), beyond).max(axis=0)
    leave = np.where(going, np.maximum(one, other), -beyond).min(axis=0)
    never = (enter > leave) | (enter > 1) | (leave < 0)
    return np.where(never, 0.0, np.maximum(enter, 0.0)), np.where(never, 0.0, np.minimum(leave, 1.0))


def over_board(table: Floats, board: Board) -> tuple[Floats, Ints]:
    """(11, k) moves no longer than the board: of straight ones the stretch that is over it, of arcs those that
    come near it, whole; and which they are (k,). A lost decimal point makes a move of kilometres."""
    left, right, low, high = extents(table)
    near = np.flatnonzero((left <= board.width) & (right >= 0) & (low <= board.height) & (high >= 0))
    # Most lie within it and stay as they are.
    within = (left >= 0) & (right <= board.width) & (low >= 0) & (high <= board.height)
    table = table[:, near]
    line = np.flatnonzero((table[SWEEP] == 0) & ~within[near])
    start, vector = table[[[X0], [Y0], [Z0]], line], table[[[X1], [Y1], [Z1]], line] - table[[[X0], [Y0], [Z0]], line]
    first, last = inside(start[:2], vector[:2], np.zeros(2), np.array([board.width, board.height]))
    cut = np.flatnonzero((first > 0) | (last < 1))
    table[X0 : Z0 + 1, line[cut]] = start[:, cut] + first[cut] * vector[:, cut]
    table[X1 : Z1 + 1, line[cut]] = start[:, cut] + last[cut] * vector[:, cut]
    kept = np.ones(len(near), bool)
    kept[line[last <= first]] = False
    return table[:, kept], near[kept]


def places_along(table: Floats, spacing: float) -> Iterator[tuple[Floats, Ints]]:
    """(k, 3) places along all moves, both ends and at most `spacing` apart seen from above, and the move of each
    (k,); some at a time. Of a very long program, or an endless arc, they are farther apart."""
    length = np.minimum(seen_lengths(table), _LONGEST)
    count = np.maximum(np.ceil(length / max(spacing, float(length.sum()) / _MOST_PLACES)), 1).astype(np.intp) + 1
    for begin, end in in_portions(count, _AT_A_TIME):
        move, nth = spread(count[begin:end])
        move += begin
        yield places_on(table[:, move], nth / np.maximum(count - 1, 1)[move]), move
