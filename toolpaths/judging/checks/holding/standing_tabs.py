"""Tabs: what stands in the end in the gaps that a program leaves in its cuts through the board."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.checks.holding.tab_gaps import Gap, gaps, meant_in
from toolpaths.judging.checks.part.wood_at import in_cells, standing_at
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import cut_at, first_below
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.patches import cells_at
from toolpaths.judging.wood.paths import along_line
from toolpaths.judging.wood.sweep import Flags

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
    return _each_once(tab for gap in gaps(trial.case) if (tab := _judged(trial, gap)))


def _each_once(tabs: Iterable[Tab]) -> list[Tab]:
    """Of two rounds over one tab the one that left what stands."""
    found: dict[tuple[int, int], Tab] = {}
    for tab in tabs:
        column, row = np.floor(tab.middle / _ONE_PLACE).astype(int).tolist()
        near = [(column + i, row + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
        twins = [key for key in near if key in found]
        key = twins[0] if twins else (column, row)
        # Of two rounds over one tab the one counts that left what stands, and of such the narrower gap.
        if not twins or (tab.cut_by >= 0, tab.width) < (found[key].cut_by >= 0, found[key].width):
            found[key] = tab
    return list(found.values())


def earlier_tabs(trial: Trial) -> list[tuple[Case, list[Tab]]]:
    """The tabs that each earlier program of this side leaves in this fixture, and into which this one cuts, as it
    leaves them. Another fixture may hold what they held."""
    case, before = trial.case, trial.before
    lower = np.asarray(trial.after.top < before.top)
    found = []
    for then in before.top_cuts or ():
        if then.fixture != case.fixture:
            continue
        as_it_was = replace(trial, case=then, after=before)
        some = (gap for gap in gaps(then) if _any_within(lower, before.grid, gap.path, then.cutters[gap.tool].radius))
        stood = _each_once(tab for gap in some if (tab := _judged(as_it_was, gap)) and tab.stands)
        found.append((then, [cut for tab in stood if (cut := _as_left(trial, then, tab))]))
    return found


def _as_left(trial: Trial, then: Case, tab: Tab) -> Tab | None:
    """A tab of an earlier program as this one leaves it; None where that is as it was, or may be."""
    at, case = _places_over(then, tab.gap), trial.case
    if at is None:
        return None
    thick, wide = _across(at.rows(standing_at(trial, at.places)), at.step)
    if thick >= tab.thickness - ROUNDING and wide >= tab.width - 2 * _STEP:
        return None
    stands = thick >= SKIN - ROUNDING
    top = case.fixture.underside_z + (tab.thickness if stands else SKIN)
    cut_by = _cut_into_by(case, at.core(tab.width), top, -1)
    last = max(tab.gap.rise, tab.gap.fall)
    driven = [thing for thing in case.fixture.standing() if thing.driven_at and then.holds_from(thing) > last]
    if cut_by < 0 or any(case.holds_from(thing) <= cut_by for thing in driven):
        return None
    if not stands:
        return tab._replace(width=0.0, thickness=0.0, left_width=tab.width, left=tab.thickness, cut_by=cut_by)
    return tab._replace(width=wide, thickness=thick, left_width=tab.width, left=tab.thickness, cut_by=cut_by)


def _any_within(cells: Flags, grid: Grid, path: Floats, reach: float) -> bool:
    """Whether any of some cells lies about a path."""
    (low_row, low_column), (high_row, high_column) = (
        [int(each[0]) for each in cells_at(grid, np.array([corner]))]
        for corner in (path[:, :2].min(axis=0) - reach, path[:, :2].max(axis=0) + reach)
    )
    return bool(cells[low_row : high_row + 1, low_column : high_column + 1].any())


def _judged(trial: Trial, gap: Gap) -> Tab | None:
    """What was left in a gap and what stands there; None where it is no tab.

    It is none if no wood stands at its sides to be held, if the wood was removed before, if a web as high as
    the wood beside it was left between two cuts, or if it was cut away after screws had been driven.
    """
    case = trial.case
    at = _places_over(case, gap)
    if at is None:
        return None
    middle = at.along[at.middle]
    rim = _thickness_in_cells(trial, at.beside)
    if (rim < SKIN - ROUNDING).any():
        return None
    width, top = meant_in(case, gap)
    meant = top - case.fixture.underside_z
    if width <= 0:
        fresh = gap.begun <= int(first_below(case, middle[None], _holding(trial, middle[None]))[0])
        return Tab(gap, middle, width, 0.0, width, 0.0, -1) if fresh and not gap.lifted else None
    # The cells tell of most tabs that they are as they were meant; where they do not, the moves tell exactly.
    stands, slack = at.rows(_thickness_in_cells(trial, at.places)), 2 * max(_STEP, trial.after.cell)
    (thick, wide), cut_by = _across(stands, at.step), -1
    if thick < meant - ROUNDING or wide < width - slack:
        stands, slack = at.rows(standing_at(trial, at.places)), 2 * _STEP
        thick, wide = _across(stands, at.step)
        if SKIN - ROUNDING <= thick < meant - ROUNDING or wide < width - slack:
            cut_by = _cut_into_by(case, at.core(width), top, max(gap.rise, gap.fall))
    if thick < SKIN - ROUNDING:
        return _removed(trial, gap, middle, width, meant, at.places, stands)
    if gap.lifted and thick > rim.min() - SKIN:
        return None
    thick = meant if abs(thick - meant) < ROUNDING else thick
    return Tab(gap, middle, width if wide >= width - slack else wide, thick, width, meant, cut_by)


class _Places(NamedTuple):
    """Where a tab is looked at: along the middle of its gap, and in rows from wall to wall.

    along : (k, 2); places : (rows * k, 2); beside : (2, 2) on both sides of the gap, beyond the cut
    step : mm along the gap
    """

    along: Floats
    places: Floats
    beside: Floats
    step: float

    @property
    def middle(self) -> int:
        return len(self.along) // 2

    def rows(self, values: Floats) -> Floats:
        """(rows, k) what stands at the places."""
        return values.reshape(_ACROSS, -1)

    def core(self, width: float) -> Floats:
        """(m, 2) the places over which a tab so wide is as high as its top."""
        near = np.abs(np.arange(len(self.along)) - self.middle) * self.step <= max(width / 2 - _STEP, 0.0)
        return np.asarray(self.places.reshape(_ACROSS, -1, 2)[:, near].reshape(-1, 2))


def _places_over(case: Case, gap: Gap) -> _Places | None:
    """Places over a gap; None over one that is longer than any tab: a lost decimal point would ask for millions."""
    board, radius = case.fixture.board, case.cutters[gap.tool].radius
    length = float(np.hypot(*np.diff(gap.path[:, :2], axis=0).T).sum())
    if length > board.width + board.height:
        return None
    along, ahead = along_line(gap.path[:, :2], np.linspace(0.0, 1.0, max(int(np.ceil(length / _STEP)), 2) + 1))
    across = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    offsets = np.linspace(-radius, radius, _ACROSS)
    places = (along[None] + offsets[:, None, None] * across[None]).reshape(-1, 2)
    middle = len(along) // 2
    beside = np.array([along[middle] + k * (radius + _BEYOND) * across[middle] for k in (-1, 1)])
    return _Places(along, places, beside, float(np.hypot(*(along[1] - along[0]))))


def _cut_into_by(case: Case, core: Floats, top: float, after: int) -> int:
    """The first move behind another that lowers a tab; -1 if none does.

    core : (k, 2) places over which the tab was to be as high as its top
    """
    moves = first_below(case, core, np.full(len(core), top - ROUNDING))
    later = moves[moves > after]
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
