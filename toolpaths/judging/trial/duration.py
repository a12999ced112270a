"""How long the machine takes for a program."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.pace import pace
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
    table, motions, machine = case.table, case.motions, case.fixture.machine
    speed = motions.feed_mm_min / 60
    speed[motions.kind == RAPID] = np.inf
    upright = np.flatnonzero((motions.kind == ARC) & (motions.plane != 17))
    if len(upright):
        # The table has lines for them, whose corners do not say how fast the bend may be taken.
        out = motions.start[upright] - motions.centre[upright]
        out[np.arange(len(upright)), [_NORMAL[plane] for plane in motions.plane[upright].tolist()]] = 0.0
        bend = np.sqrt((out * out).sum(axis=1))
        speed[upright] = np.minimum(speed[upright], np.sqrt(machine.acceleration_mm_s2 * bend))
    if len(case.motion) > len(motions):
        speed = speed[case.motion]
    start, end, centre = table[X0 : X0 + 3], table[X1 : X1 + 3], table[CX : CX + 2]
    seconds, _, length = pace(start, end, centre, table[SWEEP], speed, _halts(case), machine)
    waits = np.flatnonzero(motions.seconds)
    seconds[np.searchsorted(case.motion, waits)] += motions.seconds[waits]
    return seconds, length


def _halts(case: Case) -> Ints:
    """Moves before which the cutter stands still: to wait, for the operator, for the spindle or another cutter, and
    where its place was lost."""
    acts = [event.before for event in case.program.events if event.code in _STANDING]
    acts += [change.before for change in case.program.changes if change.code in _STANDING]
    acts += case.program.resumed
    motions = np.concatenate([np.flatnonzero(case.motions.kind == DWELL), np.array(acts, np.intp)])
    return np.asarray(np.searchsorted(case.motion, motions), np.intp)
