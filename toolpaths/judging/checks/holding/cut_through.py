"""When the board is cut through: for each cell the move that leaves too little wood there to hold anything."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import cuts_over
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.field import Grid, Heights, one_height
from toolpaths.judging.wood.moves import START, SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.paths import places_on, seen_lengths
from toolpaths.judging.wood.removal import level_strips
from toolpaths.judging.wood.sweep import Flags, Ints, Strips, cells, in_portions, rows_near, running_sums

# mm; a skin thinner than this holds no piece in place (common practice, no source).
SKIN = 0.2
# mm by which single and double precision may differ about a height.
_CLOSE = 1e-4
# Cells a side of the blocks in which moves look first for wood that goes.
_BLOCK = 16
# Cells that moves may pass over one by one; where there are more, short moves in a row count as one, of at
# most so many mm, as long as they stray no farther than this from a straight line.
_PATIENCE = 4_000_000
_LONGEST = (1.0, 4.0, 16.0)
_STRAY = 0.02
# Moves, and cells, worked on at a time: some 100 MB each.
_MOST_MOVES = 50_000
_MOST_CELLS = 2_000_000


def still_holds(top: Heights, bottom: Heights) -> Flags:
    """(rows, columns) where enough wood stands to hold."""
    if one_height(top):  # spares a sum over all cells
        return np.asarray(bottom <= top[0, 0] - np.float32(SKIN - ROUNDING))
    return np.asarray(top >= _floor(bottom))


def cut_through_by(trial: Trial) -> NDArray[np.int32] | None:
    """(rows, columns) index of the first move that leaves less than a skin in each cell.

    As many as there are moves where wood stays, -1 where there was none before. None if this program
    cuts through nowhere. Of a very long program with many short moves it may be a move up to 16 mm later.
    """
    case, before, after = trial.case, trial.before, trial.after
    floor = _floor(before.bottom)
    uniform = one_height(floor)
    deep = case.cutting
    if uniform:
        deep = deep & (case.moves.low < floor[0, 0] + _CLOSE)
        if not deep.any():
            return None
    goes = after.top < floor
    stood = None if uniform and one_height(before.top) else still_holds(before.top, before.bottom)
    if stood is not None:
        goes &= stood
    going = np.flatnonzero(goes)
    if not len(going):
        return None
    cut_by = np.full(goes.shape, len(case.moves.low), np.int32)
    if stood is not None:
        cut_by[~stood] = -1
    flat = cut_by.reshape(-1)
    simple, other = _simple(case, _over(case, np.flatnonzero(deep), after.grid, going), uniform)
    table = _below(case.moves.path[:, simple], (float(floor[0, 0]) if uniform else float(floor[goes].max())) + _CLOSE)
    rows = _in_rows(case, table, simple, after.grid)
    for cell, move, z in _strips(case, table, simple, rows, after.grid):
        hit = goes.reshape(-1)[cell]
        if not uniform:
            hit &= z < floor.reshape(-1)[cell] + _CLOSE
        np.minimum.at(flat, cell[hit], move[hit])
    if len(other):
        _exactly(case, other, after.grid, floor, going, flat)
    missed = going[flat[going] == len(case.moves.low)]
    if len(missed):
        _exactly(case, simple, after.grid, floor, missed, flat)
        late = np.searchsorted(simple, flat[missed])
        flat[missed] = simple[rows[np.searchsorted(rows, np.minimum(late, len(simple) - 1))]]
    return cut_by


def _exactly(case: Case, moves: Ints, grid: Grid, floor: Heights, going: Ints, cut_by: NDArray[np.int32]) -> None:
    """Write into cut_by the first of these moves that cuts through at each of these cells, if none did before."""
    row, column = np.divmod(going, grid.columns)
    for pairs in cuts_over(case, centres(grid, going), moves=moves):
        hit = pairs.z < floor[row[pairs.place], column[pairs.place]] + _CLOSE
        np.minimum.at(cut_by, going[pairs.place[hit]], pairs.move[hit].astype(np.int32))


def _floor(bottom: Heights) -> Heights:
    """Lowest top of wood that holds."""
    if one_height(bottom):
        return np.broadcast_to(bottom[0, 0] + np.float32(SKIN - ROUNDING), bottom.shape)
    return bottom + np.float32(SKIN - ROUNDING)


def _over(case: Case, which: Ints, grid: Grid, going: Ints) -> Ints:
    """Those of the moves that come near wood that goes."""
    rows, columns = -(-grid.rows // _BLOCK), -(-grid.columns // _BLOCK)
    row, column = np.divmod(going, grid.columns)
    count = np.bincount(row // _BLOCK * columns + column // _BLOCK, minlength=rows * columns)
    blocks = Grid(grid.cell * _BLOCK, grid.left, grid.low, rows, columns)
    near, _ = rows_near(blocks, running_sums(count.reshape(rows, columns)), case.moves.box[:, which], case.radii(which))
    return np.asarray(which[near])


def _simple(case: Case, which: Ints, uniform: bool) -> tuple[Ints, Ints]:
    """The moves that cut through the board along a path of one width, and the rest.

    A flat cutter gets through the board with all of its width, along the part of the move that is deep
    enough; of a level move that is all of it, and of a sloping one it is known where the underside is even.
    """
    flat = [number for number, cutter in case.cutters.items() if cutter.profile.kind == "flat"]
    level = case.moves.upright[which] | (case.moves.path[Z0, which] == case.moves.path[Z1, which])
    simple = np.isin(case.moves.tool[which], np.array(flat, int)) & (level | uniform)
    return which[simple], which[~simple]


def _strips(
    case: Case, table: Floats, which: Ints, rows: Ints, grid: Grid
) -> Iterator[tuple[Ints, NDArray[np.int32], Floats]]:
    """Cells passed over by these moves of flat cutters, with the move and its lowest z; many at a time.

    rows : (r,) index of the last move of each straight row, which counts as one
    """
    if not len(rows):
        return
    first = np.append(0, rows[:-1] + 1)
    table = np.where(np.isin(np.arange(11), [X1, Y1, Z1])[:, None], table[:, rows], table[:, first])
    which, radius = which[rows], case.radii(which[rows])
    for begin in range(0, len(which), _MOST_MOVES):
        here = slice(begin, begin + _MOST_MOVES)
        yield from _strips_of(table[:, here], which[here], radius[here], grid)


def _strips_of(
    table: Floats, which: Ints, reach: Floats, grid: Grid
) -> Iterator[tuple[Ints, NDArray[np.int32], Floats]]:
    low = np.minimum(table[Z0], table[Z1])
    for strips, mover in level_strips(grid, table, reach)[0]:
        for i, j in in_portions(strips.last - strips.first + 1, _MOST_CELLS):
            cell, count = cells(grid, Strips(*(column[i:j] for column in strips)))
            moves = mover[i:j]
            yield cell, np.repeat(which[moves].astype(np.int32), count), np.repeat(low[moves], count)


def _in_rows(case: Case, table: Floats, which: Ints, grid: Grid) -> Ints:
    """(r,) the last move of each straight row: every move, or where these pass over too many cells, of several.

    In a row short level moves follow each other without straying far from the straight line. What the row cuts
    counts as cut by its last move, since only with that is all of it done.
    """
    radius, turning = case.radii(which), table[SWEEP] != 0
    long = seen_lengths(table)
    plain = ~turning & (table[Z0] == table[Z1])
    follows = plain[1:] & plain[:-1] & (np.diff(which) == 1) & (np.diff(case.moves.tool[which]) == 0)
    follows &= (table[[X1, Y1, Z1], :-1] == table[[X0, Y0, Z0], 1:]).all(axis=0)
    travelled = np.cumsum(long)
    rows = np.arange(len(which))
    for longest in _LONGEST if len(which) else ():
        first = np.append(0, rows[:-1] + 1)
        chord = np.where(turning[first], long[first], _chord(table, first, rows))
        if ((chord + 2 * radius[first]) * 2 * radius[first]).sum() / grid.cell**2 <= _PATIENCE:
            break
        shorter, rows = rows, np.append(np.flatnonzero(~follows | (np.diff(travelled // longest) != 0)), len(which) - 1)
        first = np.append(0, rows[:-1] + 1)
        along = travelled[rows] - travelled[first] + long[first]
        # As far as a path of this length may stray from its chord.
        bent = along**2 - _chord(table, first, rows) ** 2 > 4 * _STRAY**2
        rows = np.union1d(rows, shorter[np.repeat(bent, rows - first + 1)[shorter]])
    return rows


def _chord(table: Floats, first: Ints, last: Ints) -> Floats:
    return np.asarray(np.hypot(table[X1, last] - table[X0, first], table[Y1, last] - table[Y0, first]))


def _below(table: Floats, height: float) -> Floats:
    """The moves cut off where they rise above this height; each has a part below it."""
    z0, z1 = table[Z0], table[Z1]
    rise = np.where(z0 == z1, 1.0, z1 - z0)
    crossing = np.clip((height - z0) / rise, 0.0, 1.0)
    upright = (table[SWEEP] == 0) & (table[X0] == table[X1]) & (table[Y0] == table[Y1])
    cut = ~upright & (z0 != z1)
    first = np.where(cut & (z0 > height), crossing, 0.0)
    last = np.where(cut & (z1 > height), crossing, 1.0)
    kept = table.copy()
    begin, end = table[START] + first * table[SWEEP], table[START] + last * table[SWEEP]
    kept[[X0, Y0]], kept[[X1, Y1]] = places_on(table, first)[:, :2].T, places_on(table, last)[:, :2].T
    kept[START], kept[SWEEP] = begin, end - begin
    return kept
