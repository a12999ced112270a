"""The height of the cut that one move makes over one place, in the closed forms of the wood's cells."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.judging.wood import heights
from toolpaths.judging.wood.moves import CX, CY, RADIUS, START, SWEEP, X0, X1, Y0, Y1, Z0, Z1, uphill_arcs, uphill_lines
from toolpaths.judging.wood.sweep import EDGE


def cut_heights(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    """(p,) height of the cut that each move of one cutter, (11, p), makes at a place of its own, x and y (p,).

    inf where the cutter does not reach. The same closed forms as for the cells of the wood.
    """
    z = np.full(table.shape[1], np.inf)
    turning = table[SWEEP] != 0
    upright = ~turning & (table[X0] == table[X1]) & (table[Y0] == table[Y1])
    even = upright | (table[Z0] == table[Z1])
    for some, height in (
        (~turning & even, _over_line),
        (turning & even, _over_arc),
        (~turning & ~even, _over_slope),
        (turning & ~even, _over_helix),
    ):
        if some.all():
            return height(profile, table, x, y)
        who = np.flatnonzero(some)
        if len(who):
            z[who] = height(profile, table[:, who], x[who], y[who])
    return z


def _over_line(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    along, aside, length = _along_and_aside(table[X0], table[Y0], table[X1], table[Y1], x, y)
    z = np.minimum(table[Z0], table[Z1])
    return beside_line(profile, along, aside, length, z, heights.reach(profile, -z))


def beside_line(profile: Profile, along: Floats, aside: Floats, length: Floats, z: Floats, reach: Floats) -> Floats:
    past = along - np.minimum(np.maximum(along, 0.0), length)
    return _if_reached(profile, z, np.sqrt(aside * aside + past * past), reach)


def _over_arc(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    dx, dy = x - table[CX], y - table[CY]
    turn = np.mod((np.arctan2(dy, dx) - table[START]) * np.sign(table[SWEEP]), 2 * np.pi)
    ends = np.minimum(np.hypot(x - table[X0], y - table[Y0]), np.hypot(x - table[X1], y - table[Y1]))
    distance = np.where(turn <= np.abs(table[SWEEP]), np.abs(np.hypot(dx, dy) - table[RADIUS]), ends)
    z = np.minimum(table[Z0], table[Z1])
    return _if_reached(profile, z, distance, heights.reach(profile, -z))


def _if_reached(profile: Profile, z: Floats, distance: Floats, reach: Floats) -> Floats:
    return np.where(distance <= reach + EDGE, heights.level(profile, distance, z), np.inf)


def _over_slope(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    x0, y0, z0, x1, y1, z1 = uphill_lines(table)
    along, aside, length = _along_and_aside(x0, y0, x1, y1, x, y)
    return beside_slope(profile, along, aside, length, z0, z1, heights.reach(profile, -z0))


def beside_slope(
    profile: Profile, along: Floats, aside: Floats, length: Floats, low: Floats, high: Floats, reach: Floats
) -> Floats:
    past = along - np.minimum(np.maximum(along, 0.0), length)
    height = heights.sloped_line(profile, along, aside, length, low, (high - low) / length, reach)
    return np.where(aside * aside + past * past <= (reach + EDGE) ** 2, height, np.inf)


def _over_helix(profile: Profile, table: Floats, x: Floats, y: Floats) -> Floats:
    low_end, sense, sweep, z, rise = uphill_arcs(table)
    dx, dy = x - table[CX], y - table[CY]
    turn = np.mod((np.arctan2(dy, dx) - low_end) * sense, 2 * np.pi)
    return heights.helix(
        profile, np.hypot(dx, dy), turn, table[RADIUS], sweep, z, rise, heights.reach(profile, -z)
    )  # fmt: skip


def _along_and_aside(
    x0: Floats, y0: Floats, x1: Floats, y1: Floats, x: Floats, y: Floats
) -> tuple[Floats, Floats, Floats]:
    """Where a place lies along and beside a straight move, and the move's length, seen from above."""
    ux, uy, length = direction_seen_from_above(x0, y0, x1, y1)
    return (x - x0) * ux + (y - y0) * uy, (y - y0) * ux - (x - x0) * uy, length


def direction_seen_from_above(x0: Floats, y0: Floats, x1: Floats, y1: Floats) -> tuple[Floats, Floats, Floats]:
    """(n,) each: the direction of straight moves, along X where they have none, and their length seen from above."""
    dx, dy = x1 - x0, y1 - y0
    length = np.hypot(dx, dy)
    safe = np.where(length > 0, length, 1.0)
    return np.where(length > 0, dx / safe, 1.0), dy / safe, length
