"""Where cutter or nut meets standing wood, exactly, whatever the cells of the wood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import cut_heights, standing
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.trial.wood_ahead import along, by_move, highest
from toolpaths.judging.wood.field import Wood
from toolpaths.judging.wood.heights import reach
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Ints

# mm; between the places looked at along a rapid, and along a way of the nut.
_FINE, _COARSE = 0.25, 1.0
# Places looked at along all moves of one cutter at most; longer ones are looked at farther apart.
_MOST = 3_000
_MOST_NUT, _MOST_ROUND = 400, 1_000
_ROUND = 24


# A move, the place on the board, how much.
Met = tuple[int, tuple[float, float, float], float]


def scratches(case: Case, stock: Wood, which: Ints) -> Iterator[Met]:
    """Of straight moves (m,) each that meets standing wood: the move, the place on the board, the height of wood.

    Looked at on the axis, half way out and close to both edges of the cutter, at the width it has at
    the top of the board: what a thin tip meets between the centres of two cells.
    """
    for tool in sorted(set(case.tool[which].tolist())):
        mine = which[case.tool[which] == tool]
        profile = case.cutters[tool].profile
        table = case.table[:, mine]
        move, tip, heading = along(table, _FINE, _MOST)
        width = reach(profile, -np.minimum(table[Z0], table[Z1]))[move]
        edge = np.maximum(width - 2 * SHAVING, 0.0)
        upright = case.upright[mine][move]
        places, cuts, befores = [], [], []
        for share, angle in _LOOKS:
            # Across a sideways move, all round a straight plunge.
            some = np.flatnonzero(upright | (np.abs(np.cos(angle)) < 1e-9))
            turned = np.where(upright, angle, heading + angle)[some]
            out = np.stack([np.cos(turned), np.sin(turned)], axis=1)
            place = tip[some, :2] + out * (share * edge[some])[:, None]
            # The cutter as so much smaller: as if the place lay so much farther out.
            x, y = (place + out * SHAVING).T
            places.append(place)
            cuts.append(cut_heights(profile, table[:, move[some]], x, y))
            befores.append(mine[move[some]])
        place, cut, before = np.concatenate(places), np.concatenate(cuts), np.concatenate(befores)
        top, bottom = standing(case, stock, place, before)
        amount = np.where(top > bottom, top - np.maximum(cut, bottom), 0.0)
        yield from _worst(before, np.column_stack([place, cut]), amount, SHAVING)


def rubs(case: Case, stock: Wood, which: Ints) -> Iterator[Met]:
    """Of these moves each beside which wood stands higher than the flutes are long: how far the tip is below it.

    Looked at round the cutter, or its shank if that is no thinner: then it rubs on the wall just cut.
    """
    for tool in sorted(set(case.tool[which].tolist())):
        mine, cutter = which[case.tool[which] == tool], case.cutters[tool]
        move, tip, _ = along(case.table[:, mine], _COARSE, _MOST_ROUND)
        shank = cutter.body.shank_diameter / 2
        radius = shank + 2 * SHAVING if shank >= cutter.radius else cutter.radius - 2 * SHAVING
        turn = np.arange(_ROUND) / _ROUND * 2 * np.pi
        place = tip[:, None, :2] + radius * np.column_stack([np.cos(turn), np.sin(turn)])
        before, z = np.repeat(mine[move], _ROUND), np.repeat(tip[:, 2], _ROUND)
        top, bottom = standing(case, stock, place.reshape(-1, 2), before)
        at = np.column_stack([place.reshape(-1, 2), z])
        yield from _worst(before, at, np.where(top > bottom, top - z, 0.0), cutter.body.cutting_length + SHAVING)


def _worst(move: Ints, place: Floats, amount: Floats, limit: float) -> Iterator[Met]:
    """Of each move the worst place, if it is over the limit."""
    order = np.lexsort([-amount, move])
    for i in order[np.flatnonzero(np.diff(move[order], prepend=-1))].tolist():
        if amount[i] > limit:
            x, y, z = place[i].tolist()
            yield int(move[i]), (x, y, z), float(amount[i])


_LOOKS = [(share, np.pi / 2 * side) for share in (0.5, 1.0) for side in (-1, 1)]
_LOOKS += [(0.0, np.pi / 2)] + [(1.0, k * np.pi / 4) for k in range(8) if k % 4 != 2]


def nut_in_wood(trial: Trial) -> Iterator[Finding]:
    """The collet nut meets wood that stands beside a deep cut, in any move."""
    case, top = trial.case, highest(trial)
    for tool, cutter in case.cutters.items():
        deep = case.low + cutter.body.stick_out < top - SHAVING
        which = np.flatnonzero(deep & (case.tool == tool) & ~case.leaving)
        if len(which):
            yield from _met_by_nut(trial, cutter, which)


def _met_by_nut(trial: Trial, cutter: Cutter, which: Ints) -> Iterator[Finding]:
    case = trial.case
    table = case.table[:, which]
    move, tip, _ = along(table, _COARSE, _MOST_NUT)
    rings = np.array([(0.0, 0.0), *_rings(cutter.nut_diameter / 2 - SHAVING)])
    place = (tip[:, None, :2] + rings).reshape(-1, 2)
    before = np.repeat(which[move], len(rings))
    above, bottom = standing(case, trial.before, place, before)
    nut = np.repeat(tip[:, 2] + cutter.body.stick_out, len(rings))
    amount = np.where(above > bottom, above - np.maximum(nut, bottom), 0.0)
    hit = np.flatnonzero(amount > SHAVING)
    if len(hit):
        at = np.column_stack([place[hit], nut[hit]])
        yield folded(
            "nut-in-wood", "danger", *by_move(case, before[hit], at, amount[hit]), 0.0,
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
