"""Against the part meant: wood gone that should stay, wood standing that should be gone.

Broad faults show in the cells. A wall or a floor that is off by less than a cell shows at places
beside the walls and under the cutter's tip, where heights are worked out from the moves themselves
and no cell decides.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from toolpaths.checks import Floats
from toolpaths.gcode.motion import ARC, FEED
from toolpaths.part import CutAlong, Part, Parting, Recess
from toolpaths.simulate.case import Case, Trial
from toolpaths.simulate.field import Grid, Heights, Stock
from toolpaths.simulate.findings import Finding, folded
from toolpaths.simulate.meant import Meant, corner_of, meant_on, reachable
from toolpaths.simulate.paths import extents, places_along
from toolpaths.simulate.points import cut_at, first_below
from toolpaths.simulate.regions import Regions, label
from toolpaths.simulate.sweep import Flags, Ints
from toolpaths.simulate.walls import SPACING, Wall, stretches, wall_of

# mm of height; wood thinner than this is none, and less taken off is not taken.
_NOTHING = 0.002
# mm beyond what is allowed at which a wall is looked at, and the distances at which its fault is measured.
_BESIDE = 0.01
_STEPS = (0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)
# A patch of wood left standing, mm2, and a stretch of wall, mm, that is no more than a whisker.
_WHISKER_AREA = 0.5
_WHISKER = 1.5
# mm between two places at which a tip is looked at along its way.
_ALONG = 0.5
# A tab is no longer along the wall than this, mm (common practice: 6 to 12 mm wide, no source), and all
# tabs together no longer than this share of it.
_LONGEST_TAB = 30.0
_MOST_TABS = 0.4
# Moves of one patch that are looked up for their lines.
_MOST_LOOKS = 400


def gouges(trial: Trial) -> Iterator[Finding]:
    """Wood of the part that this program takes away."""
    if trial.part is None:
        return
    meant = _meant(trial, trial.part)
    grid = trial.after.grid
    lowest, _ = meant.fields(grid)
    taken = (trial.before.top - trial.after.top > _NOTHING) & _wood(trial.before)
    gone = (trial.after.top < lowest - np.float32(trial.part.within)) & taken
    patches = label(gone)
    for number in range(len(patches.area)):
        yield _gouged(trial, patches, number, lowest)
    yield from _gouged_walls(trial, meant, gone)
    yield from _gouged_below(trial, meant, lowest, gone)


def leftovers(trial: Trial) -> Iterator[Finding]:
    """Wood that stands where the part has none, once this program has run."""
    if trial.part is None:
        return
    meant = _meant(trial, trial.part)
    _, highest = meant.fields(trial.after.grid)
    stands = (trial.after.top > highest + np.float32(trial.part.within)) & _wood(trial.after)
    patches, area = label(stands), trial.after.cell**2
    for number in np.flatnonzero(patches.area * area >= _WHISKER_AREA).tolist():
        cells = patches.cells(number)
        deep = (trial.after.top.reshape(-1)[cells] - highest.reshape(-1)[cells]).astype(np.float64)
        yield _patch(
            trial, "leftover", "damage", cells, deep, 0,
            "{area:.1f} mm2 of wood stand that should be gone{where}, {mean:.2f} mm high on average, {worst:.2f} at "
            "most; cut it deeper or wider there, or with a finer cutter.",
        )  # fmt: skip
    yield from _left_at_walls(trial, meant, stands)


def partings(trial: Trial) -> Iterator[Finding]:
    """A cut that should part the board, but where it still hangs together by more than tabs."""
    if trial.part is None:
        return
    fixture, finest = trial.case.fixture, _finest(trial.case)
    for feature in trial.part.cut_from(fixture.side):
        if not isinstance(feature, Parting):
            continue
        area = fixture.place(feature.area)
        wall, inward = wall_of(area), feature.waste == "inside"
        room = area
        corner, _ = corner_of(feature, area, finest)
        if not inward:
            room = shapely.difference(shapely.buffer(area, max(4 * corner, SPACING)), area)
        # Waste beyond the board is air.
        room = shapely.intersection(reachable(room, corner), fixture.board.outline)
        points = wall.beside((-1 if inward else 1) * (trial.part.within + _BESIDE))
        stands = _standing(trial, points)
        hangs = (stands > max(feature.skin + trial.part.within, _NOTHING)) & shapely.contains_xy(room, points)
        yield from _hanging(trial, feature, wall, points, stands, hangs)


def _hanging(
    trial: Trial, feature: Parting, wall: Wall, points: Floats, stands: Floats, hangs: Flags
) -> Iterator[Finding]:
    whole = np.bincount(wall.ring, weights=wall.step)
    bridged = np.bincount(wall.ring, weights=wall.step * hangs)
    for stretch in stretches(wall, hangs):
        ring = wall.ring[stretch[0]]
        long = float(wall.step[stretch].sum())
        tabs = feature.tabs != 0 and long <= _LONGEST_TAB and bridged[ring] <= _MOST_TABS * whole[ring]
        if tabs or long < _WHISKER:
            continue
        worst = stretch[int(stands[stretch].argmax())]
        x, y, z = trial.case.work(np.array([[*points[worst], -trial.after.board.thickness]]))[0].tolist()
        yield Finding(
            "not-parted", "damage", 0, (x, y, z), float(stands[worst]), 0.0,
            f"the board still hangs together along {long:.1f} mm of the {feature.name}, {stands[worst]:.2f} mm thick "
            "at most; cut through there, or give the part its tabs or skin.",
        )  # fmt: skip


def thin_webs(trial: Trial) -> Iterator[Finding]:
    """Less wood left between a cut from this face and one from the other than the user allows."""
    if not trial.thinnest_web:
        return
    board = trial.after.board.thickness
    both = (trial.after.top < -_NOTHING) & (trial.after.bottom > np.float32(_NOTHING - board))
    left = trial.after.top - trial.after.bottom
    thin = both & (left < trial.thinnest_web) & _wood(trial.before) & (trial.before.top > trial.after.top)
    if trial.part is not None:
        # Where the part is meant to be open, nothing is meant to be left.
        lowest, _ = _meant(trial, trial.part).fields(trial.after.grid)
        thin &= np.isfinite(lowest)
    patches = label(thin)
    for number in range(len(patches.area)):
        cells = patches.cells(number)
        web = np.maximum(left.reshape(-1)[cells], 0.0)
        worst = int(web.argmin())
        places = _centres(trial.after.grid, cells[[worst]])
        move = cut_at(trial.case, places)[1]
        x, y = places[0].tolist()
        at = trial.case.work(np.array([[x, y, float(trial.after.top.reshape(-1)[cells[worst]])]]))[0].tolist()
        line = int(trial.case.line[move[0]]) if move[0] >= 0 else 0
        what = f"only {web[worst]:.2f} mm of wood is" if web[worst] > _NOTHING else "no wood at all is"
        yield Finding(
            "thin-web", "damage", line, (at[0], at[1], at[2]), float(web[worst]), trial.thinnest_web,
            f"{what} left between this cut and one from the other side, over "
            f"{len(cells) * trial.after.cell**2:.1f} mm2; {trial.thinnest_web:g} mm is wanted. Cut one of them less "
            "deep.",
            1, (line,),
        )  # fmt: skip


def _meant(trial: Trial, part: Part) -> Meant:
    return meant_on(part, trial.case.fixture, _finest(trial.case))


def _finest(case: Case) -> Floats:
    """(m, 6) radius, box and foot of every sideways cut by a cutter that leaves upright walls; see meant_on."""
    upright = [n for n, c in case.cutters.items() if c.profile.flat_radius > 0 and c.profile.angle_deg >= 180]
    which = np.flatnonzero(
        (case.low < 0) & ~case.upright & ((case.kind == FEED) | (case.kind == ARC)) & np.isin(case.tool, upright)
    )
    tool, (left, right, low, high) = case.tool[which], extents(case.table[:, which])
    radius, foot = np.zeros(len(which)), np.zeros(len(which))
    for number in upright:
        cutter = case.cutters[number]
        radius[tool == number] = cutter.radius
        foot[tool == number] = cutter.radius - cutter.profile.flat_radius
    return np.stack([radius, left, low, right, high, foot], axis=1)


def _gouged(trial: Trial, patches: Regions, number: int, lowest: Heights) -> Finding:
    cells = patches.cells(number)
    limit = lowest.reshape(-1)[cells].astype(np.float64)
    bottom = np.broadcast_to(trial.before.bottom, trial.after.top.shape).reshape(-1)[cells]
    deep = limit - np.maximum(trial.after.top.reshape(-1)[cells], bottom)
    within = trial.part.within if trial.part else 0.0
    # The deepest, and others spread over the patch, tell which lines did it.
    looked = np.unique(np.append(np.arange(0, len(cells), max(len(cells) // _MOST_LOOKS, 1)), deep.argmax()))
    moves = first_below(trial.case, _centres(trial.after.grid, cells[looked]), limit[looked] - within)
    return _patch(
        trial, "gouge", "damage", cells, deep, moves[moves >= 0],
        "{area:.1f} mm2 of the part are cut away that should stay{where}, {mean:.2f} mm deep on average, "
        "{worst:.2f} at worst.",
    )  # fmt: skip


def _patch(trial: Trial, code: str, severity: str, cells: Ints, deep: Floats, moves: Ints | int, words: str) -> Finding:
    worst = int(deep.argmax())
    x, y = _centres(trial.after.grid, cells[[worst]])[0].tolist()
    at = trial.case.work(np.array([[x, y, float(trial.after.top.reshape(-1)[cells[worst]])]]))[0].tolist()
    lines = np.unique(trial.case.line[moves]).tolist() if isinstance(moves, np.ndarray) else []
    text = words.format(
        area=len(cells) * trial.after.cell**2, mean=float(deep.mean()), worst=float(deep[worst]),
        where=_named(trial, x, y),
    )  # fmt: skip
    first = lines[0] if lines else 0
    within = trial.part.within if trial.part else 0.0
    place = (at[0], at[1], at[2])
    return Finding(code, severity, first, place, float(deep[worst]), within, text, max(len(lines), 1), tuple(lines))


def _gouged_walls(trial: Trial, meant: Meant, gone: Flags) -> Iterator[Finding]:
    """A wall cut into by less than the cells can show."""
    part, case = trial.part, trial.case
    if part is None:
        return
    for feature in part.cut_from(case.fixture.side):
        if isinstance(feature, CutAlong):
            continue
        wall = wall_of(case.fixture.place(feature.area))
        away = -1.0 if isinstance(feature, Parting) and feature.waste == "outside" else 1.0
        points = wall.beside(away * (part.within + _BESIDE))
        points, keep = _on_wood(trial.before, points, gone)
        lowest = meant.band(points)[0]
        move = first_below(case, points, lowest - part.within)
        hit = np.flatnonzero(move >= 0)
        if not len(hit):
            continue
        far = np.full(len(hit), part.within + _BESIDE)
        for step in _STEPS:
            further = wall.at[keep[hit]] + away * (part.within + step) * wall.out[keep[hit]]
            still = first_below(case, further, meant.band(further)[0] - part.within) >= 0
            far = np.where(still & (far < part.within + step), part.within + step, far)
        moves = move[hit]
        long = float(wall.step[keep[hit]].sum())
        order = np.argsort(moves, kind="stable")
        at = np.column_stack([points[hit], case.low[moves]])
        yield folded(
            "gouge", "damage", case.line[moves[order]], case.work(at[order]), far[order], part.within,
            f"the wall of the {feature.name} is cut into by about {{amount}} mm, along {long:.1f} mm.",
        )  # fmt: skip


def _gouged_below(trial: Trial, meant: Meant, lowest: Heights, gone: Flags) -> Iterator[Finding]:
    """A tip too deep where no cell centre shows it."""
    part, case = trial.part, trial.case
    if part is None:
        return
    cutting = np.flatnonzero(
        (case.low < -part.within) & ~case.leaving & np.isin(case.tool, np.array(list(case.cutters)))
    )
    grid = trial.after.grid
    for tool, cutter in case.cutters.items():
        mine = cutting[case.tool[cutting] == tool]
        places, which = places_along(case.table[:, mine], _ALONG)
        # No place in a cell or beside it may go so low: then the cells decide nothing.
        ceiling = _widened(lowest)
        row, column = _cells(grid, places[:, :2])
        near = places[:, 2] < ceiling[row, column] - part.within
        near &= (row >= 0) & ~_near(gone, row, column) & (trial.before.top[row, column] > places[:, 2] + _NOTHING)
        near &= _wood(trial.before)[row, column]
        some = np.flatnonzero(near)
        deep = meant.band(places[some, :2])[0] - places[some, 2]
        hit = some[deep > part.within]
        if len(hit):
            moves = mine[which[hit]]
            yield folded(
                "gouge", "damage", case.line[moves], case.work(places[hit]), deep[deep > part.within], part.within,
                f"{cutter} goes {{amount}} mm deeper into the part than meant.",
            )  # fmt: skip


def _left_at_walls(trial: Trial, meant: Meant, stands: Flags) -> Iterator[Finding]:
    """A wall that stands too far inwards by less than the cells can show."""
    part, case = trial.part, trial.case
    if part is None:
        return
    for feature in part.cut_from(case.fixture.side):
        if not isinstance(feature, Recess):
            continue
        wall = wall_of(case.fixture.place(feature.area))
        left = np.zeros(len(wall.at), bool)
        points, keep = _on_wood(trial.after, wall.beside(-part.within - _BESIDE), stands)
        highest = meant.band(points)[1]
        judged = np.isfinite(highest)
        height = _top(trial, points)
        left[keep] = judged & (height > highest + part.within)
        for stretch in stretches(wall, left):
            long = float(wall.step[stretch].sum())
            if long <= _WHISKER:
                continue
            far = part.within + _BESIDE
            for step in _STEPS:
                further = wall.at[stretch] - (part.within + step) * wall.out[stretch]
                if (_top(trial, further) > meant.band(further)[1] + part.within).any():
                    far = part.within + step
            x, y = wall.at[stretch[0]].tolist()
            at = case.work(np.array([[x, y, 0.0]]))[0].tolist()
            yield Finding(
                "leftover", "damage", 0, (at[0], at[1], at[2]), far, part.within,
                f"the wall of the {feature.name} stands about {far:.2f} mm too far inside, along {long:.1f} mm.",
            )  # fmt: skip


def _top(trial: Trial, points: Floats) -> Floats:
    """Heights of the wood at scattered places after the program: exact but for what earlier programs cut."""
    before = _read(trial.before.top, trial.before.grid, points)
    return np.minimum(cut_at(trial.case, points)[0], before)


def _standing(trial: Trial, points: Floats) -> Floats:
    """(k,) thickness of the wood at scattered places after the program."""
    return np.maximum(_top(trial, points) - _read(trial.after.bottom, trial.after.grid, points), 0.0)


def _read(heights: Heights, grid: Grid, points: Floats) -> Floats:
    row, column = _cells(grid, points)
    return np.asarray(heights[row, column], np.float64)


def _cells(grid: Grid, points: Floats) -> tuple[Ints, Ints]:
    """Row and column of the cell that holds each point; of the nearest for a point off the board."""
    column = np.clip((points[:, 0] - grid.left) // grid.cell, 0, grid.columns - 1).astype(np.intp)
    row = np.clip((points[:, 1] - grid.low) // grid.cell, 0, grid.rows - 1).astype(np.intp)
    return row, column


def _centres(grid: Grid, cells: Ints) -> Floats:
    row, column = np.divmod(cells, grid.columns)
    return np.stack([grid.left + (column + 0.5) * grid.cell, grid.low + (row + 0.5) * grid.cell], axis=1)


def _on_wood(stock: Stock, points: Floats, known: Flags) -> tuple[Floats, Ints]:
    """The points on the board where there is wood and no cell has told the fault already, and their indices."""
    row, column = _cells(stock.grid, points)
    board = stock.board
    inside = (points >= 0).all(axis=1) & (points[:, 0] <= board.width) & (points[:, 1] <= board.height)
    keep = np.flatnonzero(inside & _wood(stock)[row, column] & ~_near(known, row, column))
    return points[keep], keep


def _near(cells: Flags, row: Ints, column: Ints) -> Flags:
    """Whether any of the nine cells around is True."""
    if not cells.any():
        return np.zeros(len(row), bool)
    rows, columns = cells.shape
    found = np.zeros(len(row), bool)
    for up in (-1, 0, 1):
        for right in (-1, 0, 1):
            found |= cells[np.clip(row + up, 0, rows - 1), np.clip(column + right, 0, columns - 1)]
    return found


def _widened(heights: Heights) -> Heights:
    """The greatest height of each cell and its eight neighbours."""
    wide = np.pad(heights, 1, mode="edge")
    wide = np.maximum(np.maximum(wide[:-2], wide[1:-1]), wide[2:])
    return np.maximum(np.maximum(wide[:, :-2], wide[:, 1:-1]), wide[:, 2:])


def _wood(stock: Stock) -> Flags:
    return np.asarray(stock.top - stock.bottom > _NOTHING)


def _named(trial: Trial, x: float, y: float) -> str:
    """ " in the display recess", where a place lies in a feature of this side."""
    if trial.part is None:
        return ""
    at = shapely.Point(x, y)
    for feature in trial.part.cut_from(trial.case.fixture.side):
        if isinstance(feature, Recess) and trial.case.fixture.place(feature.area).distance(at) < trial.after.cell:
            return f" at the {feature.name}"
    return ""
