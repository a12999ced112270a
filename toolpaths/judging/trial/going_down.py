"""Moves at feed that go down: how fast, how steeply, and whether into wood. One rule from nearly level to upright.

Going down asks something of the middle of the tip only, whose edges are slow and leave no room for chips: what the rim
takes is as on a level way. So wood has to stand under the axis and in front of it. How much of it is light, and no
load, follows the slope: a tenth of the diameter on a level way (a finishing pass over a relief, common practice, no
source), next to nothing straight down.
"""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.trial.moves_on_board import Moves
from toolpaths.judging.trial.wood_ahead import LIGHT, STRIPS, TAKES, across, highest, most_spots, sideways, track_of
from toolpaths.judging.wood.moves import X1, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Flags, Ints

# Radians from level: a surface that is followed by fractions of a millimetre is cut level.
_LEVEL, _STEEP = np.radians(1.0), np.pi / 4
# Share of the diameter that is light on a level way.
_LIGHT_TIP = 0.1
# Moves looked at for one check and cutter at most: a relief has a steep move on most of its lines.
_MOST = 800
# Places under a cutter going straight down, as shares of its radius and angles.
_UNDER = [(0.0, 0.0)] + [(0.5, k * np.pi / 3) for k in range(6)] + [(0.94, k * np.pi / 6) for k in range(12)]


def going_down(trial: Trial) -> Flags:
    """(n,) moves at feed that go down, to below the top of the wood."""
    moves = trial.case.moves
    fall = moves.path[Z0] - moves.path[Z1]
    return np.asarray(moves.feeding() & (fall > ROUNDING) & (moves.low < highest(trial) - TAKES))


def speed_down(case: Case) -> Floats:
    """(n,) mm a minute straight down, at the feed of each move; below 0 for those that rise."""
    moves = case.moves
    fall = moves.path[Z0] - moves.path[Z1]
    length = np.sqrt(moves.length * moves.length + fall * fall)
    return np.asarray(moves.feed_mm_min * fall / np.maximum(length, 1e-9))


def level(trial: Trial) -> Flags:
    """(n,) moves at feed below the top of the wood that go across, up or down by less than a degree."""
    moves = trial.case.moves
    flat = np.abs(moves.slope) < _LEVEL
    return np.asarray(sideways(trial.case) & flat & (moves.low < highest(trial) - TAKES))


def sloping(trial: Trial) -> Flags:
    """(n,) moves at feed below the top of the wood that go up or down by more than that, and no more than across."""
    moves = trial.case.moves
    steep = np.abs(moves.slope)
    inclined = (steep >= _LEVEL) & (steep <= _STEEP)
    return np.asarray(moves.feeding() & inclined & (moves.low < highest(trial) - TAKES))


def plunging(moves: Moves) -> Flags:
    """(n,) moves that go down more than across: plunges, and no ramps."""
    return np.asarray(moves.slope > _STEEP)


def dig(trial: Trial, cutter: Cutter, which: Ints) -> Ints:
    """Those of these moves of a cutter, which go down, that do so into wood; of very many only some are looked at."""
    upright = trial.case.moves.upright[which]
    return np.sort(np.concatenate([
        _bore(trial, cutter, which[upright]), _slant_into(trial, cutter, which[~upright])
    ]))  # fmt: skip


def _bore(trial: Trial, cutter: Cutter, which: Ints) -> Ints:
    """Those of these straight plunges that take wood."""
    which = which[_evenly(len(which))]
    share, angle = np.array(_UNDER).T
    rho = share * cutter.radius
    end = trial.case.moves.path[[[X1], [Y1], [Z1]], which]
    x = end[0][:, None] + rho * np.cos(angle)
    y = end[1][:, None] + rho * np.sin(angle)
    top, bottom = faces_before(trial, np.column_stack([x.ravel(), y.ravel()]), np.repeat(which, len(share)))
    cut = (end[2][:, None] + cutter.profile.height(rho)).ravel()
    takes = (top - np.maximum(cut, bottom) > TAKES).reshape(x.shape)
    return np.asarray(which[takes.any(axis=1)])


def _slant_into(trial: Trial, cutter: Cutter, which: Ints) -> Ints:
    """Those of these slanting moves that have more than a light cut of wood under the axis and in front of it."""
    if not len(which):
        return which
    track = track_of(trial, cutter, which)
    length = np.diff(track.begin)
    at = np.sort(np.concatenate([track.begin[:-1] + length / 2, track.begin[1:] - length * 1e-6]))
    at = at[_evenly(len(at), most_spots(trial.case, _MOST))]
    for part in range(2):
        spot = track.spots(at)
        light = TAKES + _LIGHT_TIP * cutter.diameter * np.cos(trial.case.moves.slope[spot.move])
        if part == 0:
            takes = track.under(spot) > light
        else:
            front = track.ahead(spot, cutter.profile.radii(light), across(STRIPS))
            takes = (front > light[:, None]).mean(axis=1) > LIGHT
        at = at[takes]
    return np.asarray(which[np.isin(which, track.spots(at).move)])


def _evenly(count: int, most: int = _MOST) -> Ints:
    """Indices of so many things, of more than `most` evenly fewer."""
    return np.linspace(0, count - 1, min(count, most)).astype(np.intp)
