"""The check of the depth of a pass, by the wood that stands at that moment, in places along the way."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.wood_ahead import (
    LASTS,
    MOST_SPOTS,
    SPACING,
    STRIPS,
    by_move,
    highest,
    most_spots,
    sideways,
    track_of,
)
from toolpaths.judging.wood.moves import follows_at
from toolpaths.judging.wood.sweep import Ints

# mm; a depth may exceed its limit by what rounding two heights to three decimals can add.
_ALLOWED = 0.01


def deep_pass(trial: Trial) -> Iterator[Finding | str]:
    """A sideways move takes more depth at once than the cutter bears; and where that is looked at far apart.

    The limit is the user's step_down, else one diameter, the base of makers' charts (Amana Tool, AST
    Tooling).
    """
    case = trial.case
    for tool, cutter in case.cutters.items():
        limit = cutter.bears.deepest_pass + _ALLOWED
        deep = _deep(trial, tool)
        if not len(deep):
            continue
        track, lasts = track_of(trial, cutter, deep), LASTS * cutter.diameter
        far, most = float(track.begin[-1]), most_spots(case, MOST_SPOTS)
        if far > most * SPACING * cutter.diameter:
            yield (
                f"{cutter} makes {far / 1000:.0f} m of path at more depth than it bears; that is looked at every "
                f"{far / most:.0f} mm along it, so a short overload may go unseen."
            )
        spot, depth, width = track.loaded(track.evenly(lasts, most), limit, lasts)
        if len(depth):
            full = " over its full width" if width.max() > 1 - 1.5 / STRIPS else ""
            yield folded(
                "deep-pass", "damage", *by_move(case, spot.move, spot.tip, depth), cutter.bears.deepest_pass,
                f"{cutter} takes {{amount}} mm of depth at once{full}; it bears {cutter.bears.deepest_pass:g} mm. "
                "Go down in more passes.",
            )  # fmt: skip


def _deep(trial: Trial, tool: int) -> Ints:
    """The sideways moves of a cutter that may be too deep a pass, in the order of the program."""
    case, top, bears = trial.case, highest(trial), trial.case.cutters[tool].bears.deepest_pass
    mine = np.flatnonzero(sideways(case) & (case.moves.tool == tool) & (case.moves.low < top))
    deep = case.moves.low[mine] < top - bears - _ALLOWED
    if not deep.any():
        return mine[deep]
    # The passes of a contour, one below the other, need no look, but for the first after another.
    alone = ~follows_at(case.moves.path[:, mine], bears)
    alone[1:] |= alone[:-1].copy()
    return mine[deep & alone]
