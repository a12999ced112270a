"""The check of drills: is one fed sideways in wood?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.wood_ahead import (
    FIVE,
    TAKES,
    ahead,
    by_move,
    highest,
    place_spots,
    sideways,
    spots,
    track_of,
)


def drill_sideways(trial: Trial) -> Iterator[Finding]:
    """A drill is fed sideways in wood: it cuts with its point only, bends and breaks (common practice, no source)."""
    case, top = trial.case, highest(trial)
    for tool, cutter in case.cutters.items():
        if cutter.profile.kind != "drill":
            continue
        mine = sideways(case) & (case.moves.tool == tool) & (case.moves.low < top - TAKES)
        track = track_of(case, np.flatnonzero(mine))
        at = spots(track, cutter)
        if not len(at):
            continue
        spot = place_spots(case, track, at)
        # Half way out on its point.
        depth = ahead(case, trial.before, track, spot, cutter.radius / 2, FIVE).max(axis=1)
        hit = np.flatnonzero(depth > cutter.profile.tip_height / 2 + TAKES)
        if len(hit):
            spot = place_spots(case, track, at[hit])
            yield folded(
                "drill-sideways", "danger", *by_move(case, spot.move, spot.tip, depth[hit]), 0.0,
                f"{cutter} is fed sideways in wood {{amount}} mm above its tip; a drill only goes straight down. Is it "
                "the cutter meant?",
            )  # fmt: skip
