"""Shoulders: is the wood over an undercut, which is to carry, cut away by what comes later, or cut free?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.part.wood_at import NOTHING, has_wood, top_at
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import faces_before, first_below
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.trial.undercuts import cavities, undercuts_of
from toolpaths.judging.trial.wood_ahead import along
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.patches import around, centres
from toolpaths.judging.wood.raster import covered
from toolpaths.judging.wood.regions import label
from toolpaths.judging.wood.sweep import Ints

# mm2 of wood that is no more than a splinter.
_SMALLEST = 1.0
# mm between the places looked at along a move, places along all moves of one cutter at most, and where beside the axis:
# shares of the way from the neck to the rim of the head.
_SPACING, _MOST, _SHARES = 1.0, 2_000, (0.25, 0.75)


def shoulder_cut(trial: Trial) -> Iterator[Finding]:
    """Half of a shoulder's thickness, or more, that stood when the head went under it is gone after the program.

    Half is common practice without a source: less is a face that is levelled later. What undercut cutters open
    themselves, as where two slots cross, does not count.
    """
    for case in (*(trial.before.top_cuts or ()), trial.case):
        for cutter, which in case.under_shoulders():
            profile = cutter.profile
            place, ceiling, mover = _places(case, which, profile.neck_diameter / 2, profile.radius, profile.head_height)
            # What an earlier program cut under stood before this one, or was gone then.
            stood = faces_before(trial, place, mover if case is trial.case else np.zeros_like(mover))[0]
            thick = np.flatnonzero(stood > ceiling + SHAVING)
            place, ceiling, stood = place[thick], ceiling[thick], stood[thick]
            least = (ceiling + stood) / 2 - SHAVING
            stands = top_at(trial, place)
            low = np.flatnonzero(stands < least)
            moves = first_below(trial.case, place[low], least[low])
            others = np.flatnonzero(
                ~np.isin(trial.case.moves.tool[moves], list(trial.case.undercutting)) & (moves >= 0)
            )
            others = others[np.argsort(moves[others], kind="stable")]
            if len(others):
                low, moves = low[others], moves[others]
                at = np.column_stack([place[low], stands[low]])
                yield folded(
                    "shoulder-cut", "damage", trial.case.moves.line[moves], trial.case.work(at),
                    (stood - stands)[low], 0.0,
                    "{amount} mm of the wood over an undercut are cut away again, half of it or more: it was to carry.",
                )  # fmt: skip


def cut_free(trial: Trial) -> Iterator[Finding]:
    """Wood over undercuts that hangs together with none beside them: two heads have met below it."""
    stock, case = trial.after, trial.case
    upper = [each for each in cavities(stock) if each.upper]
    if not upper:
        return
    ceiling = np.full(stock.grid.shape, -np.inf, np.float32)
    for high in sorted({each.high for each in upper}):
        ceiling[covered(shapely.union_all([each.area for each in upper if each.high == high]), stock.grid)] = high
    under, wood = np.isfinite(ceiling), has_wood(stock)
    beside = wood & ~under & (stock.top > min(each.high for each in upper))
    pieces = label(beside | (wood & under & (stock.top > ceiling + NOTHING)))
    changed = stock.top < trial.before.top
    for found in undercuts_of(case).area:
        changed |= covered(found, stock.grid)
    for number in np.flatnonzero(pieces.area * stock.cell**2 >= _SMALLEST).tolist():
        cells = pieces.cells(number)
        if beside.reshape(-1)[cells].any() or not around(changed).reshape(-1)[cells].any():
            continue
        places = centres(stock.grid, cells)
        x, y = places[len(places) // 2].tolist()
        heads = undercuts_of(case).over(places, np.zeros(len(places)))
        lines = np.unique(case.moves.line[heads[heads >= 0]]).tolist() or [0]
        area = len(cells) * stock.cell**2
        yield Finding(
            "shoulder-cut", "danger", lines[-1], case.point(x, y, 0.0), area, 0.0,
            f"{area:.1f} mm2 of wood between two slots are cut free below: heads have met under it, and nothing holds "
            "it. Put the slots farther apart than the head is wide.",
            len(lines), tuple(lines),
        )  # fmt: skip


def _places(case: Case, which: Ints, neck: float, head: float, height: float) -> tuple[Floats, Floats, Ints]:
    """Places under the shoulders to both sides of these moves (k, 2), the head's upper edge there, and the move."""
    nth, tip, heading = along(case.moves.path[:, which], _SPACING, _MOST)
    highest = np.maximum(case.moves.path[Z0], case.moves.path[Z1])[which[nth]] + height
    places = []
    for share in _SHARES:
        for side in (-1.0, 1.0):
            off = side * (neck + share * (head - neck))
            places.append(tip[:, :2] + off * np.column_stack([-np.sin(heading), np.cos(heading)]))
    count = len(places)
    return np.concatenate(places), np.tile(highest, count), np.tile(which[nth], count)
