"""What a job has to keep to on any board near the nominal one, and how each is measured.

Every requirement is marked once, on the nominal job (which moves, which cells of the wood), and then
measured in the moves or in the wood of the job at a corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
from shapely import get_coordinates

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Dowel
from toolpaths.facts.part import Part
from toolpaths.judging.checks.between_sides.dowel_hole import measured, registered
from toolpaths.judging.checks.holding.standing_tabs import Tab
from toolpaths.judging.checks.meeting.too_deep import reach_of
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.study.clearance import least_gap, nearest_to_hold_downs
from toolpaths.judging.study.corners import Corner
from toolpaths.judging.study.registration import mismatch
from toolpaths.judging.study.result import NOTHING
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.moves import X1, Y1, Z0, Z1
from toolpaths.judging.wood.patches import cells_at
from toolpaths.judging.wood.sweep import Flags, Ints

Programs = tuple[Judged, ...]
Tabs = tuple[Tab, ...]

# mm of height by which one floor differs from another, and a cut from none.
LEVEL = 0.01
A_CUT = 0.05
# mm beyond its own radius within which a cutter follows the boundary of a named feature.
_FOLLOWS = 1.0


class Question(NamedTuple):
    """A requirement marked on the nominal job.

    measure : the least and the greatest value in the job at a corner
    words : from the least and the greatest of all corners, in plain words
    margin : from the least and the greatest of a corner, mm to spare
    """

    measure: Callable[[Programs], tuple[float, float]]
    words: Callable[[float, float], str]
    margin: Callable[[float, float], float] = min


def in_moves(
    programs: Programs, tabs: Sequence[Tabs], part: Part | None, blur: float, rise: float
) -> Iterator[Question]:
    """The requirements that the moves of a nominal job show.

    tabs : those that each program leaves standing
    blur, rise : mm by which moves may come to lie elsewhere at any corner, sideways and in height
    """
    for number, (program, standing) in enumerate(zip(programs, tabs, strict=True)):
        yield from _through(number, program, part)
        yield from _spoilboard(number, program)
        yield from _tabs(number, program, standing)
    yield from _dowels(programs)
    for number, program in enumerate(programs):
        yield from _clearance(number, program, blur, rise)


def _floor(program: Judged) -> float:
    return program.setting.fixture.underside_z


def _in_dowels(case: Case, which: Ints) -> tuple[Flags, list[tuple[Dowel, Flags]]]:
    """Which of these moves stay within the hole of a dowel, and those of each dowel."""
    each = [(dowel, case.fixture.within_hole(dowel, reach_of(case, which))) for dowel in case.fixture.dowels]
    inside = np.zeros(len(which), bool)
    for _, mine in each:
        inside |= mine
    return inside, each


def _below(program: Judged) -> Ints:
    """Moves that reach the underside of the board, but for those that only leave it."""
    case = program.case
    return np.flatnonzero(
        (case.moves.low <= _floor(program) + ROUNDING) & ~case.moves.leaving & (case.moves.kind != RAPID)
    )


def _standing(program: Judged, x: Floats, y: Floats) -> Floats:
    """Height of the top face over places; that of the nearest cell for those beyond the board."""
    stock = program.report.stock
    return np.asarray(stock.top[cells_at(stock.grid, np.stack([x, y], axis=1))], np.float64)


def _final(program: Judged, which: Ints) -> Ints:
    """Of these moves those that are not cut deeper at their lowest place by others."""
    table = program.case.moves.path[:, which]
    down = table[Z1] <= table[Z0]
    x, y = np.where(down, table[[X1, Y1]], table[:2])
    return which[_standing(program, x, y) >= program.case.moves.low[which] - LEVEL]


def _through(number: int, program: Judged, part: Part | None) -> Iterator[Question]:
    which = _below(program)
    which = _final(program, which[~_in_dowels(program.case, which)[0]])
    for name, mine in _named(program, which, part):
        what, many = f"{program.setting.name}: {name}", name.endswith("through cuts")
        line = program.case.moves.line[mine[int(np.argmax(program.case.moves.low[mine]))]]

        def measure(programs: Programs, mine: Ints = mine) -> tuple[float, float]:
            beyond = _floor(programs[number]) - programs[number].case.moves.low[mine]
            return float(beyond.min()), float(beyond.max())

        def words(
            low: float, high: float, what: str = what, s: str = "" if many else "s", line: int = int(line)
        ) -> str:
            if low < -ROUNDING:
                return f"{what} fall{s} {-low:.2f} mm short of the underside on line {line}"
            return f"{what} still part{s} the board, {max(low, 0.0):.2f} mm to spare on line {line}"

        yield Question(measure, words)


def _named(program: Judged, which: Ints, part: Part | None) -> list[tuple[str, Ints]]:
    """Moves by the feature that they cut through; those of no feature are the other through cuts."""
    case, fixture = program.case, program.setting.fixture
    left = np.ones(len(which), bool)
    points = fixture.seen_from_front(case.moves.path[[[X1], [Y1]], which].T)
    radius = case.radii(which)
    found: dict[str, list[Ints]] = {}
    for feature in part.cut_from(fixture.side) if part is not None and len(which) else ():
        if not feature.goes_through(fixture.underside_z):
            continue
        mine = feature.cut_here(points, radius, _FOLLOWS)
        found.setdefault(feature.name, []).append(which[mine & left])
        left &= ~mine
    all_of = [(name, np.concatenate(parts)) for name, parts in found.items()]
    all_of.append(("other through cuts" if all_of else "through cuts", which[left]))
    return [(named(name), mine) for name, mine in all_of if len(mine)]


def named(name: str) -> str:
    """A feature by its name, with its article."""
    return name if name.startswith(("the ", "other ", "through ")) else f"the {name}"


def _spoilboard(number: int, program: Judged) -> Iterator[Question]:
    which = _below(program)
    inside, _ = _in_dowels(program.case, which)
    allowed, name = program.setting.fixture.spoilboard_depth, program.setting.name
    if len(which[~inside]):
        deepest = which[~inside][[int(np.argmin(program.case.moves.low[which[~inside]]))]]

        def measure(programs: Programs) -> tuple[float, float]:
            deep = float(_floor(programs[number]) - programs[number].case.moves.low[deepest[0]])
            return deep, deep

        yield Question(
            measure,
            lambda low, high: f"{name}: the spoilboard is cut at most {max(high, 0.0):.2f} mm deep, "
            f"{allowed:g} is allowed",
            lambda low, high: allowed - high,
        )  # fmt: skip


def _tabs(number: int, program: Judged, tabs: Tabs) -> Iterator[Question]:
    """How thick its tabs stand. What a cutter leaves is lifted with it, while the underside is where it is."""
    if not tabs:
        return
    which = np.array([tab.gap.rise for tab in tabs], np.intp)
    below = _over_underside(program, which) - np.array([tab.thickness for tab in tabs])

    def measure(programs: Programs) -> tuple[float, float]:
        thick = _over_underside(programs[number], which) - below
        return float(thick.min()), float(thick.max())

    name = program.setting.name
    yield Question(measure, lambda low, high: f"{name}: tabs are {from_to(low, high)} mm thick")


def _over_underside(program: Judged, which: Ints) -> Floats:
    return np.asarray(program.case.moves.path[Z1, which] - _floor(program))


def from_to(low: float, high: float) -> str:
    """A range in mm, or one number where it is one."""
    return f"{low:.2f}" if high - low < 0.005 else f"{low:.2f} to {high:.2f}"


class _Hole(NamedTuple):
    """A dowel's hole: the program that makes it, its lowest move, the cutter, and how much wider than that it is where
    it is narrowest and where it is widest."""

    number: int
    lowest: int
    tool: int
    wider: tuple[float, float]


def _dowels(programs: Programs) -> Iterator[Question]:
    first, used = registered(programs)
    found: dict[tuple[float, float], list[tuple[Dowel, _Hole]]] = {}
    for dowel in used:
        bored = measured(first, dowel)
        if bored is None or bored.below <= 0:
            continue
        number = next(n for n, program in enumerate(programs) if program.setting.name == bored.side)
        case, which = programs[number].case, _below(programs[number])
        mine = which[next(mine for other, mine in _in_dowels(case, which)[1] if other == dowel)]
        if len(mine):
            lowest = int(mine[np.argmin(case.moves.low[mine])])
            tool = int(case.moves.tool[lowest])
            wide, narrow = case.cutters[tool].diameter, min(bored.narrowest, bored.in_spoilboard)
            hole = _Hole(number, lowest, tool, (narrow - wide, bored.widest - wide))
            found.setdefault((dowel.diameter, dowel.depth), []).append((dowel, hole))
    for alike in found.values():
        yield from _pinned(programs, alike[0][0], [hole for _, hole in alike])


def _pinned(nominal: Programs, dowel: Dowel, holes: list[_Hole]) -> Iterator[Question]:
    """Whether the pins go in, what play they have then, and how deep they stand.

    The pin is as thick as it was entered, so the narrowest hole has to be no narrower, and the widest holds it least.
    """

    def wide(programs: Programs) -> tuple[float, float]:
        # A wall moves by half of what the cutter is thicker, on both sides of the hole.
        cut = [(programs[hole.number].case.cutters[hole.tool].diameter, *hole.wider) for hole in holes]
        return min(cutter + narrow for cutter, narrow, _ in cut), max(cutter + most for cutter, _, most in cut)

    def deep(programs: Programs) -> tuple[float, float]:
        depths = [_full_depth(programs[hole.number], hole.lowest) for hole in holes]
        return min(depths), max(depths)

    pin, settings = dowel.diameter, [program.setting for program in nominal]
    corners = get_coordinates(settings[0].fixture.board.outline)

    def goes_in(low: float, high: float) -> str:
        fits = f"a pin of {pin:g} goes in" if low >= pin - NOTHING else f"a pin of {pin:g} does not go in"
        return f"dowel holes are {from_to(low, high)} mm wide, {fits}"

    def play(low: float, high: float) -> str:
        slack = max(high - pin, 0.0)
        off = mismatch(settings, Corner(dowel_clearance=slack), corners)
        return (
            f"pins of {pin:g} have up to {slack:.2f} mm of play in their holes, {dowel.widest_hole - pin:.2f} at most "
            f"holds the board; front and back may be off each other by up to {off:.2f} mm for it at its corners"
        )

    yield Question(wide, goes_in, lambda low, high: low - pin)
    yield Question(wide, play, lambda low, high: dowel.widest_hole - high)
    yield Question(
        deep,
        lambda low, high: f"dowel holes go {from_to(low, high)} mm into the spoilboard, {dowel.depth:g} is meant",
    )  # fmt: skip


def _full_depth(program: Judged, move: int) -> float:
    """mm into the spoilboard to which a move takes the full width of its cutter."""
    case = program.case
    return _floor(program) - float(case.moves.low[move] + case.points(np.array([move]))[0])


def _clearance(number: int, program: Judged, blur: float, rise: float) -> Iterator[Question]:
    near = nearest_to_hold_downs(program.case, blur, rise)
    if near is None:
        return
    _, name, pairs = near

    def measure(programs: Programs) -> tuple[float, float]:
        least = least_gap(programs[number].case, pairs)
        return least, least

    def words(low: float, high: float) -> str:
        if low < 0:
            return f"{program.setting.name}: a cutter runs {-low:.2f} mm into {name}"
        return f"{program.setting.name}: the nearest hold-down, {name}, is passed with {low:.2f} mm to spare"

    yield Question(measure, words)
