"""Tabs: what stands in the end of the wood that a program spared in its cuts through the board."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.part.not_parted import MOST_TABS
from toolpaths.judging.checks.part.wall_places import WHISKER, stretches, wall_of
from toolpaths.judging.checks.part.wood_at import finest_cuts, standing_at
from toolpaths.judging.checks.pieces.raised import Raised, gaps, spared
from toolpaths.judging.checks.pieces.through import SKIN
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import cut_at, first_below
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding, folded
from toolpaths.judging.wood.field import Heights
from toolpaths.judging.wood.patches import cells_at

# mm, and share of the board, below which a tab is too thin, and mm below which it is too narrow (common
# practice, no source: tabs are 6 to 12 mm wide and 1.5 to 3 mm, or 15 to 25 % of the board, thick).
THINNEST, THINNEST_SHARE, NARROWEST = 1.0, 0.15, 2.0
# mm between the places at which a tab is looked at along the cut; and how many across it.
_STEP, _ACROSS = 0.25, 9
# mm beyond the cut at which wood stands on both sides of a tab.
_BEYOND = 0.6
# Share of its radius that the axis keeps from all walls, those of a curve drawn in chords too.
_RUNS = 0.95
# mm by which the places of a tab of two rounds may differ.
_SAME_PLACE = 2.0


class Bridge(NamedTuple):
    """A tab that stands when the program is done.

    place : (x, y) of its middle, as the program counts, mm
    width : mm at its narrowest, along the cut
    thickness : mm, of the thickest wood that reaches all the way across the cut
    line : on which the cutter rises for it
    cutter : that spared it
    """

    place: tuple[float, float]
    width: float
    thickness: float
    line: int
    cutter: str


class _Tab(NamedTuple):
    """A gap, what it spared, and what stands there.

    middle : (2,) on the board; width, thickness : as in Bridge, zero or less where nothing was spared
    cut_by : the move that took it away, -1 if it stands
    """

    raised: Raised
    middle: Floats
    width: float
    thickness: float
    spared: float
    cut_by: int


def tabs_left(trial: Trial) -> tuple[Bridge, ...]:
    """The tabs that stand, in the order in which the program spares them."""
    return _standing(trial.case, _tabs(trial))


def _standing(case: Case, some: list[_Tab]) -> tuple[Bridge, ...]:
    return tuple(
        Bridge(
            _place(case, tab), tab.width, tab.thickness, int(case.line[tab.raised.rise]),
            str(case.cutters[tab.raised.tool]),
        )
        for tab in some if tab.cut_by < 0 and tab.width > 0 and tab.thickness >= SKIN - ROUNDING
    )  # fmt: skip


def _told(found: tuple[Bridge, ...]) -> Iterator[str]:
    """All the tabs that stand in a line: how many, how wide, how thick; nothing where there is none."""
    if found:
        number = f"{len(found)} tab{'s stand' if len(found) > 1 else ' stands'}"
        widths, heights = _span([tab.width for tab in found]), _span([tab.thickness for tab in found])
        yield f"{number}, {widths} mm wide and {heights} mm thick."


def _span(sizes: list[float]) -> str:
    low, high = f"{min(sizes):.1f}", f"{max(sizes):.1f}"
    return low if low == high else f"{low} to {high}"


def tabs(trial: Trial) -> Iterator[Finding | str]:
    """A tab that the program spares is cut away later, or is too thin or too narrow to hold; and those that stand."""
    case, found = trial.case, _tabs(trial)
    lost: dict[int, list[_Tab]] = defaultdict(list)
    weak: dict[tuple[int, bool], list[_Tab]] = defaultdict(list)
    thinnest = min(THINNEST, THINNEST_SHARE * case.fixture.board.thickness)
    for tab in found:
        if tab.cut_by >= 0:
            lost[int(case.tool[tab.cut_by])].append(tab)
        elif tab.thickness < thinnest - ROUNDING and tab.width > 0:
            weak[tab.raised.tool, True].append(tab)
        elif tab.width < NARROWEST - ROUNDING:
            weak[tab.raised.tool, False].append(tab)
    for tool, some in lost.items():
        some.sort(key=lambda tab: tab.cut_by)
        yield folded(
            "tab-cut", "danger", case.line[[tab.cut_by for tab in some]], _places(case, some), np.zeros(len(some)),
            some[0].spared,
            f"{case.cutters[tool]} cuts away a tab that the program leaves on line "
            f"{_lines(case, some)}; nothing is left of {some[0].spared:.2f} mm.",
        )  # fmt: skip
    for (tool, thin), some in weak.items():
        sizes = np.array([tab.thickness if thin else tab.width for tab in some])
        limit = thinnest if thin else NARROWEST
        words = f"a tab is only {{amount}} mm {'thick' if thin else 'wide'}; less than {limit:g} mm does not hold"
        if sizes.min() <= 0:
            words = f"{case.cutters[tool]} rises for a tab and leaves none; what is left is {{amount}} mm wide"
        yield folded(
            "weak-tab", "damage", case.line[[tab.raised.rise for tab in some]], _places(case, some), sizes, limit,
            f"{words}. A cutter leaves its own diameter, {case.cutters[tool].diameter:g} mm, less than the length "
            "over which it is raised.",
        )  # fmt: skip
    yield from _told(_standing(case, found))


def tab_count(trial: Trial) -> Iterator[Finding]:
    """Fewer or more tabs hold across a cut than are meant."""
    case, fixture, part = trial.case, trial.case.fixture, trial.part
    finest = finest_cuts(case)
    if not part or not len(finest):
        return
    radius = float(finest[:, 0].min())
    for feature in part.partings(fixture.side):
        if feature.tabs is None:
            continue
        area = fixture.place(feature.area)
        wall, sign = wall_of(area), -1.0 if feature.waste == "inside" else 1.0
        # A tab reaches across the cut: it stands close to the wall, in the middle and on the far side.
        rows = [standing_at(trial, wall.beside(sign * share * radius)) for share in (0.25, 1.0, 1.75)]
        hangs = np.min(rows, axis=0) >= max(SKIN - ROUNDING, feature.skin + part.within)
        # Nor is there one in a corner too sharp for the axis to run that far off both its walls.
        axis = max(radius, feature.corners or 0.0)
        away = shapely.distance(shapely.points(wall.beside(sign * axis)), area.boundary)
        hangs &= away >= _RUNS * axis
        if (wall.step * hangs).sum() > MOST_TABS * wall.step.sum():
            continue
        found = [s for s in stretches(wall, hangs) if wall.step[s].sum() >= WHISKER]
        if len(found) == feature.tabs:
            continue
        places = np.array([[*wall.at[s[len(s) // 2]], -fixture.board.thickness] for s in found]).reshape(-1, 3)
        at = case.work(places)[0].tolist() if len(found) else NOWHERE
        yield Finding(
            "tab-count", "danger", 0, (at[0], at[1], at[2]), float(len(found)), float(feature.tabs),
            f"{_number(len(found))} across the {feature.name}, and {feature.tabs} are meant.",
        )  # fmt: skip


def _number(count: int) -> str:
    return {0: "no tab stands", 1: "1 tab stands"}.get(count, f"{count} tabs stand")


def _tabs(trial: Trial) -> list[_Tab]:
    """Every place at which the program spares a tab, or rises as if it would."""
    found: dict[tuple[int, int], _Tab] = {}
    for raised in gaps(trial.case):
        tab = _judged(trial, raised)
        if tab is None:
            continue
        column, row = np.floor(tab.middle / _SAME_PLACE).astype(int).tolist()
        near = [(column + i, row + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
        twins = [key for key in near if key in found]
        key = twins[0] if twins else (column, row)
        # Of two rounds over one tab the narrower gap counts.
        if not twins or tab.width < found[key].width:
            found[key] = tab
    return list(found.values())


def _judged(trial: Trial, raised: Raised) -> _Tab | None:
    """What was spared in a gap and what stands there; None where it is no tab.

    It is none if no wood stands beside it to be held, if the wood was gone before, if a web as high as
    the wood beside it was left between two cuts, or if it was cut away after screws had been driven.
    """
    case, radius = trial.case, trial.case.cutters[raised.tool].radius
    board = case.fixture.board
    if np.hypot(*np.diff(raised.path[:, :2], axis=0).T).sum() > board.width + board.height:
        # No tab is longer than the board; a lost decimal point would ask for millions of places.
        return None
    along, ahead = _steps(raised.path[:, :2])
    across = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    middle = len(along) // 2
    beside = np.array([along[middle] + sign * (radius + _BEYOND) * across[middle] for sign in (-1, 1)])
    rim = _in_cells(trial, beside)
    if (rim < SKIN - ROUNDING).any():
        return None
    width, top = spared(case, raised)
    thickness = top + case.fixture.board.thickness
    if width <= 0:
        fresh = raised.begun <= int(first_below(case, along[[middle]], _holding(trial, along[[middle]]))[0])
        return _Tab(raised, along[middle], width, 0.0, 0.0, -1) if fresh and not raised.lifted else None
    offsets = np.linspace(-radius, radius, _ACROSS)
    places = (along[None] + offsets[:, None, None] * across[None]).reshape(-1, 2)
    # The cells tell of most tabs that they are as they were spared; where they do not, the moves tell exactly.
    stands, slack = _in_cells(trial, places).reshape(_ACROSS, -1), 2 * max(_STEP, trial.after.cell)
    thick, wide = _across(stands, _step(along))
    if thick < thickness - ROUNDING or wide < width - slack:
        stands, slack = standing_at(trial, places).reshape(_ACROSS, -1), 2 * _STEP
        thick, wide = _across(stands, _step(along))
    if thick < SKIN - ROUNDING:
        return _gone(trial, raised, along[middle], width, thickness, places, stands)
    if raised.lifted and thick > rim.min() - SKIN:
        return None
    thick = thickness if abs(thick - thickness) < ROUNDING else thick
    return _Tab(raised, along[middle], width if wide >= width - slack else wide, thick, thickness, -1)


def _across(stands: Floats, step: float) -> tuple[float, float]:
    """Thickness of the thickest wood that reaches all the way across, and mm over which a tab holds.

    stands : (rows, k) thickness in rows along the cut, one beside the other from wall to wall
    """
    thick = float(stands.max(axis=1).min())
    held = max(min(thick / 2, THINNEST), SKIN) - ROUNDING
    return thick, float((stands >= held).sum(axis=1).min()) * step


def _gone(
    trial: Trial, raised: Raised, middle: Floats, width: float, thickness: float, places: Floats, stands: Floats
) -> _Tab | None:
    """A gap across which no wood stands: whether there was any, and which move took it."""
    case = trial.case
    first = first_below(case, places, _holding(trial, places)).reshape(stands.shape)
    first = np.where(first < 0, len(case.low), first).max(axis=1)
    cut_by = int(first[stands.max(axis=1) < SKIN - ROUNDING].min())
    last = max(raised.rise, raised.fall)
    if cut_by < raised.rise or cut_by >= len(case.low):
        return None
    if cut_by <= last:
        return _Tab(raised, middle, width, 0.0, thickness, -1)
    if raised.lifted and not _thinned(case, middle[None], raised.rise):
        return None
    return None if _screwed(case, last, cut_by) else _Tab(raised, middle, width, 0.0, thickness, cut_by)


def _in_cells(trial: Trial, places: Floats) -> Floats:
    """(k,) thickness of the wood in the cells in which these places lie."""
    after = trial.after
    row, column = cells_at(after.grid, places)
    return np.maximum(np.asarray(after.top[row, column] - after.bottom[row, column], np.float64), 0.0)


def _steps(path: Floats) -> tuple[Floats, Floats]:
    """Places in even steps along a path seen from above, and the direction at each."""
    long = np.hypot(*np.diff(path, axis=0).T)
    path, long = path[np.append(True, long > 0)], long[long > 0]
    before = np.append(0.0, np.cumsum(long))
    at = np.linspace(0.0, before[-1], max(int(np.ceil(before[-1] / _STEP)), 2) + 1)
    edge = np.clip(np.searchsorted(before, at, "right") - 1, 0, len(long) - 1)
    ahead = np.diff(path, axis=0)[edge] / long[edge, None]
    return path[edge] + (at - before[edge])[:, None] * ahead, ahead


def _step(along: Floats) -> float:
    return float(np.hypot(*(along[1] - along[0])))


def _holding(trial: Trial, places: Floats) -> Floats:
    """(k,) least height of the wood's upper face that holds."""
    bottom: Heights = trial.before.bottom
    row, column = cells_at(trial.before.grid, places)
    return np.asarray(bottom[row, column] + (SKIN - ROUNDING), np.float64)


def _thinned(case: Case, place: Floats, before: int) -> bool:
    """Whether an earlier move has cut there already, as earlier passes of the same track do."""
    return bool(np.isfinite(cut_at(case, place, before=np.array([before]))[0][0]))


def _screwed(case: Case, after: int, before: int) -> bool:
    """Whether screws are driven between two moves: then tabs may go."""
    since = [case.from_stop(thing.driven_at) for thing in case.fixture.standing() if thing.driven_at]
    return any(case.motion[after] < motion <= case.motion[before] for motion in since)


def _place(case: Case, tab: _Tab) -> tuple[float, float]:
    x, y, _ = _places(case, [tab])[0].tolist()
    return x, y


def _places(case: Case, some: list[_Tab]) -> Floats:
    low = -case.fixture.board.thickness
    return case.work(np.array([[*tab.middle, low] for tab in some]))


def _lines(case: Case, some: list[_Tab]) -> str:
    lines = sorted({int(case.line[tab.raised.rise]) for tab in some})
    return ", ".join(str(line) for line in lines[:6]) + (" and others" if len(lines) > 6 else "")
