"""Exact heights of the cuts at scattered places, whatever the cells of the wood.

Places and moves are brought together over a coarse grid whose cells hold the places: a move passes
over the cells that it comes near, row by row, as it does over the cells of the wood.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.facts.turning import turned_points
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.wood import heights
from toolpaths.judging.wood.field import Grid, Heights, Wood, one_height
from toolpaths.judging.wood.moves import (
    CX,
    CY,
    RADIUS,
    START,
    SWEEP,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    taken,
    uphill_arcs,
    uphill_lines,
)
from toolpaths.judging.wood.patches import cells_at, extreme_around, on_board
from toolpaths.judging.wood.paths import extents
from toolpaths.judging.wood.removal import level_strips
from toolpaths.judging.wood.sweep import EDGE, Flags, Ints, Strips, discs, in_portions, rows_near, running_sums, spread

# Strips worked on at a time: some 100 MB.
_MOST_STRIPS = 300_000
# Pairs (a move and a place) worked on at a time: so few that what they show rules out many of the next.
_MOST_PAIRS = 30_000
# Pairs of all moves of a cutter with all places that are sooner looked at than sorted into cells.
_FEW_PAIRS = 20_000
# So many pairs, about, are looked at before it is asked which places need no more.
_MANY_PAIRS = 4_000_000
# A move that is not longer than twice this share of its span is looked for as a circle.
_SHORT = 0.1
# mm; heights that agree in so much are one height.
_ONE_HEIGHT = 1e-6
# For one number that sorts by height, then by move: more moves than any program has, and above that
# room for 8 m of height in steps of _ONE_HEIGHT.
_MOVES = 1 << 29


class Pairs(NamedTuple):
    """p meetings of a place and a move that cuts there, and the height of that cut; (p,) each."""

    place: Ints
    move: Ints
    z: Floats


def cut_at(case: Case, places: Floats, *, before: Ints | None = None, moves: Ints | None = None) -> tuple[Floats, Ints]:
    """(k,) height of the lowest cut over each place, and (k,) the move that first cut so low.

    places : (k, 2) mm, on the board as it lies
    before : (k,) only moves of a lower index count at that place
    moves : (n,) only these count
    inf and -1 where nothing cuts below the top of the board. Of heights that agree when rounded to
    1e-6 mm the earliest move is named.
    """
    low = np.full(len(places), np.inf)
    least = np.full(len(places), np.iinfo(np.int64).max)
    for pairs in cuts_over(case, places, before, moves):
        np.minimum.at(low, pairs.place, pairs.z)
        ranked = np.rint(pairs.z / _ONE_HEIGHT).astype(np.int64) * _MOVES + pairs.move
        np.minimum.at(least, pairs.place, ranked)
    return low, np.where(np.isfinite(low), least % _MOVES, -1).astype(np.intp)


def lowest_over(case: Case, places: Floats, before: Ints | None = None) -> Floats:
    """(k,) height of the lowest cut over each place (k, 2), as in cut_at.

    The moves are looked at latest first, or without `before` deepest first, some at a time where very many of them
    lie over each place; a place below which no move is left that goes deeper is looked at no more. What goes over the
    same wood a hundred thousand times costs little more for that.
    """
    low, left = np.full(len(places), np.inf), np.arange(len(places))
    if not len(places):
        return low
    which = case.lowest_moves if before is None else case.cutting_moves
    deepest_left = np.minimum.accumulate(case.moves.low[which])
    size = len(which) or 1
    if size * len(places) > _MANY_PAIRS:
        size = max(int(_MANY_PAIRS / max(case.overlap * len(places), 1.0) * size), 1)
    for end in range(len(which), 0, -size):
        left = left[low[left] > deepest_left[end - 1]]
        block = which[max(end - size, 0) : end]
        here = left if before is None else left[before[left] > block[0]]
        known = low[here]
        for pairs in _pairs(case, places[here], block[::-1], None if before is None else before[here], known):
            np.minimum.at(known, pairs.place, pairs.z)
        low[here] = known
    return low


def first_below(case: Case, places: Floats, limit: Floats) -> Ints:
    """(k,) the first move that cuts below limit (k,) over each place (k, 2); -1 where none does."""
    first = np.full(len(places), len(case.moves.low))
    # The lowest passes tell where any is too low; which was the first is asked there alone.
    some = np.flatnonzero(_first_of(case, case.lowest_moves, places, limit) < len(case.moves.low))
    first[some] = _first_of(case, case.cutting_moves, places[some], limit[some])
    return np.where(first < len(case.moves.low), first, -1)


def _first_of(case: Case, which: Ints, places: Floats, limit: Floats) -> Ints:
    """(k,) the first of these moves that cuts below limit (k,) over each place (k, 2); the number of all where none
    does."""
    first = np.full(len(places), len(case.moves.low))
    for pairs in _pairs(case, places, which, None, limit):
        below = pairs.z < limit[pairs.place]
        np.minimum.at(first, pairs.place[below], pairs.move[below])
    return first


def faces_before(trial: Trial, places: Floats, moves: Ints) -> tuple[Floats, Floats]:
    """(k,) upper and lower face of the wood at places (k, 2), equal where there is none, as off the board, when a
    move (k,) of its own begins at each.

    Exact as long as the programs that cut the wood before are known. Else its heights are known at cell centres only,
    and the least wood of the cell and its neighbours counts: a hole's rim must not be taken for wood.
    """
    stock, cuts = trial.before, trial.before.top_cuts
    top = _around(stock.top, stock.grid, places, np.minimum) if cuts is None else face_at(cuts, places)
    exact = lower_face(stock, places)
    bottom = _around(stock.bottom, stock.grid, places, np.maximum) if exact is None else exact
    cut = lowest_over(trial.case, places, moves)
    top = np.where(on_board(stock.board, places), np.minimum(top, cut), bottom)
    return np.maximum(top, bottom), bottom


def face_at(cases: tuple[Case, ...], places: Floats) -> Floats:
    """(k,) height that programs leave of a face that was whole before them."""
    height = np.zeros(len(places))
    for case in cases:
        height = np.minimum(height, lowest_over(case, places))
    return height


def lower_face(stock: Wood, places: Floats) -> Floats | None:
    """(k,) height of the board's lower face at places (k, 2); None where its programs are not known."""
    cuts, board = stock.bottom_cuts, stock.board
    if cuts is None:
        return None
    turned = stock.turned or next((case.fixture.turned for case in cuts), "")
    return -board.thickness - face_at(cuts, turned_points(places, board, turned))


def _around(face: Heights, grid: Grid, places: Floats, extreme: np.ufunc) -> Floats:
    if one_height(face):
        return np.full(len(places), float(face[0, 0]))
    return np.asarray(extreme_around(face, *cells_at(grid, places), extreme), np.float64)


def cuts_over(case: Case, places: Floats, before: Ints | None = None, moves: Ints | None = None) -> Iterator[Pairs]:
    """All cuts below the top of the board over these places, some at a time, in no order; see cut_at."""
    which = case.cutting_moves
    yield from _pairs(case, places, which if moves is None else which[np.isin(which, moves)], before)


def cuts_in_order(case: Case, places: Floats, known: Floats) -> Iterator[Pairs]:
    """As cuts_over(), in the order of the program; known : (k,) as in _cuts_of."""
    yield from _pairs(case, places, case.cutting_moves, None, known, in_turn=True)


def _pairs(
    case: Case, places: Floats, which: Ints, before: Ints | None, known: Floats | None = None, in_turn: bool = False
) -> Iterator[Pairs]:
    """The cuts of these moves over the places, as in _cuts_of, in turn or cutter by cutter."""
    if not len(places):
        return
    if before is not None:
        which = which[which < before.max(initial=0)]
    in_cells = sorted_into_cells(np.asarray(places, np.float64))
    # Only cutters that come near are looked at one by one: of hundreds few do.
    which = case.in_blocks_near(which, lambda box, radius: _come_near(in_cells, box, radius))
    which = which[_come_near(in_cells, case.moves.box[:, which], case.radii(which))]
    for profile, mine in (case.openings_in_turn if in_turn else case.by_opening)(which):
        yield from _cuts_of(case.moves.path, mine, profile, places, in_cells, before, known)


def _come_near(in_cells: InCells, box: Floats, radius: Floats) -> Flags:
    """(n,) whether cutters of these radii (n,) may reach any of the places from within boxes (4, n)."""
    return rows_near(in_cells.grid, in_cells.sums, box, radius + _slack(in_cells))[0]


def heights_over(table: Floats, profile: Profile, places: Floats, in_cells: InCells, known: Floats) -> Iterator[Pairs]:
    """The cuts below 0 over places (k, 2) of moves of one cutter that are in no program, (11, n) as in moves.py.

    in_cells : the places, of which there are some, as sorted_into_cells() gives them
    known : (k,) z, as in _cuts_of
    """
    yield from _cuts_of(table, np.arange(table.shape[1]), profile, places, in_cells, known=known)


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
    ux, uy, length = _direction(x0, y0, x1, y1)
    reach, even = heights.reach(profile, -z0), (z0 == z1) | (length == 0)
    return Ready(table, z0, reach, table[SWEEP] != 0, x0, y0, z1, ux, uy, length, even)


def _cuts_of(
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
        return some, _beside_line(profile, along, aside, length, low, reach)
    if not even.any():
        return some, _beside_slope(profile, along, aside, length, low, ready.high[move], reach)
    z = np.empty(len(some))
    z[even] = _beside_line(profile, *(column[even] for column in (along, aside, length, low, reach)))
    up = ~even
    columns = along, aside, length, low, ready.high[move], reach
    z[up] = _beside_slope(profile, *(column[up] for column in columns))
    return some, z


class InCells(NamedTuple):
    """Places in the cells of a coarse grid.

    order : (k,) places by cell, row after row
    begin : (cells + 1,) where those of each cell begin in `order`
    sums : (rows + 1, columns + 1) how many lie below and to the left
    """

    grid: Grid
    order: Ints
    begin: Ints
    sums: Ints


def sorted_into_cells(places: Floats) -> InCells:
    """Places (k, 2), at least one, in the cells of a coarse grid about them."""
    left, low = places.min(axis=0).tolist()
    width, height = (places.max(axis=0) - places.min(axis=0)).tolist()
    # About four cells for each place, none under a millimetre.
    cell = max(1.0, np.sqrt(width * height / len(places)) / 2, max(width, height) / 4 / len(places))
    rows, columns = int(height / cell) + 1, int(width / cell) + 1
    row = np.minimum((places[:, 1] - low) / cell, rows - 1).astype(np.intp)
    column = np.minimum((places[:, 0] - left) / cell, columns - 1).astype(np.intp)
    index = row * columns + column
    count = np.bincount(index, minlength=rows * columns)
    begin, sums = np.concatenate([[0], np.cumsum(count)]), running_sums(count.reshape(rows, columns))
    return InCells(Grid(cell, left, low, rows, columns), np.argsort(index, kind="stable"), begin, sums)


def _slack(in_cells: InCells) -> float:
    """Half the diagonal of a cell: as far as a place may lie from the cell's centre."""
    return in_cells.grid.cell * 0.7072


def _boxes_about(ready: Ready, x: Floats, y: Floats) -> tuple[Ints, Ints]:
    """Places and moves of one cutter in whose boxes, as wide as it cuts, they lie; in the order of the moves."""
    wide = (ready.reach + EDGE)[:, None]
    left, right, low, high = extents(ready.table)[:, :, None]
    move, place = np.nonzero((x >= left - wide) & (x <= right + wide) & (y >= low - wide) & (y <= high + wide))
    return place, move


def _near(ready: Ready, in_cells: InCells) -> Iterator[tuple[Ints, Ints]]:
    """Places and moves of one cutter that may come within its reach of each other; some come twice."""
    grid, span = in_cells.grid, ready.reach + _slack(in_cells)
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


def cut_heights(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    """(p,) height of the cut that each move of one cutter, (11, p), makes at a place of its own, x and y (p,).

    inf where the cutter does not reach. The same closed forms as for the cells of the wood.
    """
    z = np.full(table.shape[1], np.inf)
    turning = table[SWEEP] != 0
    upright = ~turning & (table[X0] == table[X1]) & (table[Y0] == table[Y1])
    even = upright | (table[Z0] == table[Z1])
    for some, height in (
        (~turning & even, _over_line),
        (turning & even, _over_arc),
        (~turning & ~even, _over_slope),
        (turning & ~even, _over_helix),
    ):
        if some.all():
            return height(profile, table, x, y)
        who = np.flatnonzero(some)
        if len(who):
            z[who] = height(profile, table[:, who], x[who], y[who])
    return z


def _over_line(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    along, aside, length = _along_and_aside(table[X0], table[Y0], table[X1], table[Y1], x, y)
    z = np.minimum(table[Z0], table[Z1])
    return _beside_line(profile, along, aside, length, z, heights.reach(profile, -z))


def _beside_line(profile: Profile, along: Floats, aside: Floats, length: Floats, z: Floats, reach: Floats) -> Floats:
    past = along - np.minimum(np.maximum(along, 0.0), length)
    return _if_reached(profile, z, np.sqrt(aside * aside + past * past), reach)


def _over_arc(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    dx, dy = x - table[CX], y - table[CY]
    turn = np.mod((np.arctan2(dy, dx) - table[START]) * np.sign(table[SWEEP]), 2 * np.pi)
    ends = np.minimum(np.hypot(x - table[X0], y - table[Y0]), np.hypot(x - table[X1], y - table[Y1]))
    distance = np.where(turn <= np.abs(table[SWEEP]), np.abs(np.hypot(dx, dy) - table[RADIUS]), ends)
    z = np.minimum(table[Z0], table[Z1])
    return _if_reached(profile, z, distance, heights.reach(profile, -z))


def _if_reached(profile: Profile, z: Floats, distance: Floats, reach: Floats) -> Floats:
    return np.where(distance <= reach + EDGE, heights.level(profile, distance, z), np.inf)


def _over_slope(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    x0, y0, z0, x1, y1, z1 = uphill_lines(table)
    along, aside, length = _along_and_aside(x0, y0, x1, y1, x, y)
    return _beside_slope(profile, along, aside, length, z0, z1, heights.reach(profile, -z0))


def _beside_slope(
    profile: Profile, along: Floats, aside: Floats, length: Floats, low: Floats, high: Floats, reach: Floats
) -> Floats:
    past = along - np.minimum(np.maximum(along, 0.0), length)
    height = heights.sloped_line(profile, along, aside, length, low, (high - low) / length, reach)
    return np.where(aside * aside + past * past <= (reach + EDGE) ** 2, height, np.inf)


def _over_helix(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    low_end, sense, sweep, z, rise = uphill_arcs(table)
    dx, dy = x - table[CX], y - table[CY]
    turn = np.mod((np.arctan2(dy, dx) - low_end) * sense, 2 * np.pi)
    return heights.helix(
        profile, np.hypot(dx, dy), turn, table[RADIUS], sweep, z, rise, heights.reach(profile, -z)
    )  # fmt: skip


def _along_and_aside(
    x0: Floats, y0: Floats, x1: Floats, y1: Floats, x: Floats, y: Floats
) -> tuple[Floats, Floats, Floats]:
    """Where a place lies along and beside a straight move, and the move's length, seen from above."""
    ux, uy, length = _direction(x0, y0, x1, y1)
    return (x - x0) * ux + (y - y0) * uy, (y - y0) * ux - (x - x0) * uy, length


def _direction(x0: Floats, y0: Floats, x1: Floats, y1: Floats) -> tuple[Floats, Floats, Floats]:
    """(n,) each: the direction of straight moves, along X where they have none, and their length seen from above."""
    dx, dy = x1 - x0, y1 - y0
    length = np.hypot(dx, dy)
    safe = np.where(length > 0, length, 1.0)
    return np.where(length > 0, dx / safe, 1.0), dy / safe, length
