"""The check of drills: is one fed sideways in wood?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.wood_ahead import FIVE, TAKES, by_move, highest, sideways, track_of


def drill_sideways(trial: Trial) -> Iterator[Finding]:
    """A drill is fed sideways in wood: it cuts with its point only, bends and breaks (common practice, no source)."""
    case, top = trial.case, highest(trial)
    for tool, cutter in case.cutters.items():
        if cutter.profile.kind != "drill":
            continue
        mine = sideways(case) & (case.moves.tool == tool) & (case.moves.low < top - TAKES)
        track = track_of(trial, cutter, np.flatnonzero(mine))
        at = track.looks()
        if not len(at):
            continue
        spot = track.spots(at)
        # Half way out on its point.
        depth = track.ahead(spot, cutter.radius / 2, FIVE).max(axis=1)
        hit = np.flatnonzero(depth > cutter.profile.tip_height / 2 + TAKES)
        if len(hit):
            spot = track.spots(at[hit])
            yield folded(
                "drill-sideways", "danger", *by_move(case, spot.move, spot.tip, depth[hit]), 0.0,
                f"{cutter} is fed sideways in wood {{amount}} mm above its tip; a drill only goes straight down. Is it "
                "the cutter meant?",
            )  # fmt: skip
