"""The check of plunges: does a move go down in wood faster than the cutter bears?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.cutter import Cutter
from toolpaths.judging.checks.load.steep_ramp import MOST, digs
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.trial.wood_ahead import SLACK, TAKES, highest
from toolpaths.judging.wood.moves import X1, Y1, Z0, Z1
from toolpaths.judging.wood.paths import lengths
from toolpaths.judging.wood.sweep import Ints

# Places under a cutter going straight down, as shares of its radius and angles.
_UNDER = [(0.0, 0.0)] + [(0.5, k * np.pi / 3) for k in range(6)] + [(0.94, k * np.pi / 6) for k in range(12)]


def fast_plunge(trial: Trial) -> Iterator[Finding]:
    """A move at feed goes down in wood faster than the cutter bears, canned cycles included.

    The limit is the user's plunge_mm_min where it was given, else the cutter's feed; for a drill its feed,
    if that is more.
    """
    case, table, top = trial.case, trial.case.moves.path, highest(trial)
    moves = case.moves
    fall = table[Z0] - table[Z1]
    feeding = moves.feeding() & (fall > ROUNDING) & (moves.low < top - TAKES)
    speed = moves.feed_mm_min * fall / np.maximum(lengths(table), 1e-9)
    for tool, cutter in case.cutters.items():
        limit = cutter.bears.plunge_mm_min
        who = np.flatnonzero(feeding & (moves.tool == tool) & (speed > limit * (1 + SLACK)))
        upright, slanting = who[moves.upright[who]], who[~moves.upright[who]]
        found = np.sort(np.concatenate([
            upright[_bores(trial, cutter, upright)], slanting[digs(trial, cutter, slanting)]
        ]))  # fmt: skip
        if len(found):
            yield folded(
                "fast-plunge", "damage", moves.line[found], case.ends(found), speed[found], limit,
                f"{cutter} goes down in wood at {{amount}} mm a minute; it bears {limit:g}. "
                "Lower the feed of the plunge.",
            )  # fmt: skip


def _bores(trial: Trial, cutter: Cutter, which: Ints) -> Ints:
    """Of these straight plunges, those that take wood."""
    picked = np.linspace(0, len(which) - 1, min(len(which), MOST)).astype(np.intp)
    share, angle = np.array(_UNDER).T
    rho = share * cutter.radius
    end = trial.case.moves.path[[X1, Y1, Z1]][:, which[picked]]
    x = end[0][:, None] + rho * np.cos(angle)
    y = end[1][:, None] + rho * np.sin(angle)
    before = np.repeat(which[picked], len(share))
    above, bottom = faces_before(trial, np.column_stack([x.ravel(), y.ravel()]), before)
    cut = (end[2][:, None] + cutter.profile.height(rho)).ravel()
    takes = above - np.maximum(cut, bottom) > TAKES
    found: Ints = picked[takes.reshape(x.shape).any(axis=1)]
    return found
