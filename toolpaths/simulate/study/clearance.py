"""How near cutters come to what holds the board down."""

from __future__ import annotations

import numpy as np
import shapely

from toolpaths.checks import Floats
from toolpaths.cutters import Cutter
from toolpaths.simulate.checks.limits import Obstacle, obstacles
from toolpaths.simulate.trial.case import Case
from toolpaths.simulate.wood.heights import radius_at
from toolpaths.simulate.wood.moves import Z0, Z1
from toolpaths.simulate.wood.paths import looks, nearest
from toolpaths.simulate.wood.sweep import Ints

# (number of the hold-down, move), the least gap that it can have first.
Pairs = list[tuple[int, int]]


def nearest_to_hold_downs(case: Case, blur: float, rise: float) -> tuple[float, str, Pairs] | None:
    """The least gap between a cutter's body and a hold-down, the name of that, and what else may come as near.

    blur, rise : mm by which the moves may come to lie elsewhere, sideways and in height
    Negative where they meet. None where no move comes below the top of any hold-down.
    """
    things = obstacles(case)
    found: list[tuple[float, int, int]] = []
    for at, thing in enumerate(things):
        for tool, cutter in case.cutters.items():
            mine = case.of_tool(tool)
            mine = mine[(case.low[mine] < thing.height + rise) & ~case.leaving[mine]]
            mine = mine[case.motion[mine] >= thing.since]
            if len(mine):
                bound = _distance(case, mine, thing) - _body(cutter, thing.height + rise - case.low[mine])
                some = np.flatnonzero(bound <= bound.min() + 2 * blur + 2 * cutter.nut_diameter)
                found += [(float(bound[i]), at, int(mine[i])) for i in some]
    if not found:
        return None
    found.sort()
    # The bound is never more than the gap, so the search may end where it passes the least gap found.
    gap, name = np.inf, ""
    for bound_of, at, i in found:
        if bound_of > gap:
            break
        here = _gap(case, i, things[at])
        if here < gap:
            gap, name = here, things[at].name
    if not np.isfinite(gap):
        return None
    return gap, name, [(at, i) for bound_of, at, i in found if bound_of <= gap + 2 * blur]


def least_gap(case: Case, pairs: Pairs) -> float:
    """The least gap of these hold-downs and moves, of those that come below its top."""
    things = obstacles(case)
    return min(_gap(case, i, things[at]) for at, i in pairs)


def _distance(case: Case, which: Ints, thing: Obstacle) -> Floats:
    """No more than the distance of each path from a hold-down, seen from above."""
    if thing.area is None:
        return nearest(case.table[:, which], thing.x, thing.y)[0] - thing.radius
    x0, y0, x1, y1 = thing.area.bounds
    left, right, low, high = case.box[:, which]
    return np.asarray(np.hypot(np.maximum(np.maximum(x0 - right, left - x1), 0.0),
                               np.maximum(np.maximum(y0 - high, low - y1), 0.0)))  # fmt: skip


def _body(cutter: Cutter, up: Floats) -> Floats:
    """Largest radius of cutter, shank and nut up to so much above the tip; as Cutter.body_radius."""
    radius = np.where(up < 0, 0.0, radius_at(cutter.profile, up))
    radius = np.where(up > cutter.cutting_length, np.maximum(radius, cutter.shank_diameter / 2), radius)
    return np.where(up > cutter.stick_out, np.maximum(radius, cutter.nut_diameter / 2), radius)


def _gap(case: Case, i: int, thing: Obstacle) -> float:
    """Between a hold-down and the body of the cutter along one move; inf where the tip stays above it."""
    move, cutter = case.table[:, i], case.cutters[int(case.tool[i])]
    if case.low[i] >= thing.height:
        return np.inf
    level = move[Z0] == move[Z1] or bool(case.upright[i])
    if thing.area is None and level:
        distance = float(nearest(case.table[:, i : i + 1], thing.x, thing.y)[0][0]) - thing.radius
        return distance - cutter.body_radius(thing.height - float(case.low[i]))
    places = looks(move)
    places = places[places[:, 2] < thing.height]
    if thing.area is None:
        away = np.hypot(places[:, 0] - thing.x, places[:, 1] - thing.y) - thing.radius
    else:
        away = np.asarray(shapely.distance(shapely.points(places[:, :2]), thing.area))
    return float((away - _body(cutter, thing.height - places[:, 2])).min()) if len(places) else np.inf
