"""The check of the first move: does the program say where the cutter is before it goes anywhere?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import Z0, Z1


def first_move(case: Case) -> Iterator[Finding]:
    """The cutter goes sideways from an unknown place before it is lifted clear, or cuts at one."""
    moves = case.moves
    table, height = moves.path, case.fixture.highest
    # A coordinate named for the first time comes from anywhere; one left to the machine, by G28, is no fault here.
    fresh, named = moves.fresh, moves.named | moves.away
    sideways = [int(flags.argmax()) for flags in (~moves.upright, fresh[:, 0], fresh[:, 1]) if flags.any()]
    who = np.array([min(sideways)] if sideways else [], np.intp)
    # What came before could not be read.
    resumed = len(who) and int(who[0]) in case.resumed
    if len(who) and not resumed and (fresh[who, 2] | ~named[who, 2] | (table[Z0, who] < height)).any():
        yield folded(
            "first-move", "doubt", moves.line[who], case.ends(who), np.minimum(*table[[[Z0], [Z1]], who]), height,
            "the first move goes sideways before the cutter has been lifted clear of whatever stands on the "
            "board; begin with a Z move to the safe height.",
        )  # fmt: skip
    who = np.flatnonzero((moves.low < -ROUNDING) & ~(named[:, 0] & named[:, 1]))
    if len(who):
        yield folded(
            "first-move", "doubt", moves.line[who], case.ends(who), moves.low[who], 0.0,
            "goes into the board before the program has named both X and Y; it cuts wherever the cutter "
            "happens to stand. Judged as if that were over the zero.",
        )  # fmt: skip
