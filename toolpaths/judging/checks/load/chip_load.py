"""The check of the chips: too thin or too thick for cutter and wood? On level ways, on ramps and straight down."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.chip_loads import (
    DRILL_SHARE,
    PLUNGE_SHARE,
    TOO_THICK,
    TOO_THIN,
    chip_and_limit,
    sound_range,
    thinnest_on_a_ramp,
)
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.woods import WoodKind, kind_of
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.going_down import dig, going_down, level, plunging, sloping, speed_down
from toolpaths.judging.trial.wood_ahead import FIVE, SLACK, TAKES, Track, by_move, track_of
from toolpaths.judging.wood.moves import X1, Y1, Z1
from toolpaths.judging.wood.sweep import Ints

# Times by which a program is far from the user's own number for the same thing (common practice, no source).
_FAR, _OWN = 5.0, "by its own numbers"
_STRAIGHT_DOWN = " straight down"


class Range(NamedTuple):
    """least, most : mm a tooth; least_of, most_of : whose limits these are, as messages have it"""

    least: float
    most: float
    least_of: str
    most_of: str


def chip_load(trial: Trial) -> Iterator[Finding]:
    """A move in wood whose feed and speed make chips too thin or too thick for the cutter.

    Between rubbing (common practice, no source) and the most that makers' charts print for the wood
    (see facts/chip_loads.py), or within the user's own range. On a slope chips may be thinner, as many times as
    the cutter has flutes (Amana Tool), straight down four times, those of a drill twice; but where the user's own
    feed for that is given, no more than five times thinner than by that, and a drill's no more than five times
    thicker (common practice, no source).
    """
    moves = trial.case.moves
    across, slanting, speed = level(trial), sloping(trial), speed_down(trial.case)
    upright = going_down(trial) & plunging(moves)
    turning = (moves.spindle != 0) & (moves.rpm > 0) & (moves.feed_mm_min > 0)
    wood = kind_of(trial.case.fixture.board.wood)
    for tool, cutter in trial.case.cutters.items():
        # What goes down too fast, or is a drill's and goes sideways, is another fault.
        if cutter.profile.kind == "undercut" and not cutter.chip_load_mm:
            continue  # no chart is for them
        mine = turning & (moves.tool == tool) & (speed <= cutter.bears.plunge_mm_min * (1 + SLACK))
        if cutter.profile.kind != "drill":
            yield from _out_of_range(trial, cutter, np.flatnonzero(mine & across), level_range(cutter, wood), "")
            which = np.flatnonzero(mine & slanting)
            yield from _out_of_range(trial, cutter, which, ramp_range(cutter, wood), " on a slope")
        which = np.flatnonzero(mine & upright)
        yield from _out_of_range(trial, cutter, which, plunge_range(cutter, wood), _STRAIGHT_DOWN)


def level_range(cutter: Cutter, wood: WoodKind) -> Range:
    least, most = cutter.chip_load_mm or sound_range(cutter.profile.working_diameter, wood)
    whose = "as given for it" if cutter.chip_load_mm else f"for {wood or 'any wood'}"
    return Range(least, most, whose, whose)


def ramp_range(cutter: Cutter, wood: WoodKind) -> Range:
    sound = level_range(cutter, wood)
    sound = sound._replace(least=thinnest_on_a_ramp(sound.least, cutter.flutes))
    return _not_far_below(_own_chip(cutter, cutter.ramp_mm_min), sound)


def plunge_range(cutter: Cutter, wood: WoodKind) -> Range:
    sound = level_range(cutter, wood)
    if cutter.profile.kind != "drill":
        sound = sound._replace(least=sound.least * PLUNGE_SHARE)
    elif not cutter.chip_load_mm:
        # No chart is for drills.
        most = _own_chip(cutter, cutter.feed_mm_min) * _FAR
        sound = Range(sound.least * DRILL_SHARE, most, sound.least_of, _OWN)
    own = cutter.feed_mm_min if cutter.profile.kind == "drill" else cutter.plunge_mm_min
    return _not_far_below(_own_chip(cutter, own), sound)


def _own_chip(cutter: Cutter, feed: float | None) -> float:
    """mm a tooth at the user's own numbers; 0 where none is given."""
    return (feed or 0.0) / (cutter.spindle_rpm * cutter.flutes)


def _not_far_below(own: float, sound: Range) -> Range:
    return sound if own / _FAR <= sound.least else sound._replace(least=own / _FAR, least_of=_OWN)


def _out_of_range(trial: Trial, cutter: Cutter, which: Ints, sound: Range, doing: str) -> Iterator[Finding]:
    """The moves of a cutter among these that take wood in chips out of a range."""
    case = trial.case
    chip = case.moves.feed_mm_min[which] / (case.moves.rpm[which] * cutter.flutes)
    for out, limit, whose, word in (
        (chip < sound.least * (1 - SLACK), sound.least, sound.least_of, TOO_THIN),
        (chip > sound.most * (1 + SLACK), sound.most, sound.most_of, TOO_THICK),
    ):
        if not out.any():
            continue
        if doing == _STRAIGHT_DOWN:
            move = dig(trial, cutter, which[out])
            tip = case.moves.path[[[X1], [Y1], [Z1]], move].T
        else:
            move, tip = _taking(track_of(trial, cutter, which[out]))
        if len(move):
            amounts = chip[np.searchsorted(which, move)]
            worst = float(amounts.min() if limit == sound.least else amounts.max())
            shown, allowed = chip_and_limit(worst, limit)
            yield folded(
                "chip-load", "doubt", *by_move(case, move, tip, amounts), limit,
                f"{cutter} with {cutter.flutes} flutes takes chips of {shown} mm{doing}, {whose} "
                + word.format(limit=allowed) + ".",
            )  # fmt: skip


def _taking(track: Track) -> tuple[Ints, Floats]:
    """(s,) moves and (s, 3) places at which a cutter takes wood, at its tip or beside it: a chamfer's tip may run in
    air."""
    at = track.looks()
    spot = track.spots(at)
    found = np.zeros(len(at), bool)
    for up in (np.zeros(len(at)), track.half_up(spot)):
        radius = track.cutter.profile.radii(up + TAKES)
        found |= (track.ahead(spot, radius, FIVE) > up[:, None] + TAKES).any(axis=1)
    return spot.move[found], spot.tip[found]
