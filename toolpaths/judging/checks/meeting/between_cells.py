"""What moves meet between the centres of cells, exactly: what a thin tip touches, or a shaving at the rim."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.meeting.wood_in_time import Met
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.cut_heights import cut_heights
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import SHAVING
from toolpaths.judging.trial.wood_ahead import along, worst_of_each
from toolpaths.judging.wood.heights import reach
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Ints

# mm between the places looked at along a move, and places along all moves of one cutter at most; longer ones are
# looked at farther apart.
_SPACING, _MOST = 0.25, 3_000
# Places looked at about the axis, as shares of the radius and angles from the heading: across a move, and all round.
_LOOKS = [(share, np.pi / 2 * side) for share in (0.5, 1.0) for side in (-1, 1)]
_LOOKS += [(0.0, np.pi / 2)] + [(1.0, k * np.pi / 4) for k in range(8) if k % 4 != 2]


def scratches(trial: Trial, which: Ints) -> Iterator[Met]:
    """Of straight moves (m,) each that meets standing wood: the move, the place on the board, the height of wood.

    Looked at on the axis, half way out and close to both edges of the cutter, at the width it has at
    the top of the board: what a thin tip meets between the centres of two cells.
    """
    case = trial.case
    for tool, mine in case.by_cutter(which):
        profile = case.cutters[tool].profile
        table = case.moves.path[:, mine]
        move, tip, heading = along(table, _SPACING, _MOST)
        width = reach(profile, -np.minimum(table[Z0], table[Z1]))[move]
        edge = np.maximum(width - 2 * SHAVING, 0.0)
        upright = case.moves.upright[mine][move]
        places, cuts, movers = [], [], []
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
            movers.append(mine[move[some]])
        place, cut, mover = np.concatenate(places), np.concatenate(cuts), np.concatenate(movers)
        top, bottom = faces_before(trial, place, mover)
        amount = np.where(top > bottom, top - np.maximum(cut, bottom), 0.0)
        yield from over(SHAVING, mover, np.column_stack([place, cut]), amount)


def over(limit: float, move: Ints, place: Floats, amount: Floats) -> Iterator[Met]:
    """Of each move the worst place, if it is over the limit."""
    for i in worst_of_each(move, amount).tolist():
        if amount[i] > limit:
            x, y, z = place[i].tolist()
            yield int(move[i]), (x, y, z), float(amount[i])
