"""Leftovers: wood that stands, once a program has run, where the part meant has none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

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
from toolpaths.judging.checks.part.nearest_cut import nearest_cut
from toolpaths.judging.checks.part.part_walls import PartWalls
from toolpaths.judging.checks.part.target import Target, highest
from toolpaths.judging.checks.part.wall_places import BESIDE, WHISKER, Wall, stretches, turned_in
from toolpaths.judging.checks.part.wood_at import NOTHING, only_in_wood, top_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.field import Heights
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.sweep import Flags, Ints, in_portions

# A patch of wood left standing that is no more than a whisker, mm2.
_WHISKER_AREA = 0.2
# A cell of a thin patch is looked at in so many places each way.
_CLOSER = 4
_CELLS_AT_A_TIME = 30_000


def leftovers(trial: Trial, walls: PartWalls) -> Iterator[Finding]:
    """Wood that stands where the part has none."""
    part = walls.part
    target = highest(part, trial.case.fixture, walls.slack)
    names = names_of(trial, part)
    stands, limit = target.faults(trial.after.grid, lambda limit: _stand_above(trial, limit + np.float32(part.within)))
    yield from broad_walls_thin(
        trial, stands,
        lambda cells, parts: _patch(trial, names, cells, limit, parts),
        lambda known: _at_walls(trial, walls, target, known),
        lambda thin: _more_than_whiskers(trial, part, target, thin),
    )  # fmt: skip


def _stand_above(trial: Trial, limit: Heights) -> Flags:
    """(rows, columns) cells in which wood stands above limits (rows, columns)."""
    return only_in_wood(trial.after, trial.after.top > limit)


def _patch(trial: Trial, names: Names, cells: Ints, limit: Heights, parts: int) -> Finding:
    meant = limit.reshape(-1)[cells].astype(np.float64)
    deep = trial.after.top.reshape(-1)[cells] - meant
    advice = "cut it deeper or wider there, or with a finer cutter."
    if meant[deep.argmax()] <= NOTHING - names.part.board.thickness:
        # A part drawn as a recess through the board knows of no tabs.
        advice = "cut through there, or say in the part which tabs hold: Parting(..., tabs=...)."
    found = patch_finding(
        trial, names, "leftover", Patch(cells, deep, np.empty(0, np.intp), parts),
        "{area:.1f} mm2 of wood stand that should be gone{where}{parts}, {mean:.2f} mm high on average, "
        f"{{worst:.2f}} at most; {advice}",
    )  # fmt: skip
    worst = int(deep.argmax())
    x, y = centres(trial.after.grid, cells[[worst]])[0].tolist()
    return _with_line(trial, found, (x, y), float(meant[worst]), names.name_at(x, y))


def _with_line(trial: Trial, found: Finding, place: tuple[float, float], depth: float, feature: str) -> Finding:
    """The finding with the line that works nearest to a place of it, where one can be told."""
    near = nearest_cut(trial.case, *place, depth, feature)
    return replace(found, line=near.line, message=f"{found.message[:-1]}; {near.words}.") if near else found


def _more_than_whiskers(trial: Trial, part: Part, target: Target, thin: list[Ints]) -> list[Ints]:
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
        stands = _stands(trial, part, target, places)
        owner = np.repeat(np.arange(len(some)), [len(cells) * len(inside) for cells in some])
        area = np.bincount(owner, weights=stands, minlength=len(some)) * (cell / _CLOSER) ** 2
        found += [cells for cells, wood_left in zip(some, area.tolist(), strict=True) if wood_left >= _WHISKER_AREA]
    return found


def _stands(trial: Trial, part: Part, target: Target, places: Floats) -> Flags:
    """(k,) whether wood stands at places (k, 2) that should have none."""
    return target.below(places, top_at(trial, places) - part.within)


def _at_walls(trial: Trial, walls: PartWalls, target: Target, known: Flags) -> Iterator[tuple[Finding, Floats]]:
    """A wall that stands too far inwards by less than the cells can show, and the places where it does."""
    case, part, features = trial.case, walls.part, walls.features
    # Whether the board is parted all along a wall is a check of its own.
    inside = np.array([False, *(not feature.waste_side for feature in features)])[walls.owner]
    if not inside.any():
        return
    wall = Wall(*(column[inside] for column in turned_in(walls.wall, inside)))
    owner, allowed = walls.owner[inside] - 1, walls.allowed[inside]
    left = np.zeros(len(wall.at), bool)
    points, keep = on_wood(trial.after, wall.beside(allowed + BESIDE), known)
    left[keep] = _stands(trial, part, target, points)
    long = [stretch for stretch in stretches(wall, left) if wall.step[stretch].sum() > WHISKER]
    if not long:
        return
    which = np.concatenate(long)
    far = how_far(wall, which, allowed[which], lambda at: _stands(trial, part, target, at))
    begins = np.cumsum([0, *(len(stretch) for stretch in long[:-1])])
    for mine in by_owner(owner[which]):
        x, y = wall.at[which[mine[0]]].tolist()
        times, most = np.isin(begins, mine).sum(), float(far[mine].max())
        name = features[owner[which[mine[0]]]].name
        where = f"{wall.step[which[mine]].sum():.1f} mm" + (f" in {times} stretches" if times > 1 else "")
        found = Finding(
            "leftover", "damage", 0, case.point(x, y, 0.0), most, part.within,
            f"the wall of the {name} stands at least {most:.2f} mm too far inside, along {where}.",
        )  # fmt: skip
        worst = mine[int(far[mine].argmax())]
        depth = float(target.at(wall.at[which[[worst]]] + far[worst] * wall.out[which[[worst]]])[0])
        yield _with_line(trial, found, (x, y), depth, name), wall.at[which[mine]]
