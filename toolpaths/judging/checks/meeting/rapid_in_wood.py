"""The check of rapids: does a cutter go through standing wood at rapid speed?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.cutter import Cutter
from toolpaths.judging.checks.meeting.between_cells import scratches
from toolpaths.judging.checks.meeting.wood_in_time import Body, Watch, all_met
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.wood.moves import Z1, lowest_so_far
from toolpaths.judging.wood.sweep import Flags


def rapid_in_wood(trial: Trial) -> Iterator[Finding]:
    """A rapid meets wood that stands when it comes, down to scratches of 0.05 mm."""
    for cutter, line, place, amount in all_met(trial, watch(trial.case), scratches):
        # There is no more wood than the board is thick, however deep it goes.
        amount = np.minimum(amount, trial.case.fixture.board.thickness)
        rather = "lift it clear first, or cut with G1"
        if cutter.profile.kind == "undercut":
            rather = "cut with G1, and lift it at its entry hole alone: its head is under the wood"
        yield folded(
            "rapid-in-wood", "danger", line, place, amount, 0.0,
            f"{cutter} goes {{amount}} mm deep through wood at rapid speed; {rather}.",
        )  # fmt: skip


def watch(case: Case) -> Watch:
    """No wood may stand in the way of a rapid when it comes."""
    return Watch("rapid-in-wood", rapids(case), in_the_way)


def in_the_way(cutter: Cutter) -> Body:
    """The cutter itself, but for a shaving."""
    return Body(cutter.profile, SHAVING, SHAVING)


def rapids(case: Case) -> Flags:
    """(n,) rapids below the top of the board that may meet wood; few in a usual program."""
    found = case.moves.below(0.0) & case.known & (case.moves.kind == RAPID)
    if found.any():
        found &= ~_in_own_hole(case)
    return np.asarray(found)


def _in_own_hole(case: Case) -> Flags:
    """Straight moves that end no deeper than the same cutter has just been at the same place.

    This is what every peck of a drill does; it cannot meet anything.
    """
    table = case.moves.path
    chain = np.cumsum(~case.moves.upright | (np.diff(case.moves.tool, prepend=-1) != 0))
    # A move that leads there sideways has only been there at its end, however low it was before. A height
    # cut short only has a move watched too many.
    deepest = lowest_so_far(np.where(case.moves.upright, case.moves.low, table[Z1]), chain)
    before = np.concatenate([[np.inf], deepest[:-1]])
    first = np.diff(chain, prepend=-1) != 0
    before = np.where(first, np.inf, before)
    return np.asarray(case.moves.upright & (table[Z1] >= before - 1e-6))
