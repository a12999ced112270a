"""Checks for loose wood: pieces that come free while the cutter runs, and cuts into pieces that lie loose."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from shapely import Point, Polygon

from toolpaths.facts.hold_down import HoldDown
from toolpaths.facts.waste import waste_of
from toolpaths.judging.checks.holding.cut_through import cut_through_by, still_holds
from toolpaths.judging.checks.holding.freed import Box, Freed, HeldRegions, freed
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Case, Trial, distinct
from toolpaths.judging.trial.exact_heights import cuts_over
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.wood.field import Grid, one_height
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.regions import Regions, label, thick
from toolpaths.judging.wood.sweep import Flags, Ints

# mm2 and mm: what is smaller, or nowhere so wide, is a chip (common practice, no source).
_CHIP_AREA, _CHIP_WIDTH = 4.0, 1.0
# In coarse cells so few say little about a size.
_CHIP_CELLS = 8
# mm that a piece may stop short of the rim of the wood and still reach it.
_RIM = 1.0


class Hold(NamedTuple):
    """A hold-down that holds wood, and the first move for which it is there."""

    thing: HoldDown
    since: int


def holds(trial: Trial) -> list[Hold]:
    """All that holds wood on this side: screws, clamps and grips."""
    return [Hold(thing, trial.case.holds_from(thing)) for thing in trial.case.fixture.standing() if thing.holds]


def touched(regions: Regions, grid: Grid, area: Polygon) -> list[int]:
    """The regions of which some cell lies under a hold-down."""
    row, column = np.divmod(regions.first, grid.columns)
    x0, y = grid.xs()[column], grid.ys()[row]
    x1 = x0 + (regions.last - regions.first) * grid.cell
    left, low, right, high = area.bounds
    near = np.flatnonzero((y >= low) & (y <= high) & (x1 >= left) & (x0 <= right))
    rows = shapely.linestrings(np.stack([x0[near], y[near], x1[near], y[near]], axis=1).reshape(-1, 2, 2))
    shapely.prepare(area)
    return distinct(regions.region[near[shapely.intersects(area, rows)]])


def loose_pieces(trial: Trial) -> Iterator[Finding]:
    """A piece is cut off from all that is held; named with the move that cuts the last of it."""
    cut_by = cut_through_by(trial)
    if cut_by is None:
        return
    case, grid = trial.case, trial.after.grid
    regions, things = label(cut_by), holds(trial)
    held = [HeldRegions(hold.since, touched(regions, grid, hold.thing.outline)) for hold in things]
    for piece in freed(regions, len(case.moves.low), held, _cells(grid, _RIM)):
        area = piece.area * grid.cell**2
        if is_chip(regions, grid, area, piece.box, piece.members):
            continue
        late = [hold for hold, under in zip(things, held, strict=True)
                if hold.since > piece.move and not set(under.regions).isdisjoint(piece.members)]  # fmt: skip
        place = _inside(case, regions, grid, piece)
        line = int(case.moves.line[piece.move])
        # Small ones are thrown, large ones shift and jam the cutter.
        yield Finding(
            "loose-piece", "danger", line, place, area / 100, 0.0,
            f"{case.cutters[int(case.moves.tool[piece.move])]} cuts free {_size(case, grid, area, piece.box)}, and "
            f"nothing holds it{_but(case, late)}. Give it a screw, a tab or tape, leave a skin below it, or clear it "
            "from the inside out.",
            1, (line,),
        )  # fmt: skip


def cuts_loose(trial: Trial) -> Iterator[Finding]:
    """A motion works on a piece that lay loose before the program began, as a part cut off before the turn.

    Waste that was cut off, the slug of an opening, is taken out by then, and the cutter may pass where it
    was: it counts as waste if the part meant says so. If that is not known, what the program does tells:
    work on the largest piece, or well inside a piece, is no passing over waste.
    """
    before = trial.before
    if one_height(before.top) and one_height(before.bottom):
        return
    regions = label(still_holds(before.top, before.bottom))
    if len(regions.area) < 2:
        return
    since, largest = _held_since(trial, regions), int(np.argmax(regions.area))
    big = regions.area * before.cell**2 >= _CHIP_AREA
    for number in np.flatnonzero((since > 0) & big).tolist():
        cut = _cut_of(trial, regions, number)
        if len(cut) and not _is_waste(trial, regions, number, number == largest, cut):
            yield from _cut_into(trial, regions, number, cut, int(since[number]))


def _cut_of(trial: Trial, regions: Regions, number: int) -> Ints:
    """Those cells of a region, by flat index, that lose wood."""
    r0, r1, c0, c1 = regions.box[number].tolist()
    there = slice(r0, r1 + 1), slice(c0, c1 + 1)
    row, column = np.nonzero(trial.after.top[there] < trial.before.top[there] - SHAVING)
    cells = (row + r0) * regions.columns + column + c0
    return np.asarray(cells[regions.of(cells) == number])


def _is_waste(trial: Trial, regions: Regions, number: int, largest: bool, cut: Ints) -> bool:
    """Whether a loose piece is waste that was taken out; cut (k,) are the cells of it that lose wood."""
    grid, part = trial.before.grid, trial.part
    row, column = regions.inside[number]
    place = Point(grid.xs()[column], grid.ys()[row])
    if part is not None and (partings := part.partings()):
        waste = waste_of(partings, slack_in(trial, part))
        return bool(trial.case.fixture.place(waste).contains(place))
    if largest:
        return False
    r0, r1, c0, c1 = regions.box[number].tolist()
    piece, worked = np.zeros((2, r1 - r0 + 3, c1 - c0 + 3), bool)
    for mask, cells in ((piece, regions.cells(number)), (worked, cut)):
        mask[cells // grid.columns - r0 + 1, cells % grid.columns - c0 + 1] = True
    inner = piece.copy()
    inner[1:-1, 1:-1] &= piece[2:, 1:-1] & piece[:-2, 1:-1] & piece[1:-1, 2:] & piece[1:-1, :-2]
    patches = label(worked)
    at_edge = patches.of(np.flatnonzero(worked & ~inner))
    return len(distinct(at_edge)) == len(patches.area)


def _cut_into(trial: Trial, regions: Regions, number: int, cells: Ints, since: int) -> Iterator[Finding]:
    """The moves that take wood off a loose piece; cells (k,) are those of it that lose some."""
    case, grid = trial.case, trial.before.grid
    row, column = np.divmod(cells, grid.columns)
    top = trial.before.top[row, column].astype(np.float64)
    places = centres(grid, cells)
    deepest, where = np.zeros(len(case.moves.low)), np.zeros(len(case.moves.low), np.intp)
    moves = case.cutting_moves
    for pairs in cuts_over(case, places, moves=moves[moves < since]):
        depth = top[pairs.place] - pairs.z
        order = np.argsort(depth, kind="stable")
        order = order[depth[order] > deepest[pairs.move[order]]]
        # The deepest of each move comes last, and the last assignment stays.
        deepest[pairs.move[order]], where[pairs.move[order]] = depth[order], pairs.place[order]
    who = np.flatnonzero(deepest > SHAVING)
    if len(who):
        at = np.column_stack([places[where[who]], top[where[who]] - deepest[who]])
        r0, r1, c0, c1 = regions.box[number].tolist()
        size = _size(case, grid, regions.area[number] * grid.cell**2, (r0, r1, c0, c1))
        yield folded(
            "cuts-loose", "danger", case.moves.line[who], case.work(at), deepest[who], 0.0,
            f"{_names(case, who)} cuts {{amount}} mm into {size}, which was cut off before, and nothing holds it now. "
            "Hold it, or leave it joined by tabs when it is cut out.",
        )  # fmt: skip


def _held_since(trial: Trial, regions: Regions) -> Ints:
    """(n,) first move for which each region is held; what holds when, see freed()."""
    grid = trial.before.grid
    since = np.full(len(regions.area), len(trial.case.moves.low))
    for hold in holds(trial):
        under = touched(regions, grid, hold.thing.outline)
        since[under] = np.minimum(since[under], hold.since)
    since[around_others(regions, grid)] = 0
    if since.min() > 0:
        since[np.argmax(regions.area)] = 0
    return since


def around_others(regions: Regions, grid: Grid) -> Flags:
    """(n,) whether each region reaches as far as all of them together, to all four sides."""
    low, high, near = regions.box.min(axis=0), regions.box.max(axis=0), _cells(grid, _RIM)
    around = (regions.box[:, [0, 2]] <= low[[0, 2]] + near) & (regions.box[:, [1, 3]] >= high[[1, 3]] - near)
    return np.asarray(around.all(axis=1))


def _cells(grid: Grid, length: float) -> int:
    return max(round(length / grid.cell), 1)


def is_chip(regions: Regions, grid: Grid, area: float, box: Box, members: list[int]) -> bool:
    """Whether a piece made of some regions is too small or too narrow to be one that anybody looks for."""
    if area < max(_CHIP_AREA, _CHIP_CELLS * grid.cell**2):
        return True
    row, column = np.divmod(regions.cells(*members), grid.columns)
    mask = np.zeros((box[1] - box[0] + 1, box[3] - box[2] + 1), bool)
    mask[row - box[0], column - box[2]] = True
    return not thick(mask, _cells(grid, _CHIP_WIDTH))


def _inside(case: Case, regions: Regions, grid: Grid, piece: Freed) -> tuple[float, float, float]:
    """A place within the piece, as the program counts, at the height to which the freeing move goes."""
    row, column = regions.inside[max(piece.members, key=lambda member: regions.area[member])]
    return case.point(grid.xs()[column], grid.ys()[row], case.moves.low[piece.move])


def _size(case: Case, grid: Grid, area: float, box: Box) -> str:
    """A piece by its size and its middle."""
    r0, r1, c0, c1 = box
    x, y = grid.left + (c0 + c1 + 1) / 2 * grid.cell, grid.low + (r0 + r1 + 1) / 2 * grid.cell
    x, y, _ = case.point(x, y, 0.0)
    width, height = (c1 - c0 + 1) * grid.cell, (r1 - r0 + 1) * grid.cell
    return f"a piece {width:.1f} x {height:.1f} mm ({area / 100:.1f} cm2) around X{x:.1f} Y{y:.1f}"


def _but(case: Case, late: list[Hold]) -> str:
    if not late:
        return ""
    screw, since = late[0]
    if since <= len(case.moves.low):
        return f': {screw.name} is driven only later, at the stop "{screw.driven_at}"'
    may = "may not come" if case.stands_from(screw) <= len(case.moves.low) else "does not come"
    return f': {screw.name} is to be driven at the stop "{screw.driven_at}", which {may}'


def _names(case: Case, moves: Ints) -> str:
    return " and ".join(str(case.cutters[tool]) for tool in distinct(case.moves.tool[moves]))
