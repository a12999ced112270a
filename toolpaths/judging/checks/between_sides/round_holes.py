"""Round holes in a program, however they are made.

A hole is a stretch of moves below the top of the board that stays upright over one place, whether a
canned cycle or a plunge, or that goes round one centre and clears it, as a bore does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import DWELL, RAPID
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.moves import CX, CY, RADIUS, SWEEP, X1, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Ints

# mm; centres and radii that agree in so much are one, as for arcs in the standard, with room for rounding.
_ONE_CENTRE = 0.01
# A path wider than so many radii of its cutter is no bore.
_WIDEST = 8.0


class Holes(NamedTuple):
    """n holes of one program, on the board as it lies: (n,) each.

    depth : of the tip below the top of the board; radius : at the top
    move : the first move that goes deepest
    """

    x: Floats
    y: Floats
    radius: Floats
    depth: Floats
    move: Ints


def holes_of(case: Case) -> Holes:
    """Every round hole of a program in the order in which they are made."""
    known = case.known
    sideways_rapid = (case.moves.kind == RAPID) & ~case.moves.upright
    which = np.flatnonzero((case.moves.low < -ROUNDING) & known & ~sideways_rapid & (case.moves.kind != DWELL))
    if not len(which):
        return _gathered([])
    x, y, tool = case.moves.path[X1][which], case.moves.path[Y1][which], case.moves.tool[which]
    # A stretch ends where the cutter left the wood between, changed, or stands upright over another place.
    ends = (np.diff(which) > 1) | (np.diff(tool) != 0)
    upright = case.moves.upright[which]
    ends |= upright[1:] & upright[:-1] & ((np.diff(x) != 0) | (np.diff(y) != 0))
    first = np.concatenate([[0], np.flatnonzero(ends) + 1])
    last = np.append(first[1:], len(which))
    radius = case.radii(which[first])
    wide = np.maximum(
        np.maximum.reduceat(x, first) - np.minimum.reduceat(x, first),
        np.maximum.reduceat(y, first) - np.minimum.reduceat(y, first),
    )
    found = []
    for group in np.flatnonzero(wide <= _WIDEST * radius).tolist():
        moves = which[first[group] : last[group]]
        circle = _circle(case, moves, float(radius[group]))
        if circle is not None:
            found.append((*circle, moves[int(np.argmin(case.moves.low[moves]))]))
    return _gathered(found)


def _gathered(found: list[tuple[float, float, float, float, int]]) -> Holes:
    x, y, radius, depth = np.array([row[:4] for row in found], np.float64).reshape(-1, 4).T
    return Holes(x, y, radius, depth, np.array([row[4] for row in found], np.intp))


def _circle(case: Case, moves: Ints, radius: float) -> tuple[float, float, float, float] | None:
    """x, y, radius and depth of the hole that a stretch of moves makes, if it makes one."""
    table = case.moves.path[:, moves]
    depth = -float(case.moves.low[moves].min())
    profile = case.cutters[int(case.moves.tool[moves[0]])].profile
    own = profile.radius_at(depth)
    if case.moves.upright[moves].all():
        going_down = (table[Z1] < table[Z0]).any()
        return (float(table[X1, 0]), float(table[Y1, 0]), own, depth) if going_down else None
    arcs = table[:, table[SWEEP] != 0]
    if not arcs.size:
        return None
    largest = float(arcs[RADIUS].max())
    outer = arcs[RADIUS] >= largest - _ONE_CENTRE
    x, y = arcs[CX, outer][0], arcs[CY, outer][0]
    # Arcs within, on which a cutter comes on to its wall or leaves it, have centres of their own.
    mine = np.hypot(arcs[CX] - x, arcs[CY] - y) <= _ONE_CENTRE
    about_one = mine[outer].all()
    full = np.abs(arcs[SWEEP, outer]).sum() >= 2 * np.pi - 1e-3
    cleared = arcs[RADIUS, mine].min() <= radius + ROUNDING
    box = case.moves.box[:, moves]
    within = max(np.abs(box[:2] - x).max(), np.abs(box[2:] - y).max()) <= largest + _ONE_CENTRE
    return (float(x), float(y), largest + own, depth) if about_one and full and cleared and within else None
