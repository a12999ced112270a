"""Which moves of one cutter cut over which of many places, and how low.

Places and moves are brought together over a coarse grid whose cells hold the places: a move passes over the cells that
it comes near, row by row, as it does over the cells of the wood.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.judging.trial.cut_heights import beside_line, beside_slope, cut_heights, direction_seen_from_above
from toolpaths.judging.trial.places_in_cells import InCells, slack
from toolpaths.judging.wood import heights
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.moves import CX, CY, RADIUS, SWEEP, X0, X1, Y0, Y1, taken, uphill_lines
from toolpaths.judging.wood.paths import extents
from toolpaths.judging.wood.removal import level_strips
from toolpaths.judging.wood.sweep import EDGE, Flags, Ints, Strips, discs, in_portions, rows_near, spread

# Strips worked on at a time: some 100 MB.
_MOST_STRIPS = 300_000
# Pairs (a move and a place) worked on at a time: so few that what they show rules out many of the next.
_MOST_PAIRS = 30_000
# Pairs of all moves of a cutter with all places that are sooner looked at than sorted into cells.
_FEW_PAIRS = 20_000
# A move that is not longer than twice this share of its span is looked for as a circle.
_SHORT = 0.1


class Pairs(NamedTuple):
    """p meetings of a place and a move that cuts there, and the height of that cut; (p,) each."""

    place: Ints
    move: Ints
    z: Floats


def heights_over(table: Floats, profile: Profile, places: Floats, in_cells: InCells, known: Floats) -> Iterator[Pairs]:
    """The cuts below 0 over places (k, 2) of moves of one cutter that are in no program, (11, n) as in moves.py.

    in_cells : the places, of which there are some, as sorted_into_cells() gives them
    known : (k,) z, as in cuts_of
    """
    yield from cuts_of(table, np.arange(table.shape[1]), profile, places, in_cells, known=known)


class Ready(NamedTuple):
    """m moves of one cutter, made ready to be asked over many places; (m,) each but for the table.

    table : (11, m) as in moves.py
    tip, reach : lowest z, and the radius within which the cutter can touch wood there
    turning : whether it is an arc
    x, y, high : of a straight one where its low end lies, and z of the other end
    ux, uy, length : its direction and length seen from above
    even : whether it leaves what its low end leaves all along, level or upright
    """

    table: Floats
    tip: Floats
    reach: Floats
    turning: Flags
    x: Floats
    y: Floats
    high: Floats
    ux: Floats
    uy: Floats
    length: Floats
    even: Flags


def _ready(table: Floats, profile: Profile) -> Ready:
    x0, y0, z0, x1, y1, z1 = uphill_lines(table)
    ux, uy, length = direction_seen_from_above(x0, y0, x1, y1)
    reach, even = heights.reach(profile, -z0), (z0 == z1) | (length == 0)
    return Ready(table, z0, reach, table[SWEEP] != 0, x0, y0, z1, ux, uy, length, even)


def cuts_of(
    table: Floats, which: Ints, profile: Profile, places: Floats, in_cells: InCells, before: Ints | None = None,
    known: Floats | None = None,
) -> Iterator[Pairs]:  # fmt: skip
    """The cuts below 0 of these moves of one cutter over the places, of each place only by moves before its own.

    known : (k,) z down to which each place is known to be cut; what cuts no lower is left out. It may be lowered as
        cuts are found
    """
    x, y = places.T
    ready = _ready(table[:, which], profile)
    few = len(x) * len(which) <= _FEW_PAIRS
    for place, move in [_boxes_about(ready, x, y)] if few else _near(ready, in_cells):
        if before is not None:
            early = which[move] < before[place]
            place, move = place[early], move[early]
        # No move cuts lower than its tip does, nor so low but within the cutter's radius at that height.
        tip = ready.tip[move]
        below = np.minimum(known[place], 0.0) - tip if known is not None else -tip
        deep = np.flatnonzero(below > 0)
        place, move, near = place[deep], move[deep], profile.radii(below[deep]) + 2 * EDGE
        some, z = cuts_near(profile, ready, move, x[place], y[place], near)
        cut = np.flatnonzero(z < 0)
        some = some[cut]
        yield Pairs(place[some], which[move[some]], z[cut])


def cuts_near(profile: Profile, ready: Ready, move: Ints, x: Floats, y: Floats, near: Floats) -> tuple[Ints, Floats]:
    """Which of p moves of one cutter come so near (p,) to a place of their own, arcs as whole circles, and the heights
    of their cuts there, as of cut_heights()."""
    turning = ready.turning[move]
    if not turning.any():
        return _straight_near(profile, ready, move, x, y, near)
    arcs, lines = np.flatnonzero(turning), np.flatnonzero(~turning)
    arcs = arcs[_off_circle(ready.table, move[arcs], x[arcs], y[arcs]) <= near[arcs]]
    some, z = _straight_near(profile, ready, move[lines], x[lines], y[lines], near[lines])
    round_it = cut_heights(profile, ready.table[:, move[arcs]], x[arcs], y[arcs])
    some, z = np.append(lines[some], arcs), np.append(z, round_it)
    order = np.argsort(some)
    return some[order], z[order]


def _straight_near(
    profile: Profile, ready: Ready, move: Ints, x: Floats, y: Floats, near: Floats
) -> tuple[Ints, Floats]:
    """As cuts_near, of straight moves."""
    dx, dy = x - ready.x[move], y - ready.y[move]
    ux, uy, length = ready.ux[move], ready.uy[move], ready.length[move]
    along, aside = dx * ux + dy * uy, dy * ux - dx * uy
    some = np.flatnonzero((np.abs(aside) <= near) & (along >= -near) & (along <= length + near))
    along, aside, length, move = along[some], aside[some], length[some], move[some]
    low, reach, even = ready.tip[move], ready.reach[move], ready.even[move]
    if even.all():
        return some, beside_line(profile, along, aside, length, low, reach)
    if not even.any():
        return some, beside_slope(profile, along, aside, length, low, ready.high[move], reach)
    z = np.empty(len(some))
    z[even] = beside_line(profile, *(column[even] for column in (along, aside, length, low, reach)))
    up = ~even
    columns = along, aside, length, low, ready.high[move], reach
    z[up] = beside_slope(profile, *(column[up] for column in columns))
    return some, z


def _boxes_about(ready: Ready, x: Floats, y: Floats) -> tuple[Ints, Ints]:
    """Places and moves of one cutter in whose boxes, as wide as it cuts, they lie; in the order of the moves."""
    wide = (ready.reach + EDGE)[:, None]
    left, right, low, high = extents(ready.table)[:, :, None]
    move, place = np.nonzero((x >= left - wide) & (x <= right + wide) & (y >= low - wide) & (y <= high + wide))
    return place, move


def _near(ready: Ready, in_cells: InCells) -> Iterator[tuple[Ints, Ints]]:
    """Places and moves of one cutter that may come within its reach of each other; some come twice."""
    grid, span = in_cells.grid, ready.reach + slack(in_cells)
    some, rows = rows_near(grid, in_cells.sums, extents(ready.table), span)
    which, span, rows = np.flatnonzero(some), span[some], rows[some]
    for begin, end in in_portions(rows + 1, _MOST_STRIPS):
        strips, owner = _strips_about(grid, taken(ready.table, which[begin:end]), span[begin:end])
        at = in_cells.begin[strips.row * grid.columns + strips.first]
        count = in_cells.begin[strips.row * grid.columns + strips.last + 1] - at
        full = np.flatnonzero(count)
        at, count, owner = at[full], count[full], which[begin:end][owner[full]]
        for i, j in in_portions(count, _MOST_PAIRS):
            strip, nth = spread(count[i:j])
            yield in_cells.order[at[i:j][strip] + nth], owner[i:j][strip]


def _strips_about(grid: Grid, table: Floats, span: Floats) -> tuple[Strips, Ints]:
    """Strips of cells that these moves come so near (n,), or a little more than that, in the order of the moves; and
    the move of each."""
    dx, dy = table[X1] - table[X0], table[Y1] - table[Y0]
    half = np.sqrt(dx * dx + dy * dy) / 2
    if not table[SWEEP].any() and (half < _SHORT * span).all():
        # Each in a circle about its middle: sooner known, and hardly larger.
        strips = discs(grid, span + half, table[X0] + dx / 2, table[Y0] + dy / 2)
        return strips, strips.owner
    parts, _ = level_strips(grid, table, span)
    strips = Strips(*(np.concatenate(columns) for columns in zip(*(part for part, _ in parts), strict=True)))
    owner = np.concatenate([moves for _, moves in parts])
    # In the order of the moves, round ends and all.
    order = np.argsort(owner, kind="stable")
    return Strips(*(column[order] for column in strips)), owner[order]


def _off_circle(table: Floats, move: Ints, x: Floats, y: Floats) -> Floats:
    """(p,) mm from a place of its own to the whole circle that each of these arcs follows."""
    cx, cy, radius = table[CX, move], table[CY, move], table[RADIUS, move]
    return np.asarray(np.abs(np.hypot(x - cx, y - cy) - radius))
