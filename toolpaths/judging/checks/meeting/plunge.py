"""The checks of plunges: is a cutter that does not cut at its centre sent down into wood on its dead middle?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.checks.meeting.between_cells import scratches
from toolpaths.judging.checks.meeting.rapid_in_wood import in_the_way
from toolpaths.judging.checks.meeting.wood_in_time import Watch, all_met
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Flags


def plunge(trial: Trial) -> Iterator[Finding]:
    """A cutter that does not cut at its centre goes straight down into wood, or nearly so."""
    for cutter, line, place, amount in all_met(trial, watch(trial.case), scratches):
        yield folded(
            "plunge", "danger", line, place, amount, 0.0,
            f"{cutter} does not cut at its centre, but goes down into {{amount}} mm of wood.",
        )  # fmt: skip


def watch(case: Case) -> Watch:
    """No wood may stand in the way of a plunge of such a cutter."""
    return Watch("plunge", plunges(case), in_the_way)


def plunges(case: Case) -> Flags:
    """(n,) moves at feed of such cutters that go down at more than 45 degrees, as no ramp may (Cutter)."""
    table, found = case.table, np.zeros(len(case.low), bool)
    for number, cutter in case.cutters.items():
        if not cutter.centre_cutting:
            mine = (case.low < 0) & (case.kind != RAPID) & (case.tool == number) & (table[SWEEP] == 0)
            some = np.flatnonzero(mine)
            across = np.hypot(table[X1, some] - table[X0, some], table[Y1, some] - table[Y0, some])
            found[some] = table[Z0, some] - table[Z1, some] > across
    return found
