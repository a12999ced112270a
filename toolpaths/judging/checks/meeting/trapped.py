"""The check of an undercut cutter's way out: is its head lifted where wood stands above it?

Its head lies under the shoulders that it has cut, and has no way up but a hole as wide as itself: that by which it went
in. Lifted anywhere else it tears the shoulders out, or the board off its hold-downs, or breaks.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import ROUNDING, SHAVING, Finding, folded
from toolpaths.judging.trial.wood_ahead import along, by_move
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Ints

# mm between the places looked at along a move, places along all moves of one cutter at most, and angles about the axis.
_SPACING, _MOST, _AROUND = 0.5, 2_000, 24
# mm beside the head at which wood counts as beside it.
_BESIDE = 0.5


def trapped(trial: Trial) -> Iterator[Finding]:
    """The head of an undercut cutter rises, at feed or by rapid, where wood stands above it; or goes by rapid in the
    hole by which it leaves, which is no wider than itself (common practice, no source: at feed, the spindle on)."""
    moves = trial.case.moves
    for tool, cutter in trial.case.undercutting.items():
        mine = (moves.tool == tool) & (moves.low < 0)
        which = np.flatnonzero(mine & (moves.path[Z1] > moves.path[Z0] + ROUNDING))
        move, tip, above = _above_the_head(trial, cutter, which)
        caught = above > SHAVING
        if caught.any():
            line, place, amount = by_move(trial.case, move[caught], tip[caught], above[caught])
            yield folded(
                "trapped", "danger", line, place, amount, 0.0,
                f"{cutter} is lifted with {{amount}} mm of wood above its head; it goes back to its entry hole at "
                "depth, and up there.",
            )  # fmt: skip
        rapid = np.setdiff1d(np.flatnonzero(mine & moves.upright & (moves.kind == RAPID)), move[caught])
        hemmed = rapid[_beside_the_head(trial, cutter, rapid) > SHAVING]
        if len(hemmed):
            depth = -moves.low[hemmed]
            yield folded(
                "trapped", "doubt", moves.line[hemmed], trial.case.low_ends(hemmed), depth, 0.0,
                f"{cutter} goes by rapid {{amount}} mm deep in a hole as wide as its head; feed it down and up there.",
            )  # fmt: skip


def _above_the_head(trial: Trial, cutter: Cutter, which: Ints) -> tuple[Ints, Floats, Floats]:
    """Places along these moves: the move (s,), the tip (s, 3), and mm of wood above the head there (s,)."""
    profile = cutter.profile
    nth, tip, _ = along(trial.case.moves.path[:, which], _SPACING, _MOST)
    # A move straight up begins at its lower end.
    tip[:, 2] = np.where(trial.case.moves.upright[which[nth]], trial.case.moves.low[which[nth]], tip[:, 2])
    shares = np.linspace(profile.neck_diameter / profile.diameter, 1.0, 4)
    radii = np.maximum(shares * profile.radius - 2 * SHAVING, 0.0)
    above = np.zeros(len(tip))
    for radius in radii.tolist():
        top, bottom = _wood_round(trial, which[nth], tip, radius)
        stands = np.where(top > bottom, top - np.maximum(tip[:, 2:] + profile.head_height, bottom), 0.0)
        above = np.maximum(above, stands.max(axis=1, initial=0.0))
    return which[nth], tip, above


def _beside_the_head(trial: Trial, cutter: Cutter, which: Ints) -> Floats:
    """(k,) mm of wood that stands above the tip just beside the head at the lower ends of these upright moves."""
    tip = trial.case.moves.path[:3, which].T.copy()
    tip[:, 2] = trial.case.moves.low[which]
    top, bottom = _wood_round(trial, which, tip, cutter.radius + _BESIDE)
    stands = np.where(top > bottom, top - np.maximum(tip[:, 2:], bottom), 0.0)
    return np.asarray(stands.max(axis=1, initial=0.0))


def _wood_round(trial: Trial, move: Ints, tip: Floats, radius: float) -> tuple[Floats, Floats]:
    """(k, _AROUND) upper and lower face of the wood round places when moves (k,) of their own begin."""
    turn = np.arange(_AROUND) / _AROUND * 2 * np.pi
    place = tip[:, None, :2] + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    top, bottom = faces_before(trial, place.reshape(-1, 2), np.repeat(move, _AROUND))
    return top.reshape(-1, _AROUND), bottom.reshape(-1, _AROUND)
