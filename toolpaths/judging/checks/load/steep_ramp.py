"""The check of ramps: does a sideways move go down in wood at a steeper angle than the cutter bears?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.trial.wood_ahead import LIGHT, SLACK, highest, sideways, track_of
from toolpaths.judging.wood.moves import START, SWEEP, X0, X1, Y0, Y1, Z0, Z1, lowest_so_far
from toolpaths.judging.wood.paths import lengths
from toolpaths.judging.wood.sweep import Ints

# A turn between two moves above this, radians, is going back, not round a bend.
_BACK = np.radians(120.0)
# Places looked at for one check and cutter at most: a relief has a steep move on most of its lines.
MOST = 800


def steep_ramp(trial: Trial) -> Iterator[Finding]:
    """A sideways move goes down in wood at a steeper angle than the cutter bears.

    Limit: the user's ramp_angle_deg, else 10 degrees (common practice, no source). Round a bend no
    wider than itself a cutter that cuts at its centre bores: there a turn may go as deep as a pass. Coming
    back down behind a tab is no ramp: only what lies below where the cutter has just been counts.
    """
    case, table = trial.case, trial.case.moves.path
    moves = case.moves
    fall = table[Z0] - table[Z1] - ROUNDING
    down = np.flatnonzero(sideways(case) & (fall > 0) & (moves.low < highest(trial)))
    if not len(down):
        return
    bend = _bends(case, down)
    seen = np.sqrt(np.maximum(lengths(table[:, down]) ** 2 - (table[Z0] - table[Z1])[down] ** 2, 1e-18))
    slope = fall[down] / seen
    with np.errstate(divide="ignore"):
        bend_radius, a_turn = seen / bend, fall[down] / bend * 2 * np.pi
    new = _newly_below(case, highest(trial))[down]
    for tool, cutter in case.cutters.items():
        steep = slope > np.tan(np.radians(cutter.bears.ramp_angle_deg)) * (1 + SLACK)
        if cutter.centre_cutting:
            bores = (bend_radius <= cutter.radius + ROUNDING) & (a_turn <= cutter.bears.deepest_pass * (1 + SLACK))
            steep &= ~bores
        steep &= moves.tool[down] == tool
        who = np.flatnonzero(steep & (new > LIGHT * cutter.diameter))
        dug = who[digs(trial, cutter, down[who])]
        if len(dug):
            yield folded(
                "steep-ramp", "damage", moves.line[down[dug]], case.ends(down[dug]),
                np.degrees(np.arctan(slope[dug])), cutter.bears.ramp_angle_deg,
                f"{cutter} goes down in wood at {{amount}} degrees; it bears {cutter.bears.ramp_angle_deg:g}. "
                "Go down over a longer way.",
            )  # fmt: skip


def digs(trial: Trial, cutter: Cutter, which: Ints) -> Ints:
    """Of these moves, which go down sideways, those before which wood stands higher than a light cut."""
    if not len(which):
        return which
    track = track_of(trial, cutter, which)
    length = np.diff(track.begin)
    at = np.concatenate([track.begin[:-1] + length / 2, track.begin[1:] - length * 1e-6])
    at.sort()
    # For long programs evenly fewer.
    at = at[np.linspace(0, len(at) - 1, min(len(at), MOST)).astype(np.intp)]
    dug = track.loaded(at, LIGHT * cutter.diameter).spot.move
    return np.flatnonzero(np.isin(which, dug))


def _bends(case: Case, which: Ints) -> Floats:
    """Radians that each of these moves turns: an arc by its sweep, a straight one towards its neighbours.

    The ends of a chord are printed to some decimals, so its turn may be off by that over its length.
    """
    table = case.moves.path[:, which]
    straight = np.arctan2(table[Y1] - table[Y0], table[X1] - table[X0])
    arc = table[SWEEP] != 0
    begin = np.where(arc, table[START] + np.copysign(np.pi / 2, table[SWEEP]), straight)
    end = np.where(arc, begin + table[SWEEP], straight)
    turn = np.abs(np.mod(begin[1:] - end[:-1] + np.pi, 2 * np.pi) - np.pi)
    turn = np.where((np.diff(which) == 1) & (turn < _BACK), turn, 0.0)
    sharper = np.maximum(np.append(turn, 0.0), np.insert(turn, 0, 0.0))
    doubt = ROUNDING / np.maximum(np.hypot(table[X1] - table[X0], table[Y1] - table[Y0]), ROUNDING)
    return np.asarray(np.where(arc, np.abs(table[SWEEP]), np.where(sharper > 0, sharper + doubt, 0.0)))


def _newly_below(case: Case, top: float) -> Floats:
    """How far each move ends below where the cutter was at its lowest since it was last above the wood,
    before the present way down began."""
    table = case.moves.path
    down = sideways(case) & (table[Z1] < table[Z0])
    entry = (np.maximum(table[Z0], table[Z1]) >= top) | (np.diff(case.moves.tool, prepend=-1) != 0)
    chain = np.cumsum(entry)
    low = lowest_so_far(np.minimum(table[Z0], top), chain)
    begins = down & ~np.concatenate([[False], down[:-1]])
    began = np.maximum.accumulate(np.where(begins, np.arange(len(down)), 0))
    return np.asarray(low[began] - table[Z1] if len(down) else table[Z1])
