"""Taking wood away: what a batch of moves of one cutter leaves at each cell centre.

Within a batch the order of the moves makes no difference, since each cell keeps the lowest cut made
over it. Only a move that is watched needs the moves before it to be done first.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.judging.wood import heights
from toolpaths.judging.wood.dense import in_strips, rim_moves
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.lowest import lower
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
    chosen,
    deepest,
    straightened,
    taken,
    uphill_arcs,
    uphill_lines,
)
from toolpaths.judging.wood.paths import extents, lengths
from toolpaths.judging.wood.sweep import Ints, Strips, capsules, cells, in_portions, sectors

# Cells taken at a time, so few that the work stays in the cache; and where only strips of them are held.
_MOST_CELLS, _MOST_IN_STRIPS = 250_000, 8_000_000
# Fewer level moves of a flat cutter at one depth are quicker cut one by one than looked at as a raster, fewer straight
# moves than by tiles; so are moves that lie over each other less than so many times.
_MANY, _MANY_IN_TILES = 200, 1_500
_THINLY = 1.0


class Cut(NamedTuple):
    """Cells (flat index, a cell may come more than once), the height of the cut at each, and its move."""

    cell: Ints
    z: Floats
    move: Ints


def remove(top: Heights, grid: Grid, table: Floats, profile: Profile) -> None:
    """Lower `top` to what these moves of one cutter leave; `top` is changed in place."""
    table = straightened(chosen(table, np.minimum(table[Z0], table[Z1]) < 0))
    table = chosen(table, deepest(table))
    if profile.kind == "flat":
        table = _floors(top, grid, table, profile.radius)
    table = _lines(top, grid, table, profile)
    flat_top = top.reshape(-1)
    for first, last in portions(grid, table, profile.diameter):
        for cell, z, _ in cuts(grid, table[:, first:last], profile):
            # Takes each cell as often as it comes, unlike an assignment; single precision first,
            # since mixed types cost ten times as much.
            np.minimum.at(flat_top, cell, z.astype(np.float32, copy=False))


def _floors(top: Heights, grid: Grid, table: Floats, radius: float) -> Floats:
    """Lower `top` by the level moves that are many enough at one depth; returns the other moves."""
    left = np.ones(table.shape[1], bool)
    level = np.flatnonzero(table[Z0] == table[Z1])
    level = level[np.argsort(table[Z0, level], kind="stable")]
    edges = np.concatenate([[0], np.flatnonzero(np.diff(table[Z0, level])) + 1, [len(level)]])
    for group in np.flatnonzero(np.diff(edges) >= _MANY).tolist():
        which = level[edges[group] : edges[group + 1]]
        some = taken(table, which)
        rows, columns, window = window_over(grid, some, radius)
        if cells_covered(window, some, 2 * radius).sum() < _THINLY * window.rows * window.columns:
            continue
        left[which] = False
        here, z = top[rows, columns], np.float32(some[Z0, 0])
        sure, rim = rim_moves(window, some, radius, here > z)
        for start, end in portions(window, some[:, rim], 2 * radius, _MOST_IN_STRIPS):
            for strips, _ in level_strips(window, some[:, rim[start:end]], np.full(end - start, radius))[0]:
                sure |= in_strips(window, strips)
        here[sure] = np.minimum(here[sure], z)
    return chosen(table, left)


def _lines(top: Heights, grid: Grid, table: Floats, profile: Profile) -> Floats:
    """Lower `top` by the straight moves if they are many; returns the other moves."""
    # What a lost decimal point sends kilometres away would be cut into millions of parts; it goes in strips.
    far = 2 * (grid.rows + grid.columns) * grid.cell
    straight = (table[SWEEP] == 0) & (np.hypot(table[X1] - table[X0], table[Y1] - table[Y0]) < far)
    if np.count_nonzero(straight) < _MANY_IN_TILES:
        return table
    some = chosen(table, straight)
    rows, columns, window = window_over(grid, some, profile.radius)
    if cells_covered(window, some, profile.diameter).sum() < _THINLY * window.rows * window.columns:
        return table
    lower(top[rows, columns], window, uphill_lines(some), profile)
    return table[:, ~straight]


def window_over(grid: Grid, table: Floats, radius: float) -> tuple[slice, slice, Grid]:
    """Rows and columns that these moves can reach, and the grid that they are."""
    box = extents(table)
    sides = []
    for low, high, origin, count in (
        (box[2].min(), box[3].max(), grid.low, grid.rows), (box[0].min(), box[1].max(), grid.left, grid.columns),
    ):  # fmt: skip
        first, last = (low - radius - origin) // grid.cell - 1, (high + radius - origin) // grid.cell + 2
        start = int(min(max(first, 0), count - 1))
        sides.append(slice(start, int(min(max(last, start + 1), count))))
    rows, columns = sides
    window = Grid(
        grid.cell, grid.left + columns.start * grid.cell, grid.low + rows.start * grid.cell,
        rows.stop - rows.start, columns.stop - columns.start,
    )  # fmt: skip
    return rows, columns, window


def portions(grid: Grid, table: Floats, width: float, most: int = _MOST_CELLS) -> Iterator[tuple[int, int]]:
    """Ranges of moves that cover about so many cells together at most."""
    return in_portions(cells_covered(grid, table, width), most)


def cells_covered(grid: Grid, table: Floats, width: float) -> Floats:
    """About how many cells each move covers; an endless one no more than the board."""
    return np.asarray(np.minimum((lengths(table) + width) * width / grid.cell**2, grid.rows * grid.columns))


def cuts(grid: Grid, table: Floats, profile: Profile, clearance: float = 0.0) -> Iterator[Cut]:
    """The cuts of these moves, in board coordinates, wherever they go below the board's top.

    clearance : how much smaller than it is the cutter counts, for what it would run into
    """
    low = np.minimum(table[Z0], table[Z1]) < 0
    turning = table[SWEEP] != 0
    level = (table[Z0] == table[Z1]) | (~turning & (table[X0] == table[X1]) & (table[Y0] == table[Y1]))
    for kind, some in ((_level, low & level), (_sloped, low & ~level & ~turning), (_helical, low & ~level & turning)):
        which = np.flatnonzero(some)
        if len(which):
            for cut in kind(grid, table[:, which], profile, clearance):
                yield cut._replace(move=which[cut.move])


def _level(grid: Grid, table: Floats, profile: Profile, clearance: float) -> Iterator[Cut]:
    """Level moves and straight plunges: the cutter's surface at the least distance from the path."""
    z = np.minimum(table[Z0], table[Z1])
    strips, ends = level_strips(grid, table, heights.reach(profile, -z, clearance))
    if profile.kind == "flat":
        for strip, which in strips:
            cell, count = cells(grid, strip)
            yield Cut(cell, np.repeat(z[which], count), np.repeat(which, count))
        return
    straight = strips[0][0]
    sx, sy, ex, ey = (e[straight.owner] for e in ends)
    along, aside, length, cell, count = along_and_aside(grid, straight, sx, sy, ex, ey)
    past = along - np.clip(along, 0.0, length)
    move = np.repeat(strips[0][1], count)
    yield Cut(cell, heights.level(profile, np.sqrt(aside * aside + past * past), z[move]), move)
    for around, which in strips[1:]:
        rho, _, cell, count = _around_centre(grid, around, table, which, angles=False)
        move = np.repeat(which, count)
        yield Cut(cell, heights.level(profile, np.abs(rho - table[RADIUS][move]), z[move]), move)


def level_strips(grid: Grid, table: Floats, reach: Floats) -> tuple[list[tuple[Strips, Ints]], list[Floats]]:
    """Strips within `reach` of level moves, straight ones first, each strip's move, and the ends of the straight."""
    lines, arcs = np.flatnonzero(table[SWEEP] == 0), np.flatnonzero(table[SWEEP])
    x0, y0, x1, y1 = table[[X0, Y0, X1, Y1]]
    # A sector leaves out the round ends of an arc's cut: discs of their own.
    owner = np.concatenate([lines, arcs, arcs])
    ends = [np.concatenate([c[lines], c0[arcs], c1[arcs]])
            for c, c0, c1 in ((x0, x0, x1), (y0, y0, y1), (x1, x0, x1), (y1, y0, y1))]  # fmt: skip
    straight = capsules(grid, reach[owner], *ends)
    strips = [(straight, owner[straight.owner])]
    if len(arcs):
        around = sectors(grid, reach[arcs], *table[[[CX], [CY], [RADIUS], [START], [SWEEP]], arcs])
        strips.append((around, arcs[around.owner]))
    return strips, ends


def _sloped(grid: Grid, table: Floats, profile: Profile, clearance: float) -> Iterator[Cut]:
    """Straight moves down or up a slope."""
    x0, y0, z0, x1, y1, z1 = uphill_lines(table)
    reach = heights.reach(profile, -z0, clearance)
    strips = capsules(grid, reach, x0, y0, x1, y1)
    which = strips.owner
    along, aside, length, cell, count = along_and_aside(grid, strips, x0[which], y0[which], x1[which], y1[which])
    slope = (z1 - z0) / np.hypot(x1 - x0, y1 - y0)
    move = np.repeat(which, count)
    yield Cut(cell, heights.sloped_line(profile, along, aside, length, z0[move], slope[move], reach[move]), move)


def _helical(grid: Grid, table: Floats, profile: Profile, clearance: float) -> Iterator[Cut]:
    """Arcs in the XY plane that go down or up."""
    low_end, sense, sweep, z, rise = uphill_arcs(table)
    reach = heights.reach(profile, -z, clearance)
    # A path no wider than the cutter covers nearly the whole disc around it: look at all of that.
    small = np.flatnonzero(table[RADIUS] <= reach)
    large = np.flatnonzero(table[RADIUS] > reach)
    owner = np.concatenate([small, large, large])
    x = np.concatenate([table[CX][small], table[X0][large], table[X1][large]])
    y = np.concatenate([table[CY][small], table[Y0][large], table[Y1][large]])
    radius = reach[owner] + np.where(np.arange(len(owner)) < len(small), table[RADIUS][owner], 0.0)
    discs = capsules(grid, radius, x, y, x, y)
    strips = [(discs, owner[discs.owner])]
    if len(large):
        around = sectors(grid, reach[large], *table[[[CX], [CY], [RADIUS], [START], [SWEEP]], large])
        strips.append((around, large[around.owner]))
    for strip, which in strips:
        rho, angle, cell, count = _around_centre(grid, strip, table, which)
        columns = (low_end, sense, table[RADIUS], sweep, z, rise, reach)
        move = np.repeat(which, count)
        begin, uphill, path, whole, low, per_radian, within = (column[move] for column in columns)
        turn = np.mod((angle - begin) * uphill, 2 * np.pi)
        yield Cut(cell, heights.helix(profile, rho, turn, path, whole, low, per_radian, within), move)


def along_and_aside(
    grid: Grid, strips: Strips, x0: Floats, y0: Floats, x1: Floats, y1: Floats
) -> tuple[Floats, Floats, Floats, Ints, Ints]:
    """Per cell of straight strips: place along and beside the move, its length; cells, counts."""
    cell, count = cells(grid, strips)
    dx, dy = x1 - x0, y1 - y0
    length = np.hypot(dx, dy)
    safe = np.where(length > 0, length, 1.0)
    # A move of no length is a line along X of length 0: any direction would do.
    ux, uy = np.where(length > 0, dx / safe, 1.0), dy / safe
    # Both are straight-line functions of the flat index along a strip, so all but two products and
    # two sums can be done once a strip. An index of 1e9 still leaves 1e-7 mm.
    x = _x_of_index_0(grid, strips) - x0
    y = grid.low + (strips.row + 0.5) * grid.cell - y0
    along = np.repeat(ux * grid.cell, count) * cell
    along += np.repeat(x * ux + y * uy, count)
    aside = np.repeat(-uy * grid.cell, count) * cell
    aside += np.repeat(y * ux - x * uy, count)
    return along, aside, np.repeat(length, count), cell, count


def _around_centre(
    grid: Grid, strips: Strips, table: Floats, which: Ints, angles: bool = True
) -> tuple[Floats, Floats, Ints, Ints]:
    """Per cell of round strips: distance and angle from the arc's centre; cells, counts."""
    cell, count = cells(grid, strips)
    y = np.repeat(grid.low + (strips.row + 0.5) * grid.cell - table[CY][which], count)
    x = np.asarray(cell * grid.cell, np.float64)
    x += np.repeat(_x_of_index_0(grid, strips) - table[CX][which], count)
    angle: Floats = np.arctan2(y, x) if angles else x
    return np.sqrt(x * x + y * y), angle, cell, count


def _x_of_index_0(grid: Grid, strips: Strips) -> Floats:
    """For each strip, the x that the cell of flat index 0 would have if its row were that long."""
    return np.asarray(grid.left + (0.5 - strips.row * grid.columns) * grid.cell, np.float64)
