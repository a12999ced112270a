"""Where wood between cuts from both faces is no web of the part: at openings, at their rims, and at tabs."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import flat
from toolpaths.judging.checks.holding.tab_gaps import gaps
from toolpaths.judging.checks.part.wood_at import NOTHING
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.removal import remove
from toolpaths.judging.wood.sweep import Flags


def no_web(trial: Trial) -> Flags:
    """(rows, columns) cells that one side opens alone, or whose wood is the rim of such an opening, or a tab."""
    stock = trial.after
    found = (stock.top <= np.float32(trial.case.fixture.underside_z + NOTHING)) | (stock.bottom >= -NOTHING)
    found |= _rims_and_tabs((*(trial.before.top_cuts or ()), trial.case), stock.grid)
    if under := stock.bottom_cuts:
        turned = stock.turned or next((case.fixture.turned for case in under), "")
        seen_from_there = _rims_and_tabs(under, stock.grid)
        found |= seen_from_there[:, ::-1] if turned == "left to right" else seen_from_there[::-1]
    return np.asarray(found)


def _rims_and_tabs(cases: Iterable[Case], grid: Grid) -> Flags:
    """Cells that cutters with no flat tip pass over at their full width where they go right through, and those over
    which a cutter that goes through is raised for a tab; as these programs see the board."""
    surface = np.zeros(grid.shape, np.float32)
    for case in cases:
        lifts = list(gaps(case))
        for number, cutter in case.cutters.items():
            tables = [_over_gap(gap.path) for gap in lifts if gap.tool == number]
            if cutter.profile.tip_height > 0:
                tables.append(_right_through(case, number))
            if tables:
                remove(surface, grid, np.concatenate(tables, axis=1), flat(cutter.diameter))
    return surface < 0


def _right_through(case: Case, tool: int) -> Floats:
    """The moves of a cutter that go right through, level; of a slope its lower end."""
    moves, underside = case.moves, case.fixture.underside_z
    table = moves.path[:, (moves.tool == tool) & (moves.low <= underside + NOTHING)]
    slope = np.flatnonzero(table[[Z0, Z1]].max(axis=0) > underside + NOTHING)
    rising = table[Z0, slope] < table[Z1, slope]
    for first, last in ((X0, X1), (Y0, Y1)):
        lower = np.where(rising, table[first, slope], table[last, slope])
        table[first, slope] = table[last, slope] = lower
    table[SWEEP, slope] = 0.0
    table[[Z0, Z1]] = -1.0
    return table


def _over_gap(path: Floats) -> Floats:
    """Level moves along places (k, 3)."""
    table = np.zeros((11, len(path) - 1))
    table[[X0, Y0]], table[[X1, Y1]] = path[:-1, :2].T, path[1:, :2].T
    table[[Z0, Z1]] = -1.0
    return table
