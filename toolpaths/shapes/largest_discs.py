"""Lines along which the largest discs inside an area are moved: its medial axis as few straight moves.

Between the ends of a move place and radius run straight. Where the axis curves, or the border turns about a corner,
that is not so of the axis, and moves are parted until it is within a share of the tolerance. At last every move is held
against every side of the border near it: the distance of a side from a place that goes straight on is convex, so where
the disc reaches over it most follows in closed form. Where it would, it is made smaller.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from toolpaths.base.checks import Floats
from toolpaths.shapes.axis_branches import Branches, without_short_tips
from toolpaths.shapes.border import Border, Flags
from toolpaths.shapes.corner_branches import Axis
from toolpaths.shapes.medial_axis import medial_axis, on_bisector, radii
from toolpaths.shapes.tolerance_shares import FIT

# Share of the tolerance by which what is left in corners of chords may lie inside the line.
_CORNERS = 1 / 2
# mm by which a vertex lies off the wall that it parts.
_STRAIGHT = 1e-6
# Fewest places along which the radius is looked at as level.
_FEWEST = 4
# Moves are halved so often at most.
_HALVED = 14


@dataclass(frozen=True, eq=False)
class LargestDiscs:
    """Branches of (x, y, radius), straight between, that meet at their ends.

    lines : (k, 3) of each branch, mm; one row where a single disc is all there is
    ends : the numbers of the nodes at which each begins and ends
    """

    lines: tuple[Floats, ...]
    ends: tuple[tuple[int, int], ...]


def largest_discs(polygon: Polygon, tolerance: float) -> LargestDiscs:
    """The discs of a sound polygon. None reaches over its border by more than the tolerance, and together they leave
    no more than it along the border, but in corners."""
    # Of a wall in several pieces end to end one would be taken for what the corner at its end lies between.
    polygon = shapely.simplify(polygon, _STRAIGHT)
    axis = medial_axis(polygon)
    branches = Branches(axis.places, axis.radius, *without_short_tips(axis, _CORNERS * tolerance))
    branches.prune(_CORNERS * tolerance)
    if not branches.nodes:
        at = int(axis.radius.argmax())
        return LargestDiscs((np.append(axis.places[at], axis.radius[at])[None],), ((at, at),))
    numbers = list(branches.nodes)
    places, radius, rows = _parted(polygon, axis, [branches.nodes[each] for each in numbers], FIT * tolerance)
    spots = np.column_stack([places, radius])
    rows = _straightened(spots, rows, FIT * tolerance)
    spots[:, 2] = _inside(axis.border, spots, rows, tolerance)
    return LargestDiscs(tuple(spots[row] for row in rows), tuple((row[0], row[-1]) for row in rows))


def _parted(polygon: Polygon, axis: Axis, rows: list[list[int]], most: float) -> tuple[Floats, Floats, list[list[int]]]:
    """Places and radii of the axis and more of them between, and rows of their numbers, where a straight move would be
    off by more than so many mm."""
    border, places, radius = axis.border, axis.places, axis.radius
    count = len(places)
    keys = np.sort(axis.pieces, axis=1) @ (count, 1)
    order = np.argsort(keys, kind="stable")
    pieces = np.array([pair for row in rows for pair in zip(row, row[1:])]).reshape(-1, 2)
    wanted = np.sort(pieces, axis=1) @ (count, 1)
    at = np.minimum(np.searchsorted(keys[order], wanted), len(keys) - 1)
    known = keys[order][at] == wanted
    beside = axis.beside[order][at]
    between: dict[tuple[int, int], int] = {}
    live = np.flatnonzero(known)
    pieces, beside = pieces[live], beside[live]
    for _ in range(_HALVED):
        one, other = pieces.T
        chord = (places[one] + places[other]) / 2
        sides = [border.nearer(each, chord) for each in beside.T]
        middle = on_bisector(border, chord, *sides)
        true = radii(polygon, middle)
        true_middle = np.abs(border.distance(sides[0], middle)[0] - true) < most
        # What is no middle of these two, as close to a fork, is only held to be no less than the border is away.
        middle, true = (
            np.where(true_middle[:, None], middle, chord),
            np.where(true_middle, true, radii(polygon, chord)),
        )
        off = np.hypot(np.hypot(*(middle - chord).T), true - (radius[one] + radius[other]) / 2) > most
        if not off.any():
            break
        new = len(places) + np.arange(int(off.sum()))
        places, radius = np.vstack([places, middle[off]]), np.append(radius, true[off])
        between.update(zip(zip(one[off].tolist(), other[off].tolist()), new.tolist()))
        pieces = np.vstack([np.column_stack([one[off], new]), np.column_stack([new, other[off]])])
        beside = np.tile(np.column_stack(sides)[off], (2, 1))
    return places, radius, [_with_middles(row, between) for row in rows]


def _with_middles(row: list[int], between: dict[tuple[int, int], int]) -> list[int]:
    found = row[:1]
    stack = list(zip(row, row[1:]))[::-1]
    while stack:
        one, other = stack.pop()
        middle = between.get((one, other))
        if middle is None:
            found.append(other)
        else:
            stack += [(middle, other), (one, middle)]
    return found


def _levelled(spots: Floats, row: list[int], most: float) -> Flags:
    """(k,) which places of a row stand inside a bend along which the radius is the same but for so many mm. It is made
    so, that of the smallest; what is round is then known by all its places."""
    radius = spots[row, 2].tolist()
    inside = np.zeros(len(row), bool)
    begin = 0
    while begin < len(row) - _FEWEST:
        low = high = radius[begin]
        end = begin + 1
        while end < len(row) and max(high, radius[end]) - min(low, radius[end]) <= most:
            low, high = min(low, radius[end]), max(high, radius[end])
            end += 1
        if end - begin > _FEWEST:
            run = row[begin:end]
            spots[run, 2] = low
            if _bends(spots[run, :2], most):
                inside[begin:end] = True
        begin = end
    return inside


def _bends(line: Floats, most: float) -> bool:
    """Whether a line is off the chord between its ends by more than so many mm."""
    chord, off = line[-1] - line[0], line - line[0]
    long = float(np.hypot(*chord))
    across = np.abs(off[:, 0] * chord[1] - off[:, 1] * chord[0]) / long if long > most else np.hypot(*off.T)
    return bool(across.max() > most)


def _straightened(spots: Floats, rows: list[list[int]], most: float) -> list[list[int]]:
    """Rows without what lies within so many mm of a straight move from its neighbours on, but for what is round at one
    radius."""
    kept = np.concatenate([_levelled(spots, row, most) for row in rows])
    nodes = np.concatenate(rows)
    line = spots[nodes]
    ends = np.cumsum([len(row) for row in rows])
    firsts = np.append(0, ends[:-1])
    kept[firsts] = kept[ends - 1] = True
    # What comes back to where it began has a middle.
    loops = [(int(first), int(end)) for first, end in zip(firsts, ends) if nodes[first] == nodes[end - 1]]
    for first, end in loops:
        kept[first + int(np.hypot(*(line[first:end, :2] - line[first, :2]).T).argmax())] = True
    while True:
        at = np.flatnonzero(kept)
        begin = np.cumsum(kept) - 1
        begin[kept] = np.maximum(begin[kept] - 1, 0)
        one, other = line[at[begin]], line[at[np.minimum(begin + 1, len(at) - 1)]]
        step, rest = other - one, line - one
        share = np.clip((rest * step).sum(axis=1) / np.maximum((step * step).sum(axis=1), 1e-18), 0.0, 1.0)
        off = np.where(kept, 0.0, np.sqrt(((rest - share[:, None] * step) ** 2).sum(axis=1)))
        far = np.maximum.reduceat(off, at)
        worst = np.flatnonzero((off > most) & (off == far[begin]) & ~kept)
        if not len(worst):
            break
        # The first of several as far off.
        kept[worst[np.unique(begin[worst], return_index=True)[1]]] = True
    return [nodes[first:end][kept[first:end]].tolist() for first, end in zip(firsts.tolist(), ends.tolist())]


def _inside(border: Border, spots: Floats, rows: list[list[int]], tolerance: float) -> Floats:
    """The radii (n,), made smaller where a move would reach over the border by more than half the tolerance."""
    moves = np.array([pair for row in rows for pair in zip(row, row[1:])]).reshape(-1, 2)
    radius = spots[:, 2].copy()
    if not len(moves):
        return radius
    over = reach_over(border, spots[moves[:, 0]], spots[moves[:, 1]]) - tolerance / 2
    less = np.zeros(len(spots))
    for ends in moves.T:
        np.maximum.at(less, ends, over)
    return np.maximum(radius - less, 0.0)


def reach_over(border: Border, start: Floats, end: Floats) -> Floats:
    """(m,) mm by which discs that are moved straight from (m, 3) x, y and radius to (m, 3) reach over the border."""
    lines = shapely.linestrings(np.stack([start[:, :2], end[:, :2]], axis=1))
    most = np.maximum(start[:, 2], end[:, 2])
    move, side = border.tree.query(lines, predicate="dwithin", distance=most)
    step = end[move] - start[move]
    long = np.hypot(step[:, 0], step[:, 1])
    ahead = step[:, :2] / np.maximum(long, 1e-12)[:, None]
    # Of each mm of the way the radius grows by so much; at more than 1 one disc covers all others.
    grows = np.clip(step[:, 2] / np.maximum(long, 1e-12), -1 + 1e-9, 1 - 1e-9)
    shares = [np.zeros(len(move)), np.ones(len(move))]
    for corner in (border.start[side], border.end[side]):
        off = corner - start[move, :2]
        across = np.abs(ahead[:, 0] * off[:, 1] - ahead[:, 1] * off[:, 0])
        along = (ahead * off).sum(axis=1) + across * grows / np.sqrt(1 - grows * grows)
        shares.append(np.clip(along / np.maximum(long, 1e-12), 0.0, 1.0))
    # And where a move crosses a side.
    across = step[:, 0] * border.inwards[side, 0] + step[:, 1] * border.inwards[side, 1]
    off = ((border.start[side] - start[move, :2]) * border.inwards[side]).sum(axis=1)
    shares.append(np.clip(np.divide(off, across, out=np.zeros(len(off)), where=np.abs(across) > 1e-12), 0.0, 1.0))
    over = np.full(len(start), -np.inf)
    for share in shares:
        disc = start[move] + share[:, None] * step
        np.maximum.at(over, move, disc[:, 2] - border.distance(side, disc[:, :2])[0])
    return over
