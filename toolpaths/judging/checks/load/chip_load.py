"""The check of the chips: too thin or too thick for cutter and wood?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.chip_loads import TOO_THICK, TOO_THIN, sound_range
from toolpaths.facts.woods import kind_of
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.wood_ahead import FIVE, SLACK, TAKES, Spots, Track, by_move, highest, sideways, track_of
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Flags


def chip_load(trial: Trial) -> Iterator[Finding]:
    """A level move in wood whose feed and speed make chips too thin or too thick for the cutter.

    Between rubbing (common practice, no source) and the most that makers' charts print for the wood
    (see facts/chip_loads.py), or within the user's own range. Drills are fed by their own rule.
    """
    case, top = trial.case, highest(trial)
    moves = case.moves
    speed = np.where(moves.spindle != 0, moves.rpm, 0.0)
    feed = moves.feed_mm_min
    level = sideways(case) & (moves.path[Z0] == moves.path[Z1]) & (moves.low < top - TAKES)
    level &= (speed > 0) & (feed > 0)
    wood = kind_of(case.fixture.board.wood)
    for tool, cutter in case.cutters.items():
        if cutter.profile.kind == "drill":
            continue
        mine = np.flatnonzero(level & (moves.tool == tool))
        chip = feed[mine] / (speed[mine] * cutter.flutes)
        least, most = cutter.chip_load_mm or sound_range(cutter.diameter, wood)
        where = "as given for it" if cutter.chip_load_mm else f"for {wood or 'any wood'}"
        for out, limit, word in (
            (chip < least * (1 - SLACK), least, TOO_THIN),
            (chip > most * (1 + SLACK), most, TOO_THICK),
        ):
            who = mine[out]
            if not len(who):
                continue
            track = track_of(trial, cutter, who)
            at = track.looks()
            spot = track.spots(at)
            cuts = _touches(track, spot)
            if cuts.any():
                spot = track.spots(at[cuts])
                amounts = chip[np.searchsorted(mine, spot.move)]
                worst = float(amounts.min() if limit == least else amounts.max())
                yield folded(
                    "chip-load", "doubt", *by_move(case, spot.move, spot.tip, amounts), limit,
                    f"{cutter} with {cutter.flutes} flutes takes chips of {worst:.3f} mm, {where} "
                    + word.format(limit=f"{limit:.3f}") + ".",
                )  # fmt: skip


def _touches(track: Track, spot: Spots) -> Flags:
    """(s,) whether the cutter takes any wood there, at its tip or beside it: a chamfer's tip may run in air."""
    found = np.zeros(len(spot.at), bool)
    for up in (np.zeros(len(spot.at)), track.half_up(spot)):
        radius = track.cutter.profile.radii(up + TAKES)
        found |= (track.ahead(spot, radius, FIVE) > up[:, None] + TAKES).any(axis=1)
    return found
