"""Tabs: what stands in the end in the gaps that a program leaves in its cuts through the board."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.checks.holding.tab_gaps import Gap, gaps, meant_in
from toolpaths.judging.checks.part.wood_at import in_cells, standing_at
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import cut_at, first_below
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.paths import along_line

# mm below which a tab is too thin to hold (common practice, no source: tabs are 1.5 to 3 mm, or 15 to 25 % of the
# board, thick).
THINNEST = 1.0
# mm between the places at which a tab is looked at along the cut; and how many across it.
_STEP, _ACROSS = 0.25, 9
# mm beyond the cut at which wood stands on both sides of a tab.
_BEYOND = 0.6
# mm by which the places of a tab of two rounds may differ.
_ONE_PLACE = 2.0


class Tab(NamedTuple):
    """A gap, the tab that it was to leave, and what stands there when the program is done.

    middle : (2,) on the board as it lies
    width : mm at its narrowest, along the cut; zero or less where nothing was left
    thickness : mm, of the thickest wood that reaches all the way across the cut
    left_width, left : mm, the width and the thickness that the gap was to leave
    cut_by : the later move that took it away or cut into it, -1 if it stands as it was left
    """

    gap: Gap
    middle: Floats
    width: float
    thickness: float
    left_width: float
    left: float
    cut_by: int

    @property
    def stands(self) -> bool:
        return self.width > 0 and self.thickness >= SKIN - ROUNDING


def standing_tabs(trial: Trial) -> tuple[Tab, ...]:
    """The tabs that stand, in the order in which the program leaves them."""
    return tuple(tab for tab in every_tab(trial) if tab.stands)


def every_tab(trial: Trial) -> list[Tab]:
    """Every place at which the program leaves a tab, or rises as if it would."""
    found: dict[tuple[int, int], Tab] = {}
    for gap in gaps(trial.case):
        tab = _judged(trial, gap)
        if tab is None:
            continue
        column, row = np.floor(tab.middle / _ONE_PLACE).astype(int).tolist()
        near = [(column + i, row + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
        twins = [key for key in near if key in found]
        key = twins[0] if twins else (column, row)
        # Of two rounds over one tab the one counts that left what stands, and of such the narrower gap.
        if not twins or (tab.cut_by >= 0, tab.width) < (found[key].cut_by >= 0, found[key].width):
            found[key] = tab
    return list(found.values())


def _judged(trial: Trial, gap: Gap) -> Tab | None:
    """What was left in a gap and what stands there; None where it is no tab.

    It is none if no wood stands at its sides to be held, if the wood was removed before, if a web as high as
    the wood beside it was left between two cuts, or if it was cut away after screws had been driven.
    """
    case, radius = trial.case, trial.case.cutters[gap.tool].radius
    board = case.fixture.board
    length = float(np.hypot(*np.diff(gap.path[:, :2], axis=0).T).sum())
    if length > board.width + board.height:
        # No tab is longer than the board; a lost decimal point would ask for millions of places.
        return None
    along, ahead = along_line(gap.path[:, :2], np.linspace(0.0, 1.0, max(int(np.ceil(length / _STEP)), 2) + 1))
    across = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    middle = len(along) // 2
    rim = _thickness_in_cells(
        trial, np.array([along[middle] + k * (radius + _BEYOND) * across[middle] for k in (-1, 1)])
    )
    if (rim < SKIN - ROUNDING).any():
        return None
    width, top = meant_in(case, gap)
    meant = top - case.fixture.underside_z
    if width <= 0:
        fresh = gap.begun <= int(first_below(case, along[[middle]], _holding(trial, along[[middle]]))[0])
        return Tab(gap, along[middle], width, 0.0, width, 0.0, -1) if fresh and not gap.lifted else None
    offsets = np.linspace(-radius, radius, _ACROSS)
    places = (along[None] + offsets[:, None, None] * across[None]).reshape(-1, 2)
    step = float(np.hypot(*(along[1] - along[0])))
    # The cells tell of most tabs that they are as they were meant; where they do not, the moves tell exactly.
    stands, slack, cut_by = (
        _thickness_in_cells(trial, places).reshape(_ACROSS, -1),
        2 * max(_STEP, trial.after.cell),
        -1,
    )
    (thick, wide), cut_by = _across(stands, step), -1
    if thick < meant - ROUNDING or wide < width - slack:
        stands, slack = standing_at(trial, places).reshape(_ACROSS, -1), 2 * _STEP
        thick, wide = _across(stands, step)
        if SKIN - ROUNDING <= thick < meant - ROUNDING or wide < width - slack:
            core = np.abs(np.arange(len(along)) - middle) * step <= max(width / 2 - _STEP, 0.0)
            cut_by = _cut_into_by(case, gap, places.reshape(_ACROSS, -1, 2)[:, core].reshape(-1, 2), top)
    if thick < SKIN - ROUNDING:
        return _removed(trial, gap, along[middle], width, meant, places, stands)
    if gap.lifted and thick > rim.min() - SKIN:
        return None
    thick = meant if abs(thick - meant) < ROUNDING else thick
    return Tab(gap, along[middle], width if wide >= width - slack else wide, thick, width, meant, cut_by)


def _cut_into_by(case: Case, gap: Gap, core: Floats, top: float) -> int:
    """The first move after the gap that lowers its tab; -1 if none does.

    core : (k, 2) places over which the tab was to be as high as its top
    """
    moves = first_below(case, core, np.full(len(core), top - ROUNDING))
    later = moves[moves > max(gap.rise, gap.fall)]
    return int(later.min()) if len(later) else -1


def _across(stands: Floats, step: float) -> tuple[float, float]:
    """Thickness of the thickest wood that reaches all the way across, and mm over which a tab holds.

    stands : (rows, k) thickness in rows along the cut, one beside the other from wall to wall
    """
    thick = float(stands.max(axis=1).min())
    least = max(min(thick / 2, THINNEST), SKIN) - ROUNDING
    return thick, float((stands >= least).sum(axis=1).min()) * step


def _removed(
    trial: Trial, gap: Gap, middle: Floats, width: float, meant: float, places: Floats, stands: Floats
) -> Tab | None:
    """A gap across which no wood stands: whether there was any, and which move took it."""
    case = trial.case
    first = first_below(case, places, _holding(trial, places)).reshape(stands.shape)
    first = np.where(first < 0, len(case.moves.low), first).max(axis=1)
    cut_by = int(first[stands.max(axis=1) < SKIN - ROUNDING].min())
    last = max(gap.rise, gap.fall)
    if cut_by < gap.rise or cut_by >= len(case.moves.low):
        return None
    if cut_by <= last:
        return Tab(gap, middle, width, 0.0, width, meant, -1)
    if gap.lifted and not _thinned(case, middle[None], gap.rise):
        return None
    return None if _screwed(case, last, cut_by) else Tab(gap, middle, 0.0, 0.0, width, meant, cut_by)


def _thickness_in_cells(trial: Trial, places: Floats) -> Floats:
    """(k,) thickness of the wood in the cells in which these places lie."""
    top, bottom = (in_cells(face, trial.after.grid, places) for face in (trial.after.top, trial.after.bottom))
    return np.maximum(top - bottom, 0.0)


def _holding(trial: Trial, places: Floats) -> Floats:
    """(k,) least height of the wood's upper face that holds."""
    return in_cells(trial.before.bottom, trial.before.grid, places) + (SKIN - ROUNDING)


def _thinned(case: Case, place: Floats, before: int) -> bool:
    """Whether an earlier move has cut there already, as earlier passes of the same track do."""
    return bool(np.isfinite(cut_at(case, place, before=np.array([before]))[0][0]))


def _screwed(case: Case, after: int, before: int) -> bool:
    """Whether screws are driven between two moves: then tabs may go."""
    since = [case.holds_from(thing) for thing in case.fixture.standing() if thing.driven_at]
    return any(after < move <= before for move in since)
