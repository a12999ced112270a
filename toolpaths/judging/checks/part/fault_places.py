"""Where the wood is off the part meant: in broad patches of cells, at walls beside none of them, in thin patches.

Broad faults show in the cells. A wall or a floor that is off by less than a cell shows at places
beside the walls and under the cutter's tip, where heights are worked out from the moves themselves
and no cell decides.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.part.feature_names import Names
from toolpaths.judging.checks.part.wall_places import BESIDE, Wall
from toolpaths.judging.checks.part.wood_at import wood_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.field import Wood
from toolpaths.judging.wood.patches import around, cells_at, centres, marked, mask_of, on_board, patches
from toolpaths.judging.wood.sweep import Flags, Ints

# mm beyond what is allowed at which the fault of a wall is measured.
_STEPS = (0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)


def broad_walls_thin(
    trial: Trial,
    faulty: Flags,
    patch: Callable[[Ints, int], Finding],
    at_walls: Callable[[Flags], Iterable[tuple[Finding, Floats]]],
    worth: Callable[[list[Ints]], list[Ints]] = lambda thin: thin,
) -> Generator[Finding, None, Flags]:
    """Findings of broad patches of faulty cells, then of walls beside none, then of thin patches found by neither.

    patch : the finding of these cells, in so many patches
    at_walls : from the cells found so far, findings at walls, each with the places where it is
    worth : those of the thin patches that are worth a finding
    The result is the cells of all that was found, but for the thin patches.
    """
    broad, thin = patches(faulty)
    for cells in broad:
        yield patch(cells, 1)
    known = mask_of(faulty, broad)
    for finding, places in at_walls(known):
        known = marked(known, trial.after.grid, places)
        yield finding
    near_known = around(known).reshape(-1)
    thin = worth([cells for cells in thin if not near_known[cells].all()])
    if thin:
        yield patch(np.concatenate(thin), len(thin))
    return known


def how_far(wall: Wall, places: Ints, allowed: Floats, faulty: Callable[[Floats], Flags]) -> Floats:
    """(k,) mm beside these places of a wall up to which it is at fault, in steps.

    allowed : (k,) mm by which it may be off there
    faulty : of places (k, 2) out on the board, whether it is at fault there
    """
    if not len(places):
        return np.empty(0)
    # All at once, since each look at the wood goes through all the moves.
    steps = allowed + np.array(_STEPS)[:, None]
    out = wall.at[places] + steps[..., None] * wall.out[places]
    found = faulty(out.reshape(-1, 2)).reshape(steps.shape)
    return np.asarray(np.maximum(np.where(found, steps, 0.0).max(axis=0), allowed + BESIDE))


class Patch(NamedTuple):
    """Cells that are off the part, in one patch or several.

    deep : (k,) mm by which each is off
    moves : those that did it, where any did
    """

    cells: Ints
    deep: Floats
    moves: Ints
    patches: int


def patch_finding(trial: Trial, names: Names, code: str, patch: Patch, words: str) -> Finding:
    """The finding of a patch of cells.

    words : with the {area}, the {mean} and {worst} of what it is off, {where} it is, and in how many {parts}
    """
    cells, deep = patch.cells, patch.deep
    worst = int(deep.argmax())
    x, y = centres(trial.after.grid, cells[[worst]])[0].tolist()
    place = trial.case.point(x, y, float(trial.after.top.reshape(-1)[cells[worst]]))
    lines = np.unique(trial.case.moves.line[patch.moves]).tolist()
    text = words.format(
        area=len(cells) * trial.after.cell**2, mean=float(deep.mean()), worst=float(deep[worst]),
        where=names.at(x, y), parts=f", in {patch.patches} patches" if patch.patches > 1 else "",
    )  # fmt: skip
    first = lines[0] if lines else 0
    within, many = names.part.within, max(len(lines), 1)
    return Finding(code, "damage", first, place, float(deep[worst]), within, text, many, tuple(lines))


def by_owner(owner: Ints) -> list[Ints]:
    """Of things in order of their owners, the indices of those of each."""
    return np.split(np.arange(len(owner)), np.flatnonzero(np.diff(owner)) + 1) if len(owner) else []


def on_wood(stock: Wood, points: Floats, known: Flags) -> tuple[Floats, Ints]:
    """The points on the board where there is wood and no cell has shown the fault already, and their indices."""
    row, column = cells_at(stock.grid, points)
    keep = np.flatnonzero(on_board(stock.board, points) & wood_in(stock, row, column) & ~around(known)[row, column])
    return points[keep], keep
