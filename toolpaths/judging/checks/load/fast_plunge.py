"""The check of plunges: does a move go down in wood faster than the cutter bears?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.going_down import dig, going_down, speed_down
from toolpaths.judging.trial.wood_ahead import SLACK


def fast_plunge(trial: Trial) -> Iterator[Finding]:
    """A move at feed goes down in wood faster than the cutter bears, canned cycles included, at whatever slope.

    The limit is the user's plunge_mm_min where it was given, else the cutter's feed; for a drill its feed,
    if that is more.
    """
    case = trial.case
    down, speed = going_down(trial), speed_down(case)
    for tool, cutter in case.cutters.items():
        limit = cutter.bears.plunge_mm_min
        found = dig(trial, cutter, np.flatnonzero(down & (case.moves.tool == tool) & (speed > limit * (1 + SLACK))))
        if len(found):
            yield folded(
                "fast-plunge", "damage", case.moves.line[found], case.ends(found), speed[found], limit,
                f"{cutter} goes down in wood at {{amount}} mm a minute; it bears {limit:g}. "
                "Lower the feed of the plunge.",
            )  # fmt: skip
