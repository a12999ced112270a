"""Checks of where the cutter goes: depth, board, travel, hold-downs. Geometry only, no cells."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely import Point

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Dowel
from toolpaths.facts.profile import Profile
from toolpaths.judging.checks.meeting.obstacles import body_radius, gap, obstacles
from toolpaths.judging.reader.motions import DWELL
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.heights import radius_at
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import farthest, looks, nearest
from toolpaths.judging.wood.sweep import Flags, Ints

# mm by which a cutter may be out of a dowel's hole and still count as being in it.
_DOWEL_ROOM = 0.05
_LOOKS = 33


def too_deep(case: Case) -> Iterator[Finding]:
    """The tip goes deeper into the spoilboard than it may, a dowel's own hole apart."""
    fixture = case.fixture
    floor = -fixture.board.thickness
    allowed = np.full(len(case.low), fixture.spoilboard_depth)
    deep = np.flatnonzero(
        (case.low < floor - fixture.spoilboard_depth - ROUNDING) & ~case.leaving & (case.kind != DWELL)
    )
    if not len(deep):
        return
    for dowel in fixture.dowels:
        inside = in_dowel_hole(case, deep, dowel)
        allowed[deep[inside]] = np.maximum(allowed[deep[inside]], dowel.depth)
    deep = deep[case.low[deep] < floor - allowed[deep] - ROUNDING]
    for tool in distinct(case.tool[deep]):
        for limit in sorted(set(allowed[deep].tolist())):
            who = deep[(case.tool[deep] == tool) & (allowed[deep] == limit)]
            if len(who):
                yield folded(
                    "too-deep", "damage", case.line[who], _low_ends(case, who), floor - case.low[who], float(limit),
                    f"{case.name(tool)} goes {{amount}} mm below the underside of the board, "
                    f"where {limit:g} mm is allowed.",
                )  # fmt: skip


def in_dowel_hole(case: Case, which: Ints, dowel: Dowel) -> Flags:
    """(k,) which of these moves stay within the hole of a dowel."""
    place = case.fixture.place(Point(dowel.x, dowel.y))
    out = farthest(case.table[:, which], place.x, place.y) + case.radii(which)
    return np.asarray(out <= dowel.diameter / 2 + _DOWEL_ROOM)


def off_board(case: Case) -> Iterator[Finding]:
    """The cutter's edge reaches past the board while it is below the board's top."""
    board, overhang = case.fixture.board, case.fixture.overhang
    sides = (
        ("left", 0, -1.0, 0.0),
        ("right", 1, 1.0, board.width),
        ("lower", 2, -1.0, 0.0),
        ("upper", 3, 1.0, board.height),
    )
    for tool, cutter in case.cutters.items():
        room = overhang + ROUNDING - cutter.radius
        out_at_all = (
            (case.box[0] < -room) | (case.box[1] > board.width + room)
            | (case.box[2] < -room) | (case.box[3] > board.height + room)
        )  # fmt: skip
        below = np.flatnonzero(out_at_all & (case.tool == tool) & (case.low < -ROUNDING) & ~case.leaving)
        if not len(below):
            continue
        box = case.box[:, below]
        for side, row, sign, edge in sides:
            past = sign * (box[row] - edge) + cutter.radius
            amounts = np.zeros(len(below))
            near = np.flatnonzero(past > overhang + ROUNDING)
            amounts[near] = _past_edge(case.table[:, below[near]], past[near], cutter.profile, row // 2, sign, edge)
            out = np.flatnonzero(amounts > overhang + ROUNDING)
            if len(out):
                yield folded(
                    "off-board", "damage", case.line[below[out]], _low_ends(case, below[out]), amounts[out], overhang,
                    f"{cutter} reaches {{amount}} mm past the {side} edge of the board, {overhang:g} mm is allowed.",
                )  # fmt: skip


def _past_edge(table: Floats, bound: Floats, profile: Profile, axis: int, sign: float, edge: float) -> Floats:
    """How far each cutter gets past an edge where it is level with the board's top or below.

    bound : how far its full width would get, on the whole move
    """
    low, high = np.minimum(table[Z0], table[Z1]), np.maximum(table[Z0], table[Z1])
    amounts = bound - profile.radius + radius_at(profile, -low)
    # Where the tip comes below the top of the board, along moves that do not stay below it or level.
    turning = table[SWEEP] != 0
    for i in np.flatnonzero(turning & (low != high)):
        places = looks(table[:, i])
        places = places[places[:, 2] <= 0]
        amounts[i] = (sign * (places[:, axis] - edge) + radius_at(profile, -places[:, 2])).max()
    sloping = np.flatnonzero(~turning & (low != high))
    z0, z1 = table[Z0, sloping], table[Z1, sloping]
    crossing = np.clip(z0 / (z0 - z1), 0.0, 1.0)
    first, last = np.where(z0 > 0, crossing, 0.0), np.where(z1 > 0, crossing, 1.0)
    # Width against depth is concave, so between the looks little is missed: none at all for a flat
    # cutter or a V, under a thousandth of the radius for a ball.
    part = first + (last - first) * np.linspace(0.0, 1.0, _LOOKS)[:, None]
    at = table[X0 + axis, sloping] * (1 - part) + table[X1 + axis, sloping] * part
    width = radius_at(profile, -(z0 + part * (z1 - z0)))
    if len(sloping):
        amounts[sloping] = (sign * (at - edge) + width).max(axis=0)
    return np.asarray(amounts)


def travel(case: Case) -> Iterator[Finding]:
    """The program asks for more way than the machine has.

    With the zero's machine coordinates known the check is exact: an axis runs from 0 up to its
    travel, or from 0 down where the zero's coordinate is negative. Without them only the way between
    the extremes can be compared.
    """
    machine, known = case.fixture.machine, case.fixture.zero_in_machine
    moving = np.flatnonzero(case.kind != DWELL)
    if not len(moving):
        return
    box = [*case.box, case.low, np.maximum(case.table[Z0], case.table[Z1])]
    if len(moving) < len(case.kind):
        box = [side[moving] for side in box]
    board = case.fixture.board
    sizes = ((0.0, board.width), (0.0, board.height), (-board.thickness, case.fixture.safe_z))
    for axis, name in enumerate("XYZ"):
        low, high = box[2 * axis], box[2 * axis + 1]
        length = machine.travel[axis]
        if known is None:
            way = float(high.max() - low.min())
            if way > length + ROUNDING:
                # The extreme that is farther from the board is the more likely slip.
                outward = high.max() - sizes[axis][1] > sizes[axis][0] - low.min()
                who = moving[[int(high.argmax() if outward else low.argmin())]]
                yield folded(
                    "travel", "danger", case.line[who], case.ends(who), np.array([way]), length,
                    f"the program needs {{amount}} mm of way in {name}, the machine has {length:g} mm.",
                )  # fmt: skip
            continue
        shift = known[axis] - case.fixture.zero[axis]
        least = -length if known[axis] < 0 else 0.0
        for at, sign, limit in ((low + shift, -1.0, least), (high + shift, 1.0, least + length)):
            out = np.flatnonzero(sign * (at - limit) > ROUNDING)
            if len(out):
                yield folded(
                    "travel", "danger", case.line[moving[out]], case.ends(moving[out]), at[out], limit,
                    f"{name} goes {{over}} mm past the {'upper' if sign > 0 else 'lower'} end of the machine's travel.",
                )  # fmt: skip


def hold_downs(case: Case) -> Iterator[Finding]:
    """Cutter, shank or nut meets a screw, a clamp or a dowel pin, in a rapid or at feed."""
    things = obstacles(case)
    if not things:
        return
    highest = max(thing.height for thing in things)
    for tool, cutter in case.cutters.items():
        mine = case.of_tool(tool)
        low = mine[(case.low[mine] < highest - ROUNDING) & ~case.leaving[mine]]
        for thing in things if len(low) else ():
            reach, box = thing.radius + case.widest(tool), case.box[:, low]
            beside = (box[0] > thing.x + reach) | (box[1] < thing.x - reach)
            mine = low[~(beside | (box[2] > thing.y + reach) | (box[3] < thing.y - reach))]
            distance, places = nearest(case.table[:, mine], thing.x, thing.y)
            near = distance < thing.radius + body_radius(cutter, thing.height - case.low[mine])
            near &= (case.low[mine] < thing.height - ROUNDING) & (case.motion[mine] >= thing.since)
            amounts = np.zeros(len(mine))
            for i in np.flatnonzero(near):
                amounts[i] = -gap(case, int(mine[i]), thing)
            hit = np.flatnonzero(amounts > ROUNDING)
            if len(hit):
                at = np.column_stack([places[hit], case.low[mine[hit]]])
                yield folded(
                    "hold-down", "danger", case.line[mine[hit]], case.work(at), amounts[hit], 0.0,
                    f"{cutter} runs {{amount}} mm sideways into {thing.name}, which stands {thing.height:g} mm above "
                    "the board; go round it, or lift over it.",
                )  # fmt: skip


def _low_ends(case: Case, which: Ints) -> Floats:
    table = case.table[:, which]
    first = table[Z0] < table[Z1]
    return case.work(np.where(first, table[[X0, Y0, Z0]], table[[X1, Y1, Z1]]).T)
