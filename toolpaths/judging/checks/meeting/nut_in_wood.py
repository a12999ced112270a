"""The check of the collet nut: does it meet standing wood?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.trial.wood_ahead import along, by_move, highest
from toolpaths.judging.wood.sweep import Ints

# mm between the places looked at along a move, and places along all moves of one cutter at most; longer ones are
# looked at farther apart.
_SPACING, _MOST = 1.0, 400


def nut_in_wood(trial: Trial) -> Iterator[Finding]:
    """The collet nut meets wood that stands beside a deep cut, in any move."""
    case, top = trial.case, highest(trial)
    for tool, cutter in case.cutters.items():
        deep = case.moves.below(top - SHAVING - cutter.body.stick_out)
        which = np.flatnonzero(deep & (case.moves.tool == tool))
        if len(which):
            yield from _met_by_nut(trial, cutter, which)


def _met_by_nut(trial: Trial, cutter: Cutter, which: Ints) -> Iterator[Finding]:
    case = trial.case
    table = case.moves.path[:, which]
    move, tip, _ = along(table, _SPACING, _MOST)
    rings = np.array([(0.0, 0.0), *_rings(cutter.nut_diameter / 2 - SHAVING)])
    place = (tip[:, None, :2] + rings).reshape(-1, 2)
    mover = np.repeat(which[move], len(rings))
    above, bottom = faces_before(trial, place, mover)
    nut = np.repeat(tip[:, 2] + cutter.body.stick_out, len(rings))
    amount = np.where(above > bottom, above - np.maximum(nut, bottom), 0.0)
    hit = np.flatnonzero(amount > SHAVING)
    if len(hit):
        at = np.column_stack([place[hit], nut[hit]])
        yield folded(
            "nut-in-wood", "danger", *by_move(case, mover[hit], at, amount[hit]), 0.0,
            f"The collet nut of {cutter}, {cutter.body.stick_out:g} mm above its tip, runs into wood standing "
            "{amount} mm above its lower face. Let the cutter stick out farther, or cut wider.",
        )  # fmt: skip


def _rings(radius: float) -> list[tuple[float, float]]:
    """Points of a disc, on rings no more than 2 mm apart."""
    count = int(np.ceil(radius / 2))
    return [
        (radius * k / count * float(np.cos(a)), radius * k / count * float(np.sin(a)))
        for k in range(1, count + 1)
        for a in np.arange(max(4 * k, 8)) / max(4 * k, 8) * 2 * np.pi
    ]
