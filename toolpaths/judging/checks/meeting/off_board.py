"""The check of the board's edges: does the cutter reach past them while it is below the board's top?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded, slip
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Z0, Z1
from toolpaths.judging.wood.paths import looks

# Places looked at along a sloping move.
_LOOKS = 33


def off_board(case: Case) -> Iterator[Finding]:
    """The cutter's edge reaches past the board while it is below the board's top."""
    board, overhang, moves = case.fixture.board, case.fixture.overhang, case.moves
    sides = (
        ("left", 0, -1.0, 0.0),
        ("right", 1, 1.0, board.width),
        ("lower", 2, -1.0, 0.0),
        ("upper", 3, 1.0, board.height),
    )
    for tool, cutter in case.cutters.items():
        room = overhang + ROUNDING - cutter.radius
        out_at_all = (
            (moves.box[0] < -room) | (moves.box[1] > board.width + room)
            | (moves.box[2] < -room) | (moves.box[3] > board.height + room)
        )  # fmt: skip
        below = np.flatnonzero(out_at_all & (moves.tool == tool) & moves.below(-ROUNDING))
        if not len(below):
            continue
        box = moves.box[:, below]
        for side, row, sign, edge in sides:
            past = sign * (box[row] - edge) + cutter.radius
            amounts = np.zeros(len(below))
            near = np.flatnonzero(past > overhang + ROUNDING)
            amounts[near] = _past_edge(moves.path[:, below[near]], past[near], cutter.profile, row // 2, sign, edge)
            out = np.flatnonzero(amounts > overhang + ROUNDING)
            if len(out):
                yield folded(
                    "off-board", "damage", moves.line[below[out]], case.low_ends(below[out]), amounts[out], overhang,
                    f"{cutter} reaches {{amount}} mm past the {side} edge of the board, {overhang:g} mm is allowed."
                    f"{slip(float(amounts.max()), board.width + board.height)}",
                )  # fmt: skip


def _past_edge(table: Floats, bound: Floats, profile: Profile, axis: int, sign: float, edge: float) -> Floats:
    """How far each cutter gets past an edge where it is level with the board's top or below.

    bound : how far its full width would get, on the whole move
    """
    low, high = np.minimum(table[Z0], table[Z1]), np.maximum(table[Z0], table[Z1])
    amounts = bound - profile.radius + profile.radii(-low)
    # Where the tip comes below the top of the board, along moves that do not stay below it or level.
    turning = table[SWEEP] != 0
    for i in np.flatnonzero(turning & (low != high)):
        places = looks(table[:, i])
        places = places[places[:, 2] <= 0]
        amounts[i] = (sign * (places[:, axis] - edge) + profile.radii(-places[:, 2])).max()
    sloping = np.flatnonzero(~turning & (low != high))
    z0, z1 = table[Z0, sloping], table[Z1, sloping]
    crossing = np.clip(z0 / (z0 - z1), 0.0, 1.0)
    first, last = np.where(z0 > 0, crossing, 0.0), np.where(z1 > 0, crossing, 1.0)
    # Width against depth is concave, so between the looks little is missed: none at all for a flat
    # cutter or a V, under a thousandth of the radius for a ball.
    part = first + (last - first) * np.linspace(0.0, 1.0, _LOOKS)[:, None]
    at = table[X0 + axis, sloping] * (1 - part) + table[X1 + axis, sloping] * part
    width = profile.radii(-(z0 + part * (z1 - z0)))
    if len(sloping):
        amounts[sloping] = (sign * (at - edge) + width).max(axis=0)
    return np.asarray(amounts)
