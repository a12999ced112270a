"""How long the machine takes for a program."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.pace import Pace, pace
from toolpaths.judging.reader.motions import ARC, DWELL, RAPID
from toolpaths.judging.trial.case import Case
from toolpaths.judging.wood.moves import CX, SWEEP, X0, X1
from toolpaths.judging.wood.sweep import Ints

# Before these the controller lets all motion end.
_STANDING = ("M0", "M1", "M3", "M4", "M5", "M6", "M60")
# The axis normal to each plane.
_NORMAL = {18: 1, 19: 0}


def durations(case: Case) -> tuple[Floats, Floats]:
    """(n,) seconds of each move, those of dwells included, and mm of its way, along the helix where it is one."""
    seconds, _, length = paced(case, slice(None), _halts(case))
    return seconds + case.moves.dwell_s, length


def paced(case: Case, which: Ints | slice, halts: Ints) -> Pace:
    """How the machine goes along some moves, one after the other.

    halts : numbers among them of those before which it stands still
    """
    moves, machine = case.moves, case.fixture.machine
    speed = np.where(moves.kind == RAPID, np.inf, moves.feed_mm_min / 60)
    motions = case.program.motions
    upright = np.flatnonzero((motions.kind == ARC) & (motions.plane != 17))
    if len(upright):
        # The moves are lines for them, whose corners do not say how fast the bend may be taken.
        out = motions.start[upright] - motions.centre[upright]
        out[np.arange(len(upright)), [_NORMAL[plane] for plane in motions.plane[upright].tolist()]] = 0.0
        fastest = np.full(len(motions), np.inf)
        fastest[upright] = np.sqrt(machine.acceleration_mm_s2 * np.sqrt((out * out).sum(axis=1)))
        speed = np.minimum(speed, fastest[moves.motion])
    path = moves.path[:, which]
    start, end, centre = path[X0 : X0 + 3], path[X1 : X1 + 3], path[CX : CX + 2]
    return pace(start, end, centre, path[SWEEP], speed[which], halts, machine)


def _halts(case: Case) -> Ints:
    """Moves before which the cutter stands still: to wait, for the operator, for the spindle or another cutter, and
    where its place was lost."""
    halts = [event.before for event in case.events if event.code in _STANDING]
    halts += [change.before for change in case.changes if change.code in _STANDING]
    halts += case.resumed
    return np.concatenate([np.flatnonzero(case.moves.kind == DWELL), np.array(halts, np.intp)])
