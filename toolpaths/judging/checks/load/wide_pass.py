"""The check of the width of a pass, by the wood that stands at that moment, in places along the way."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.going_down import level
from toolpaths.judging.trial.wood_ahead import LASTS, STRIPS, TAKES, Track, across, by_move, track_of


def wide_pass(trial: Trial) -> Iterator[Finding]:
    """A level move takes more of the cutter's width than the user's widest_cut."""
    case, flat = trial.case, level(trial)
    for tool, cutter in case.cutters.items():
        if cutter.widest_cut >= 1:
            continue
        track = track_of(trial, cutter, np.flatnonzero(flat & (case.moves.tool == tool)))
        lasts = LASTS * cutter.diameter
        at = track.looks(lasts)
        # Counted in strips a width may come out one strip wrong: first roughly, then what is close.
        for strips, sign in ((STRIPS, -1), (4 * STRIPS, 1)):
            width = np.minimum(*(_width(track, at + more, strips) for more in (0.0, lasts)))
            wide = width > cutter.widest_cut + sign / strips
            at, width = at[wide], width[wide]
        if len(at):
            limit = cutter.widest_cut * cutter.diameter
            spot = track.spots(at)
            yield folded(
                "wide-pass", "damage", *by_move(case, spot.move, spot.tip, width * cutter.diameter), limit,
                f"{cutter} cuts {{amount}} mm wide; its widest_cut is {cutter.widest_cut:g} of its diameter, "
                f"{limit:g} mm. Move over by less from pass to pass.",
            )  # fmt: skip


def _width(track: Track, at: Floats, strips: int) -> Floats:
    """(s,) width of the cut as a share of the diameter."""
    if not len(at):
        return at
    spot = track.spots(at)
    half = track.half_up(spot)
    radius = track.cutter.profile.radii(half)
    heights = track.at_the_sides(spot, radius, across(strips))
    return np.asarray((heights > half[:, None] + TAKES).mean(axis=1) * radius / track.cutter.radius)
