"""The wood at scattered places, exactly: from the moves of all programs that cut it, as long as they are known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.part import Part
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import face_at, lower_face, lowest_over
from toolpaths.judging.wood.field import Grid, Heights, Wood
from toolpaths.judging.wood.patches import cells_at
from toolpaths.judging.wood.sweep import Flags, Ints

# mm of height; wood thinner than this is none, and less taken off is not taken.
NOTHING = 0.002
# Fewer than one cell in so many are looked at one by one.
_FEW = 50


def slack_in(trial: Trial, part: Part) -> Slack:
    """How far the wood may be off the part, with the cutters that this program and those before it move sideways."""
    return Slack(part.board, trial.case.fixture.underside_z, part.within, trial.once(_finest_cuts))


def _finest_cuts(trial: Trial) -> Floats:
    """(m, 6) those of all programs that cut the upper face, as in Slack.cuts."""
    every = [_cuts_of(program).T for program in (*(trial.before.top_cuts or ()), trial.case)]
    return every[0].T if len(every) == 1 else np.concatenate(every, axis=1).T


def _cuts_of(case: Case) -> Floats:
    """(m, 6) radius, box and foot of every sideways cut by a cutter that leaves upright walls, as in Slack.cuts."""
    moves = case.moves
    upright = [number for number, cutter in case.cutters.items() if cutter.profile.leaves_upright_walls]
    which = np.flatnonzero((moves.low < 0) & ~moves.upright & moves.feeding() & np.isin(moves.tool, upright))
    # In columns: an area asks all of one number at a time.
    cuts = np.zeros((6, len(which)))
    for number in upright:
        cutter, mine = case.cutters[number], moves.tool[which] == number
        cuts[0, mine], cuts[5, mine] = cutter.radius, cutter.radius - cutter.profile.flat_radius
    ends = [case.fixture.seen_from_front(moves.box[corner][:, which].T).T for corner in ([0, 2], [1, 3])]
    cuts[1:3], cuts[3:5] = np.minimum(*ends), np.maximum(*ends)
    return cuts.T


def top_at(trial: Trial, points: Floats) -> Floats:
    """(k,) heights of the wood's upper face at scattered places after the program."""
    before = trial.before
    cuts = before.top_cuts
    height = in_cells(before.top, before.grid, points) if cuts is None else face_at(cuts, points)
    return np.minimum(lowest_over(trial.case, points), height)


def standing_at(trial: Trial, points: Floats) -> Floats:
    """(k,) thickness of the wood at scattered places after the program."""
    stock = trial.after
    exact = lower_face(stock, points)
    bottom = in_cells(stock.bottom, stock.grid, points) if exact is None else exact
    return np.maximum(top_at(trial, points) - bottom, 0.0)


def at_each(look: Callable[[Trial, Floats], Floats], trial: Trial, places: list[Floats]) -> list[Floats]:
    """What top_at or standing_at finds at each of several arrays of places (k, 2), looked at once for all of them:
    each look goes through all the moves."""
    found = look(trial, np.concatenate([np.empty((0, 2)), *places]))
    return np.split(found, np.cumsum([len(some) for some in places])[:-1]) if places else []


def in_cells(heights: Heights, grid: Grid, points: Floats) -> Floats:
    """(k,) heights of the cells in which points (k, 2) lie."""
    row, column = cells_at(grid, points)
    return np.asarray(heights[row, column], np.float64)


def wood_in(stock: Wood, row: Ints, column: Ints) -> Flags:
    """(k,) whether wood stands in cells (k,)."""
    return np.asarray(stock.top[row, column] - stock.bottom[row, column] > NOTHING)


def only_in_wood(stock: Wood, cells: Flags) -> Flags:
    """(rows, columns) those of some cells, (rows, columns) as well, in which wood stands."""
    if np.count_nonzero(cells) * _FEW > cells.size:
        return cells & has_wood(stock)
    row, column = np.divmod(np.flatnonzero(cells), cells.shape[1])
    found = np.zeros_like(cells)
    found[row, column] = wood_in(stock, row, column)
    return found


def has_wood(stock: Wood) -> Flags:
    """(rows, columns) cells in which wood stands."""
    return np.asarray(stock.top - stock.bottom > NOTHING)
