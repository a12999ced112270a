"""Checks of where the cutter goes: depth, board, travel, hold-downs. Geometry only, no cells."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from toolpaths.checks import Floats
from toolpaths.cutters import Cutter, Profile
from toolpaths.gcode.motion import DWELL
from toolpaths.simulate.trial.case import Case, distinct
from toolpaths.simulate.trial.findings import ROUNDING, Finding, folded
from toolpaths.simulate.wood.heights import radius_at
from toolpaths.simulate.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.simulate.wood.paths import farthest, looks, nearest
from toolpaths.simulate.wood.sweep import Ints

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
    radius = np.array([case.cutters[t].radius if t in case.cutters else 0.0 for t in case.tool[deep].tolist()])
    for dowel in fixture.dowels:
        place = fixture.place(Point(dowel.x, dowel.y))
        inside = farthest(case.table[:, deep], place.x, place.y) + radius <= dowel.diameter / 2 + _DOWEL_ROOM
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
    sizes = ((0.0, board.width), (0.0, board.height), (-board.thickness, case.fixture.safe_height))
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


class Obstacle(NamedTuple):
    """Something that stands on the board as it lies, and the first motion at which it is there."""

    name: str
    x: float
    y: float
    radius: float
    height: float
    since: int
    area: Polygon | None = None


def obstacles(case: Case) -> list[Obstacle]:
    """Screws, clamps and, on the back, dowel pins, where they come to lie on this side."""
    fixture = case.fixture
    found = []
    for screw in fixture.screws:
        at = fixture.place(Point(screw.x, screw.y))
        since = case.from_stop(screw.driven_at) if screw.driven_at else 0
        name = f"the screw at X{screw.x:g} Y{screw.y:g} (seen from the front)"
        found.append(Obstacle(name, at.x, at.y, screw.head_diameter / 2, screw.height, since))
    # On the front the dowels are not in yet: their holes are being drilled.
    for dowel in fixture.dowels if fixture.turned else ():
        at = fixture.place(Point(dowel.x, dowel.y))
        name = f"the dowel pin at X{dowel.x:g} Y{dowel.y:g} (seen from the front)"
        found.append(Obstacle(name, at.x, at.y, dowel.diameter / 2, dowel.standing, 0))
    for number, clamp in enumerate(fixture.clamps, start=1):
        area = fixture.place(clamp.area)
        x0, y0, x1, y1 = area.bounds
        # A circle around the clamp serves to rule out what is far away.
        radius = float(np.hypot(x1 - x0, y1 - y0)) / 2
        found.append(Obstacle(f"clamp {number}", (x0 + x1) / 2, (y0 + y1) / 2, radius, clamp.height, 0, area))
    return found


def hold_downs(case: Case) -> Iterator[Finding]:
    """Cutter, shank or nut meets a screw, a clamp or a dowel pin, in a rapid or at feed."""
    things = obstacles(case)
    if not things:
        return
    highest = max(thing.height for thing in things)
    for tool, cutter in case.cutters.items():
        mine = case.of_tool(tool)
        low = mine[(case.low[mine] < highest - ROUNDING) & ~case.leaving[mine]]
        widest = case.widest(tool)
        for thing in things if len(low) else ():
            reach, box = thing.radius + widest, case.box[:, low]
            beside = (box[0] > thing.x + reach) | (box[1] < thing.x - reach)
            mine = low[~(beside | (box[2] > thing.y + reach) | (box[3] < thing.y - reach))]
            distance, places = nearest(case.table[:, mine], thing.x, thing.y)
            near = (distance < thing.radius + widest) & (case.low[mine] < thing.height - ROUNDING)
            near &= case.motion[mine] >= thing.since
            amounts = np.zeros(len(mine))
            for i in np.flatnonzero(near):
                amounts[i] = _overlap(case, int(mine[i]), cutter, thing, float(distance[i]))
            hit = np.flatnonzero(amounts > ROUNDING)
            if len(hit):
                at = np.column_stack([places[hit], case.low[mine[hit]]])
                yield folded(
                    "hold-down", "danger", case.line[mine[hit]], case.work(at), amounts[hit], 0.0,
                    f"{cutter} runs {{amount}} mm into {thing.name}.",
                )  # fmt: skip


def _overlap(case: Case, i: int, cutter: Cutter, thing: Obstacle, distance: float) -> float:
    """How far the body of the cutter gets into an obstacle, seen from above; 0 or less if it does not."""
    move = case.table[:, i]
    body = cutter.body_radius(thing.height - float(case.low[i]))
    if thing.area is None and distance >= thing.radius + body:
        return 0.0
    same_height = move[Z0] == move[Z1] or bool(case.upright[i])
    if thing.area is None and same_height:
        return thing.radius + body - distance
    places = looks(move) if not same_height or move[SWEEP] else move[[X0, Y0, Z0, X1, Y1, Z1]].reshape(2, 3)
    if same_height:
        path = LineString(places[:, :2]) if len(places) > 1 and not case.upright[i] else Point(places[0, :2])
        return body - float(shapely.distance(path, thing.area))
    places = places[places[:, 2] < thing.height]
    if thing.area is None:
        away = np.hypot(places[:, 0] - thing.x, places[:, 1] - thing.y) - thing.radius
    else:
        away = shapely.distance(shapely.points(places[:, :2]), thing.area)
    bodies = np.array([cutter.body_radius(thing.height - z) for z in places[:, 2].tolist()])
    return float((bodies - away).max()) if len(places) else 0.0


def _low_ends(case: Case, which: Ints) -> Floats:
    table = case.table[:, which]
    first = table[Z0] < table[Z1]
    return case.work(np.where(first, table[[X0, Y0, Z0]], table[[X1, Y1, Z1]]).T)
