"""Against the part meant: wood gone that should stay, wood standing that should be gone.

Broad faults show in the cells. A wall or a floor that is off by less than a cell shows at places
beside the walls and under the cutter's tip, where heights are worked out from the moves themselves
and no cell decides.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator

import numpy as np
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.part import CutAlong, Feature, Part, Parting
from toolpaths.judging.checks.part.beside_walls import BESIDE, WHISKER, joined, stretches, turned_in, wall_of
from toolpaths.judging.checks.part.names import Names, names_of
from toolpaths.judging.checks.part.standing import NOTHING, meant_in, top_at, wood
from toolpaths.judging.checks.part.target import Meant, footprint, slack_of
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import first_below
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.wood.field import Heights, Wood
from toolpaths.judging.wood.moves import X1, Y1, Z1
from toolpaths.judging.wood.patches import around, cells_at, centres, marked, mask_of, patches, spread_over, widened
from toolpaths.judging.wood.paths import over_board, places_along
from toolpaths.judging.wood.sweep import Flags, Ints, in_portions

# mm beyond what is allowed at which the fault of a wall is measured.
_STEPS = (0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)
# A patch of wood left standing that is no more than a whisker, mm2.
_WHISKER_AREA = 0.5
# A cell of a thin patch is looked at in so many places each way.
_CLOSER = 4
_CELLS_AT_A_TIME = 30_000
# mm between two places at which a tip is looked at along its way.
_ALONG = 0.5


def part_meant(trial: Trial) -> Iterator[Finding]:
    """What is gone that should stay, and what stands, once this program has run, that should be gone."""
    part = trial.part
    if part is None:
        return
    meant, names = meant_in(trial, part), names_of(trial, part)
    yield from _gouges(trial, part, meant, names)
    yield from _leftovers(trial, part, meant, names)


def _gouges(trial: Trial, part: Part, meant: Meant, names: Names) -> Iterator[Finding]:
    """Wood of the part that this program takes away."""
    lowest = meant.lowest(trial.after.grid)
    taken = (trial.before.top - trial.after.top > NOTHING) & wood(trial.before)
    gone = (trial.after.top < lowest - np.float32(part.within)) & taken
    told = yield from _broad_walls_thin(
        trial, gone,
        lambda cells, parts: _gouged(trial, part, names, cells, lowest, parts),
        lambda told: _gouged_walls(trial, part, meant, told),
    )  # fmt: skip
    yield from _gouged_below(trial, part, meant, lowest, around(told | gone))


def _leftovers(trial: Trial, part: Part, meant: Meant, names: Names) -> Iterator[Finding]:
    """Wood that stands where the part has none."""
    highest = meant.highest(trial.after.grid)
    stands = (trial.after.top > highest + np.float32(part.within)) & wood(trial.after)
    yield from _broad_walls_thin(
        trial, stands,
        lambda cells, parts: _left(trial, part, names, cells, highest, parts),
        lambda told: _left_at_walls(trial, part, meant, told),
        lambda thin: _stands(trial, meant, thin),
    )  # fmt: skip


def _broad_walls_thin(
    trial: Trial,
    faulty: Flags,
    patch: Callable[[Ints, int], Finding],
    at_walls: Callable[[Flags], Iterable[tuple[Finding, Floats]]],
    worth: Callable[[list[Ints]], list[Ints]] = lambda thin: thin,
) -> Generator[Finding, None, Flags]:
    """Findings of broad patches of faulty cells, then of walls beside none, then of thin patches not told by either.

    The result is the cells of all that was told, but for the thin patches.
    """
    broad, thin = patches(faulty)
    for cells in broad:
        yield patch(cells, 1)
    told = mask_of(faulty, broad)
    for found, places in at_walls(told):
        told = marked(told, trial.after.grid, places)
        yield found
    near_told = around(told).reshape(-1)
    thin = worth([cells for cells in thin if not near_told[cells].all()])
    if thin:
        yield patch(np.concatenate(thin), len(thin))
    return told


def _stands(trial: Trial, meant: Meant, thin: list[Ints]) -> list[Ints]:
    """Those of the thin patches that are more than a whisker, looked at closer than their cells show them.

    All together, since each look at the wood goes through all the moves.
    """
    cell = trial.after.cell
    steps = (np.arange(_CLOSER) + 0.5) * cell / _CLOSER - cell / 2
    inside = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    found: list[Ints] = []
    for first, last in in_portions(np.array([len(cells) for cells in thin]), _CELLS_AT_A_TIME):
        some = thin[first:last]
        places = (centres(trial.after.grid, np.concatenate(some))[:, None] + inside).reshape(-1, 2)
        stands = top_at(trial, places) > meant.band(places)[1] + meant.within
        owner = np.repeat(np.arange(len(some)), [len(cells) * len(inside) for cells in some])
        area = np.bincount(owner, weights=stands, minlength=len(some)) * (cell / _CLOSER) ** 2
        found += [cells for cells, wood_left in zip(some, area.tolist(), strict=True) if wood_left >= _WHISKER_AREA]
    return found


def _left(trial: Trial, part: Part, names: Names, cells: Ints, highest: Heights, parts: int) -> Finding:
    deep = (trial.after.top.reshape(-1)[cells] - highest.reshape(-1)[cells]).astype(np.float64)
    return _patch(
        trial, part, names, "leftover", "damage", cells, deep, np.empty(0, np.intp),
        "{area:.1f} mm2 of wood stand that should be gone{where}{parts}, {mean:.2f} mm high on average, "
        "{worst:.2f} at most; cut it deeper or wider there, or with a finer cutter.", parts,
    )  # fmt: skip


def _gouged(trial: Trial, part: Part, names: Names, cells: Ints, lowest: Heights, parts: int) -> Finding:
    limit = lowest.reshape(-1)[cells].astype(np.float64)
    bottom = np.broadcast_to(trial.before.bottom, trial.after.top.shape).reshape(-1)[cells]
    deep = limit - np.maximum(trial.after.top.reshape(-1)[cells], bottom)
    # The deepest, and others spread over the patch, tell which lines did it.
    looked = spread_over(cells, int(deep.argmax()))
    moves = first_below(trial.case, centres(trial.after.grid, cells[looked]), limit[looked] - part.within)
    moves = np.append(moves[moves >= 0], _ending_in(trial, cells, limit - part.within))
    return _patch(
        trial, part, names, "gouge", "damage", cells, deep, moves,
        "{area:.1f} mm2 of the part are cut away that should stay{where}{parts}, {mean:.2f} mm deep on average, "
        "{worst:.2f} at worst.", parts,
    )  # fmt: skip


def _ending_in(trial: Trial, cells: Ints, limit: Floats) -> Ints:
    """Moves whose tip ends in the patch and below its limit: a plunge cuts few cells, but sets the depth of all."""
    case, grid = trial.case, trial.after.grid
    low = np.flatnonzero(case.known() & ~case.leaving & (case.table[Z1] < limit.max()))
    row, column = cells_at(grid, case.table[[X1, Y1]][:, low].T)
    ends, order = row * grid.columns + column, np.argsort(cells)
    at = order[np.minimum(np.searchsorted(cells, ends, sorter=order), len(cells) - 1)]
    inside = cells[at] == ends
    return np.asarray(low[inside & (case.table[Z1, low] < limit[at])])


def _patch(
    trial: Trial,
    part: Part,
    names: Names,
    code: str,
    severity: str,
    cells: Ints,
    deep: Floats,
    moves: Ints,
    words: str,
    parts: int,
) -> Finding:
    worst = int(deep.argmax())
    x, y = centres(trial.after.grid, cells[[worst]])[0].tolist()
    place = trial.case.point(x, y, float(trial.after.top.reshape(-1)[cells[worst]]))
    lines = np.unique(trial.case.line[moves]).tolist()
    text = words.format(
        area=len(cells) * trial.after.cell**2, mean=float(deep.mean()), worst=float(deep[worst]),
        where=names.told(x, y), parts=f", in {parts} patches" if parts > 1 else "",
    )  # fmt: skip
    first = lines[0] if lines else 0
    return Finding(
        code, severity, first, place, float(deep[worst]), part.within, text, max(len(lines), 1), tuple(lines),
    )  # fmt: skip


def _gouged_walls(trial: Trial, part: Part, meant: Meant, told: Flags) -> Iterator[tuple[Finding, Floats]]:
    """A wall cut into by less than the cells can show, and the places where it is; so too the board's own edge."""
    case = trial.case
    names, walls, slacks = ["edge of the board"], [turned_in(wall_of(part.board.outline))], [part.within]
    for feature in part.cut_from(case.fixture.side):
        area, slack = _outline(trial, part, feature)
        outside = isinstance(feature, Parting) and feature.waste == "outside"
        names.append(f"wall of the {feature.name}")
        walls.append(turned_in(wall_of(area)) if outside else wall_of(area))
        slacks.append(slack)
    wall, owner = joined(walls)
    allowed = np.array(slacks)[owner]
    points, keep = _on_wood(trial.before, wall.beside(allowed + BESIDE), told)
    moves = first_below(case, points, meant.band(points)[0] - part.within)
    points, keep, moves = points[moves >= 0], keep[moves >= 0], moves[moves >= 0]
    far = allowed[keep] + BESIDE
    for step in _STEPS if len(keep) else ():
        further = wall.beside(allowed + step)[keep]
        still = first_below(case, further, meant.band(further)[0] - part.within) >= 0
        far = np.where(still, np.maximum(far, allowed[keep] + step), far)
    for mine in _each(owner[keep]):
        hit = mine[np.argsort(moves[mine], kind="stable")]
        long = float(wall.step[keep[hit]].sum())
        at = np.column_stack([points[hit], case.low[moves[hit]]])
        found = folded(
            "gouge", "damage", case.line[moves[hit]], case.work(at), far[hit], part.within,
            f"the {names[owner[keep[hit[0]]]]} is cut into by at least {{amount}} mm, along {long:.1f} mm.",
        )  # fmt: skip
        yield found, points[hit]


def _gouged_below(trial: Trial, part: Part, meant: Meant, lowest: Heights, told: Flags) -> Iterator[Finding]:
    """A tip too deep where no cell centre shows it."""
    case = trial.case
    cutting = np.flatnonzero((case.low < -part.within) & ~case.leaving & case.known())
    grid = trial.after.grid
    # A tip above this is above all that may be cut around it, whatever the cells say.
    ceiling, stood = widened(lowest), wood(trial.before)
    for tool, cutter in case.cutters.items():
        mine = cutting[case.tool[cutting] == tool]
        table, over = over_board(case.table[:, mine], case.fixture.board)
        mine = mine[over]
        tips = [np.empty((0, 5))]
        for places, which in places_along(table, _ALONG):
            row, column = cells_at(grid, places[:, :2])
            near = places[:, 2] < ceiling[row, column] - part.within
            near &= ~told[row, column] & (trial.before.top[row, column] > places[:, 2] + NOTHING)
            # Off the board there is no part, though the nearest cell may be one of it.
            near &= stood[row, column] & _on_board(trial.before, places[:, :2])
            some = np.flatnonzero(near)
            deep = meant.band(places[some, :2])[0] - places[some, 2]
            hit = deep > part.within
            tips.append(np.column_stack([places[some], mine[which[some]], deep])[hit])
        found = np.concatenate(tips)
        if len(found):
            yield folded(
                "gouge", "damage", case.line[found[:, 3].astype(np.intp)], case.work(found[:, :3]), found[:, 4],
                part.within, f"{cutter} goes {{amount}} mm deeper into the part than meant.",
            )  # fmt: skip


def _left_at_walls(trial: Trial, part: Part, meant: Meant, told: Flags) -> Iterator[tuple[Finding, Floats]]:
    """A wall that stands too far inwards by less than the cells can show, and the places where it does."""
    case = trial.case
    features = [feature for feature in part.cut_from(case.fixture.side) if not isinstance(feature, Parting)]
    if not features:
        return
    outlines = [_outline(trial, part, feature) for feature in features]
    wall, owner = joined([turned_in(wall_of(area)) for area, _ in outlines])
    allowed = np.array([slack for _, slack in outlines])[owner]
    left = np.zeros(len(wall.at), bool)
    points, keep = _on_wood(trial.after, wall.beside(allowed + BESIDE), told)
    left[keep] = top_at(trial, points) > meant.band(points)[1] + part.within
    long = [stretch for stretch in stretches(wall, left) if wall.step[stretch].sum() > WHISKER]
    if not long:
        return
    which = np.concatenate(long)
    far = allowed[which] + BESIDE
    for step in _STEPS:
        further = wall.beside(allowed + step)[which]
        stands = top_at(trial, further) > meant.band(further)[1] + part.within
        far = np.where(stands, np.maximum(far, allowed[which] + step), far)
    begins = np.cumsum([0, *(len(stretch) for stretch in long[:-1])])
    for mine in _each(owner[which]):
        x, y = wall.at[which[mine[0]]].tolist()
        times, most = np.isin(begins, mine).sum(), float(far[mine].max())
        where = f"{wall.step[which[mine]].sum():.1f} mm" + (f" in {times} stretches" if times > 1 else "")
        found = Finding(
            "leftover", "damage", 0, case.point(x, y, 0.0), most, part.within,
            f"the wall of the {features[owner[which[mine[0]]]].name} stands at least {most:.2f} mm too far inside, "
            f"along {where}.",
        )  # fmt: skip
        yield found, wall.at[which[mine]]


def _each(owner: Ints) -> list[Ints]:
    """Of things in order of their owners, the indices of those of each."""
    return np.split(np.arange(len(owner)), np.flatnonzero(np.diff(owner)) + 1) if len(owner) else []


def _outline(trial: Trial, part: Part, feature: Feature) -> tuple[BaseGeometry, float]:
    """The area of a feature as it lies, and mm by which its walls may be off."""
    fixture = trial.case.fixture
    if isinstance(feature, CutAlong):
        # The area of the cut is round at ends and corners, in chords of its own.
        area = footprint(feature, fixture)
        return area, max(slack_of(feature.line, part.within), slack_of(area, part.within))
    area = fixture.place(feature.area)
    return area, slack_of(area, part.within)


def _on_wood(stock: Wood, points: Floats, known: Flags) -> tuple[Floats, Ints]:
    """The points on the board where there is wood and no cell has told the fault already, and their indices."""
    row, column = cells_at(stock.grid, points)
    keep = np.flatnonzero(_on_board(stock, points) & wood(stock)[row, column] & ~around(known)[row, column])
    return points[keep], keep


def _on_board(stock: Wood, points: Floats) -> Flags:
    return np.asarray(((points >= 0) & (points <= (stock.board.width, stock.board.height))).all(axis=1))
