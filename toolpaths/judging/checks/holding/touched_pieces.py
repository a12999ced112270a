"""Which pieces the side of a cutter touches: it pushes no other."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.holding.board_pieces import BoardPieces
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.cutting_force import Pushes
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.wood_ahead import TAKES
from toolpaths.judging.wood.patches import cells_at
from toolpaths.judging.wood.sweep import Flags, Ints

# mm between a cutter and wood that it touches; and in how many directions that is looked at.
_CLOSE, _AROUND = 0.05, 64


def touched(trial: Trial, pieces: BoardPieces, at: Pushes, some: Ints) -> Flags:
    """(s,) whether a cutter, where it pushes, has wood of some of the pieces at its side.

    As in a last pass along a wall: what an earlier pass has parted from that wall stands farther off.
    """
    angle = np.arange(_AROUND) * (2 * np.pi / _AROUND)
    around = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    reach = _radius_at_top(trial.case, at) + _CLOSE
    place = (at.tip[:, None, :2] + reach[:, None, None] * around).reshape(-1, 2)
    push = np.repeat(np.arange(len(at.move)), _AROUND)
    theirs = np.isin(pieces.number[cells_at(pieces.grid, place)], some)
    place, push = place[theirs], push[theirs]
    top, bottom = faces_before(trial, place, at.move[push])
    return np.bincount(push, top > np.maximum(at.tip[push, 2], bottom) + TAKES, minlength=len(at.move)) > 0


def _radius_at_top(case: Case, at: Pushes) -> Floats:
    """(s,) mm, of the cutter where it passes the top of the board."""
    radius, tool = at.radius.copy(), case.moves.tool[at.move]
    for number, cutter in case.cutters.items():
        mine = tool == number
        radius[mine] = cutter.profile.radii(-at.tip[mine, 2])
    return radius
