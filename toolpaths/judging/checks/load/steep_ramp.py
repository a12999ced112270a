"""The check of ramps: does a sideways move go down in wood at a steeper angle than the cutter bears?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.trial.going_down import dig, going_down
from toolpaths.judging.trial.wood_ahead import SLACK, TAKES, highest, sideways
from toolpaths.judging.wood.moves import START, SWEEP, X0, X1, Y0, Y1, Z0, Z1, lowest_so_far
from toolpaths.judging.wood.sweep import Flags, Ints

# mm that a cutter goes over the flat of a tab, its own width among them (common practice, no source).
_LONGEST_TOP = 60.0
# A turn between two moves above this, radians, is going back, not round a bend.
_BACK = np.radians(120.0)


def steep_ramp(trial: Trial) -> Iterator[Finding]:
    """A sideways move goes down in wood at a steeper angle than the cutter bears, or round a bend by more than a pass.

    Limit: the user's ramp_angle_deg; else 10 degrees (common practice, no source) for a cutter that does not cut at
    its centre, and none for one that may go straight down: its speed there is judged at every slope (fast_plunge).
    Round a bend no wider than it is in the wood such a one bores: there a turn may go as deep as a pass, and no deeper.
    Coming back down behind a tab is no ramp: only what lies below where the cutter has just been counts, and of a ramp
    that goes on behind the tab, lifted over it or level at its top, no more than it falls over all the way since.
    """
    case = trial.case
    down = np.flatnonzero(going_down(trial) & ~case.moves.upright)
    if not len(down):
        return
    slope, a_turn = case.moves.slope[down], _a_turn(case, down)
    newly = _newly_below(case, highest(trial))
    new, ramps_on = newly.fall[down] > TAKES, newly.slope[down]
    # How high the cutter stands in wood at most: a cone is no wider than there.
    in_wood = highest(trial) - case.moves.path[Z1, down]
    for tool, cutter in case.cutters.items():
        bears, mine = cutter.bears, new & (case.moves.tool[down] == tool)
        wide = cutter.profile.radii(in_wood)
        bores = mine & (a_turn.bend <= wide + ROUNDING) & cutter.centre_cutting
        deep = bores & (a_turn.fall > bears.deepest_pass * (1 + SLACK))
        steep = mine & ~bores & (np.minimum(slope, ramps_on) > np.radians(bears.ramp_angle_deg) * (1 + SLACK))
        for which, amount, limit, text in (
            (
                steep,
                np.degrees(slope),
                bears.ramp_angle_deg,
                "at {amount} degrees; it bears {limit}. Go down over more.",
            ),
            (deep, a_turn.fall, bears.deepest_pass, "by {amount} mm a turn; it bears {limit}. Go down in more turns."),
        ):
            dug = dig(trial, cutter, down[which])
            if len(dug):
                yield folded(
                    "steep-ramp", "damage", case.moves.line[dug], case.ends(dug),
                    amount[np.searchsorted(down, dug)], limit,
                    f"{cutter} goes down in wood " + text.replace("{limit}", f"{limit:g}"),
                )  # fmt: skip


class _Turn(NamedTuple):
    """bend : (k,) mm, radius of the bend in which a move goes down; inf where it goes straight
    fall : (k,) mm that it would go down in a whole turn
    """

    bend: Floats
    fall: Floats


def _a_turn(case: Case, which: Ints) -> _Turn:
    table = case.moves.path[:, which]
    turned, long = _bends(case, which), case.moves.length[which]
    with np.errstate(divide="ignore"):
        return _Turn(long / turned, (table[Z0] - table[Z1] - ROUNDING) / turned * 2 * np.pi)


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


class _Newly(NamedTuple):
    """fall : (n,) mm that a move ends below where the cutter was at its lowest since it was last above the wood, before
        the present way down began
    slope : (n,) radians, of a way down that began higher than that, from there on; else upright
    """

    fall: Floats
    slope: Floats


def _newly_below(case: Case, top: float) -> _Newly:
    table = case.moves.path
    count = table.shape[1]
    if not count:
        return _Newly(np.zeros(0), np.zeros(0))
    begin = np.minimum(table[Z0], top)
    down = sideways(case) & (table[Z1] < table[Z0])
    entry = (np.maximum(table[Z0], table[Z1]) >= top) | (np.diff(case.moves.tool, prepend=-1) != 0)
    low = lowest_so_far(begin, np.cumsum(entry))
    begins = down & ~np.concatenate([[False], down[:-1]])
    began = np.maximum.accumulate(np.where(begins, np.arange(count), 0))
    fall = low[began] - table[Z1]
    # How far it has come since it was last so low.
    last = np.maximum.accumulate(np.where(begin <= low + ROUNDING, np.arange(count), 0))[began]
    come = np.concatenate([[0.0], np.cumsum(case.moves.length)])
    over = begin[began] > low[began] + ROUNDING
    on_top, flat = _level_after_ramp(case, down, began, come)
    on_top &= ~over
    over, last = over | on_top, np.where(on_top, flat, last)
    return _Newly(fall, np.where(over, np.arctan2(fall, come[1:] - come[last]), np.pi / 2))


def _level_after_ramp(case: Case, down: Flags, began: Ints, come: Floats) -> tuple[Flags, Ints]:
    """Of each move (n,) whether its way down follows on a ramp with nothing but a level stretch no longer than a tab in
    between, and with which move that begins: a ramp that comes on to a tab just at its top is not lifted over it.

    down : (n,) moves that go down sideways; began : (n,) with which move the present way down began
    come : (n + 1,) mm that the cutter has come before each move
    """
    path, number = case.moves.path, np.arange(len(down))
    level = sideways(case) & (np.abs(path[Z1] - path[Z0]) <= ROUNDING)
    flat = np.maximum.accumulate(np.where(level, 0, number + 1))[np.maximum(began - 1, 0)]
    between = (flat > 0) & (flat < began) & (come[began] - come[flat] <= _LONGEST_TOP)
    return between & down[np.maximum(flat - 1, 0)], flat
