"""The check of the way up to speed: does the cutter meet the wood before the spindle can have come to it?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import DWELL
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.cutter_in_spindle import STOPS
from toolpaths.judging.trial.duration import paced
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Flags, Ints, spread

# s and mm/min; what rounding can shift.
_HAIR = 1e-6


class Starts(NamedTuple):
    """The starts of the spindle after which it meets the wood, (s,) each: in move `meets`.

    seconds : from the start until then, each move from rest to rest
    dwell : of that by G4
    known : whether the way in between is known
    """

    meets: Ints
    seconds: Floats
    dwell: Floats
    known: Flags


def spin_up(case: Case) -> Iterator[Finding]:
    """The cutter meets the wood before the spindle can have come to its speed.

    Where most starts of a program are given a G4, one that is not is measured by the shortest of those.
    """
    own = case.fixture.machine.spin_up_s
    meets, seconds, dwell, known = starts(case)
    given = dwell > 0
    usual = float(dwell[given].min()) if max(2, (~given).sum() + 1) <= given.sum() else 0.0
    for counted, limit, why in (
        (np.ones(len(meets), bool), own, f"the {case.fixture.machine.name} takes {own:g} s to its speed"),
        (~given & (seconds >= own - _HAIR), usual, f"the other starts of this program wait {usual:g} s or more"),
    ):
        early = known & counted & (seconds < limit - _HAIR)
        for tool in distinct(case.moves.tool[meets[early]]):
            who = early & (case.moves.tool[meets] == tool)
            yield folded(
                "spin-up", "doubt", case.moves.line[meets[who]], case.ends(meets[who]), seconds[who], limit,
                f"{case.name(tool)} meets the wood {{amount}} s after the spindle starts; {why}. Put a G4 after "
                "the M3.",
            )  # fmt: skip


def starts(case: Case) -> Starts:
    """Every start of the spindle after which it meets the wood."""
    moves = case.moves
    turning = moves.spindle != 0
    begins = turning & ~np.concatenate([[False], turning[:-1]])
    for event in case.events:
        # Stopped for the operator or for a change, and started again before the next move.
        if event.code in (*STOPS, "M6") and not event.spindle and event.before < len(moves):
            begins[event.before] = turning[event.before]
    first = np.flatnonzero(begins)
    meeting = np.flatnonzero(moves.below(-ROUNDING) & turning & (moves.kind != DWELL))
    # The first meeting after each start, if it comes before the next start.
    meeting = np.append(meeting, len(moves))
    meets = meeting[np.searchsorted(meeting[:-1], first)]
    some = meets < np.append(first[1:], len(moves))
    first, meets = first[some], meets[some]
    start, nth = spread(meets - first + 1)
    which = first[start] + nth
    seconds = paced(case, which, np.arange(len(which))).seconds
    # Of the last move only what comes before it is level with the board's top.
    top, fall = moves.path[Z0, meets], moves.path[Z0, meets] - moves.path[Z1, meets]
    last = np.cumsum(meets - first + 1) - 1
    seconds[last] *= np.clip(np.divide(top, fall, out=np.zeros_like(top), where=fall > 0), 0.0, 1.0)
    dwell, moving_s, unknown = (
        np.asarray(np.bincount(start, weights, len(first)), np.float64)
        for weights in (moves.dwell_s[which], seconds, moves.fresh[which].any(axis=1))
    )
    return Starts(meets, moving_s + dwell, dwell, unknown == 0)
