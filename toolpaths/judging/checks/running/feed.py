"""The checks of the feed: never set, faster than an axis goes, or never used to cut."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import RADIUS, START, SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import lengths

_QUARTER = np.pi / 2
# s and mm/min; what rounding can shift.
_HAIR = 1e-6


def no_feed(case: Case) -> Iterator[Finding]:
    """A move at feed for which no feed was ever set."""
    who = np.flatnonzero((case.moves.feed_mm_min <= 0) & case.moves.feeding())
    if len(who):
        yield folded(
            "no-feed", "damage", case.moves.line[who], case.ends(who), np.zeros(len(who)), 0.0,
            "a move at feed without a feed; put an F word before it.",
        )  # fmt: skip


def fast_feed(case: Case) -> Iterator[Finding]:
    """A feed faster than an axis goes at rapid: it is not reached, and the chips are not those meant."""
    moves = case.moves
    fastest = case.fixture.machine.rapid_mm_min
    fed = moves.feeding()
    who = np.flatnonzero(fed & (moves.feed_mm_min > fastest + _HAIR))
    if not len(who):
        return
    speed = moves.feed_mm_min[who] * _axis_share(moves.path[:, who])
    over = speed > fastest + _HAIR * fastest
    if over.any():
        who, speed = who[over], speed[over]
        yield folded(
            "fast-feed", "doubt", moves.line[who], case.ends(who), speed, fastest,
            f"the feed asks an axis for {speed.max():.0f} mm/min; the {case.fixture.machine.name} does {fastest:g} at "
            "most.",
        )  # fmt: skip


def _axis_share(table: Floats) -> Floats:
    """Part of the speed along each move that its fastest axis has to go, at most 1."""
    length = lengths(table)
    along = np.abs(table[[X1, Y1, Z1]] - table[[X0, Y0, Z0]])
    # In an arc the fastest moment is where it runs along an axis, or else one of its ends.
    first, last = np.sort([table[START], table[START] + table[SWEEP]], axis=0) / _QUARTER
    ends = np.stack(
        [np.cos(first * _QUARTER), np.sin(first * _QUARTER), np.cos(last * _QUARTER), np.sin(last * _QUARTER)]
    )
    steepest = np.where(np.floor(last) >= np.ceil(first), 1.0, np.abs(ends).max(axis=0))
    around = np.abs(table[SWEEP]) * table[RADIUS]
    most = np.where(table[SWEEP] != 0, np.maximum(around * steepest, along[2]), along.max(axis=0))
    return np.asarray(np.divide(most, length, out=np.zeros_like(length), where=length > 0))


def cuts_nothing(case: Case) -> Iterator[Finding]:
    """Fed with the spindle turning, but nowhere below the top of the board."""
    moves = case.moves
    feeding = moves.feeding()
    if case.program.incomplete or (feeding & (moves.low < -ROUNDING)).any():
        return
    who = np.flatnonzero(feeding & (moves.spindle != 0))
    if len(who):
        who = who[[np.argmin(moves.low[who])]]
        yield folded(
            "cuts-nothing", "doubt", moves.line[who], case.ends(who), moves.low[who], 0.0,
            "the program never goes below the top of the board; at its lowest it is {amount} mm above.",
        )  # fmt: skip
