"""Gouges: wood removed that the part meant keeps."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.part import Part
from toolpaths.judging.checks.part.fault_places import (
    Patch,
    broad_walls_thin,
    by_owner,
    how_far,
    on_wood,
    patch_finding,
)
from toolpaths.judging.checks.part.feature_names import Names, names_of
from toolpaths.judging.checks.part.part_walls import PartWalls
from toolpaths.judging.checks.part.target import Target, lowest_here
from toolpaths.judging.checks.part.wall_places import BESIDE, turned_in
from toolpaths.judging.checks.part.wood_at import NOTHING, only_in_wood, wood_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import first_below
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.wood.field import Heights
from toolpaths.judging.wood.moves import X1, Y1, Z1, deepest, taken
from toolpaths.judging.wood.patches import (
    around,
    cells_at,
    centres,
    extreme_around,
    highest_in_tiles,
    on_board,
    spread_over,
)
from toolpaths.judging.wood.paths import over_board, places_along
from toolpaths.judging.wood.sweep import Flags, Ints

# mm between two places at which a tip is looked at along its path.
_ALONG = 0.5
# Cells to the side of the tiles by which most moves are seen to go nowhere too deep.
_TILE = 16


def gouges(trial: Trial, walls: PartWalls) -> Iterator[Finding]:
    """Wood of the part that this program takes away."""
    part = walls.part
    target = trial.once(lowest_here)
    names = names_of(trial, part)
    removed, limit = target.faults(trial.after.grid, lambda limit: _cut_below(trial, limit - np.float32(part.within)))
    known = yield from broad_walls_thin(
        trial, removed,
        lambda cells, parts: _patch(trial, names, cells, limit, parts),
        lambda known: _at_walls(trial, walls, target, known),
    )  # fmt: skip
    yield from _below_tips(trial, part, target, limit, around(known | removed))


def _cut_below(trial: Trial, limit: Heights) -> Flags:
    """(rows, columns) cells that this program has cut lower than limits (rows, columns)."""
    before, found = trial.before, only_in_wood(trial.before, trial.after.top < limit)
    row, column = np.divmod(np.flatnonzero(found), found.shape[1])
    found[row, column] = before.top[row, column] - trial.after.top[row, column] > NOTHING
    return found


def _patch(trial: Trial, names: Names, cells: Ints, lowest: Heights, parts: int) -> Finding:
    limit = lowest.reshape(-1)[cells].astype(np.float64)
    bottom = np.broadcast_to(trial.before.bottom, trial.after.top.shape).reshape(-1)[cells]
    within, deep = names.part.within, limit - np.maximum(trial.after.top.reshape(-1)[cells], bottom)
    # The deepest, and others spread over the patch, show which lines did it.
    looked = spread_over(cells, int(deep.argmax()))
    moves = first_below(trial.case, centres(trial.after.grid, cells[looked]), limit[looked] - within)
    moves = np.append(moves[moves >= 0], _ending_in(trial, cells, limit - within))
    return patch_finding(
        trial, names, "gouge", Patch(cells, deep, moves, parts),
        "{area:.1f} mm2 of the part are cut away that should stay{where}{parts}, {mean:.2f} mm deep on average, "
        "{worst:.2f} at worst.",
    )  # fmt: skip


def _ending_in(trial: Trial, cells: Ints, limit: Floats) -> Ints:
    """Moves whose tip ends in the patch and below its limit: a plunge cuts few cells, but sets the depth of all."""
    case, grid = trial.case, trial.after.grid
    moves = case.moves
    low = np.flatnonzero(case.known & ~moves.leaving & (moves.path[Z1] < limit.max()))
    row, column = cells_at(grid, moves.path[[[X1], [Y1]], low].T)
    ends, order = row * grid.columns + column, np.argsort(cells)
    at = order[np.minimum(np.searchsorted(cells, ends, sorter=order), len(cells) - 1)]
    inside = cells[at] == ends
    return np.asarray(low[inside & (moves.path[Z1, low] < limit[at])])


def _at_walls(trial: Trial, walls: PartWalls, target: Target, known: Flags) -> Iterator[tuple[Finding, Floats]]:
    """A wall cut into by less than the cells can show, and the places where it is; so too the board's own edge."""
    case, part, owner, allowed = trial.case, walls.part, walls.owner, walls.allowed
    names = ["edge of the board", *(f"wall of the {feature.name}" for feature in walls.features)]
    wall = turned_in(walls.wall, walls.keeps_inside[owner])
    points, keep = on_wood(trial.before, wall.beside(allowed + BESIDE), known)
    moves = _first_too_deep(trial, part, target, points)
    points, keep, moves = points[moves >= 0], keep[moves >= 0], moves[moves >= 0]
    far = how_far(wall, keep, allowed[keep], lambda at: _first_too_deep(trial, part, target, at) >= 0)
    for mine in by_owner(owner[keep]):
        hit = mine[np.argsort(moves[mine], kind="stable")]
        long = float(wall.step[keep[hit]].sum())
        at = np.column_stack([points[hit], case.moves.low[moves[hit]]])
        found = folded(
            "gouge", "damage", case.moves.line[moves[hit]], case.work(at), far[hit], part.within,
            f"the {names[owner[keep[hit[0]]]]} is cut into by at least {{amount}} mm, along {long:.1f} mm.",
        )  # fmt: skip
        yield found, points[hit]


def _first_too_deep(trial: Trial, part: Part, target: Target, places: Floats) -> Ints:
    """(k,) the first move that cuts too deep into the part at places (k, 2), -1 where none does."""
    first = first_below(trial.case, places, target.roughly_at(places) - part.within)
    some = np.flatnonzero(first >= 0)
    first[some] = first_below(trial.case, places[some], target.at(places[some]) - part.within)
    return first


def _too_deep(trial: Trial, part: Part, target: Target, limit: Heights, known: Flags, mine: Ints) -> Floats:
    """(f, 5) places of the tip that are too deep during some moves: x, y, z, the move, mm by which.

    known : (rows, columns) cells that are known to be cut too deep already
    """
    case, before, within = trial.case, trial.before, part.within
    table, over = over_board(case.moves.path[:, mine], case.fixture.board)
    tips = [np.empty((0, 5))]
    for places, which in places_along(table, _ALONG):
        row, column = cells_at(trial.after.grid, places[:, :2])
        # Off the board there is no part, though the nearest cell may be one of it.
        near = wood_in(before, row, column) & ~known[row, column]
        near &= before.top[row, column] > places[:, 2] + NOTHING
        some = np.flatnonzero(near & on_board(before.board, places[:, :2]))
        # A tip above all that may be cut around it is none, whatever the cells say.
        highest = extreme_around(limit, row[some], column[some], np.maximum)
        some = some[places[some, 2] < highest - within]
        deep = target.at(places[some, :2]) - places[some, 2]
        tips.append(np.column_stack([places[some], mine[over[which[some]]], deep])[deep > within])
    return np.concatenate(tips)


def _may_be_too_deep(trial: Trial, lowest: Heights, which: Ints) -> Ints:
    """Those of some moves that go lower somewhere than these heights (rows, columns) anywhere about them: by the tiles
    in which they lie, of moves longer than a tile all."""
    grid, moves = trial.after.grid, trial.case.moves
    highest, deep = highest_in_tiles(lowest, _TILE), moves.low[which]
    left, right, low, high = taken(moves.box, which)
    tiles = []
    # As far beside the path as the cells next to it are looked at, and a cell more for rounding.
    for first, last, corner, count in ((low, high, grid.low, len(highest)), (left, right, grid.left, highest.shape[1])):
        ends = ((first - corner) / grid.cell - 2, (last - corner) / grid.cell + 2)
        tiles.append([np.clip(end / _TILE, 0, count - 1).astype(np.intp) for end in ends])
    (below, above), (before, behind) = tiles
    found = (above - below > 1) | (behind - before > 1)
    for row in (below, above):
        for column in (before, behind):
            found |= deep < highest[row, column]
    return np.asarray(which[found])


def _below_tips(trial: Trial, part: Part, target: Target, limit: Heights, known: Flags) -> Iterator[Finding]:
    """A tip too deep where no cell centre shows it."""
    case = trial.case
    moves = case.moves
    cutting = _may_be_too_deep(trial, limit - part.within, np.flatnonzero(moves.below(-part.within) & case.known))
    for tool, cutter in case.cutters.items():
        mine = cutting[moves.tool[cutting] == tool]
        # Of passes one below the other the lowest tells whether any is too deep.
        found = _too_deep(trial, part, target, limit, known, mine[deepest(taken(moves.path, mine))])
        if len(found):
            found = _too_deep(trial, part, target, limit, known, mine)
            yield folded(
                "gouge", "damage", moves.line[found[:, 3].astype(np.intp)], case.work(found[:, :3]), found[:, 4],
                part.within, f"{cutter} goes {{amount}} mm deeper into the part than meant.",
            )  # fmt: skip
