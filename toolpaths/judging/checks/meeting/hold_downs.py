"""The check of hold-downs: does cutter, shank or nut meet what stands on the board? Geometry only, no cells."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString, Point

from toolpaths.base.checks import Floats
from toolpaths.facts.hold_down import HoldDown
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import boxes_near, looks, nearest
from toolpaths.judging.wood.sweep import Flags, Ints


def obstacles(case: Case) -> list[HoldDown]:
    """What a cutter can run into on this side; a grip holds from below."""
    return [thing for thing in case.fixture.standing() if thing.kind != "grip"]


def there_yet(case: Case, thing: HoldDown, which: Ints) -> Flags:
    """(k,) whether a hold-down is there when each of these moves comes: from a stop on, or from the start."""
    return np.asarray(which >= case.stands_from(thing))


def hold_downs(case: Case) -> Iterator[Finding]:
    """Cutter, shank or nut meets a screw, a clamp or a dowel pin, in a rapid or at feed."""
    things = obstacles(case)
    if not things:
        return
    highest = max(thing.height for thing in things)
    for tool, cutter in case.cutters.items():
        low = _below(case, tool, highest)
        for thing in things if len(low) else ():
            which, places, amounts = _meeting(case, tool, low, thing)
            if len(which):
                yield folded(
                    "hold-down", "danger", case.moves.line[which], case.work(places), amounts, 0.0,
                    f"{cutter} runs {{amount}} mm sideways into {_called(case, thing)}, which stands "
                    f"{thing.height:g} mm above the board; go round it, or lift over it.",
                )  # fmt: skip


def first_meeting(case: Case, thing: HoldDown) -> int | None:
    """The first move that meets a thing, if it stood there from its stop on."""
    each = [_meeting(case, tool, _below(case, tool, thing.height), thing)[0] for tool in case.cutters]
    return min((int(which[0]) for which in each if len(which)), default=None)


def _below(case: Case, tool: int, height: float) -> Ints:
    return np.flatnonzero((case.moves.tool == tool) & case.moves.below(height - ROUNDING))


def _meeting(case: Case, tool: int, low: Ints, thing: HoldDown) -> tuple[Ints, Floats, Floats]:
    """(k,) those of some moves of a cutter that meet a thing, (k, 3) where, and (k,) by how many mm."""
    moves, cutter = case.moves, case.cutters[tool]
    mine = low[boxes_near(moves.box[:, low], thing.x, thing.y, thing.radius + case.widest(tool))]
    distance, places = nearest(moves.path[:, mine], thing.x, thing.y)
    near = distance < thing.radius + cutter.body_radii(thing.height - moves.low[mine])
    near &= (moves.low[mine] < thing.height - ROUNDING) & there_yet(case, thing, mine)
    amounts = np.zeros(len(mine))
    for i in np.flatnonzero(near):
        amounts[i] = -gap(case, int(mine[i]), thing)
    hit = np.flatnonzero(amounts > ROUNDING)
    return mine[hit], np.column_stack([places[hit], moves.low[mine[hit]]]), amounts[hit]


def _called(case: Case, thing: HoldDown) -> str:
    """A hold-down by its name, and where it stands as the program counts, if that is not as seen from the front."""
    x, y, _ = case.point(thing.x, thing.y, 0.0)
    seen = case.fixture.seen_from_front(np.array([[thing.x, thing.y]]))[0]
    same = np.hypot(*(seen - (x, y))) < ROUNDING
    return thing.name if same else f"{thing.name}, as the program counts at X{x:.4g} Y{y:.4g}"


def gap(case: Case, i: int, thing: HoldDown) -> float:
    """mm between a hold-down and the body of the cutter along one move, seen from above; negative where they meet.

    inf where the tip stays above the hold-down.
    """
    moves = case.moves
    move, cutter = moves.path[:, i], case.cutters[int(moves.tool[i])]
    up = thing.height - float(moves.low[i])
    if up <= 0:
        return np.inf
    level = move[Z0] == move[Z1] or bool(moves.upright[i])
    if level and thing.area is None:
        return float(nearest(move[:, None], thing.x, thing.y)[0][0]) - thing.radius - cutter.body_radius(up)
    if level:
        places = looks(move)[:, :2] if move[SWEEP] else move[[X0, Y0, X1, Y1]].reshape(2, 2)
        path = Point(places[0]) if moves.upright[i] else LineString(places)
        return float(shapely.distance(path, thing.area)) - cutter.body_radius(up)
    places = looks(move)
    places = places[places[:, 2] < thing.height]
    if thing.area is None:
        away = np.hypot(places[:, 0] - thing.x, places[:, 1] - thing.y) - thing.radius
    else:
        away = np.asarray(shapely.distance(shapely.points(places[:, :2]), thing.area))
    return float((away - cutter.body_radii(thing.height - places[:, 2])).min(initial=np.inf))


def least_distance(case: Case, which: Ints, thing: HoldDown) -> Floats:
    """No more than the distance of each path from a hold-down, seen from above."""
    if thing.area is None:
        return nearest(case.moves.path[:, which], thing.x, thing.y)[0] - thing.radius
    x0, y0, x1, y1 = thing.area.bounds
    left, right, low, high = case.moves.box[:, which]
    return np.asarray(np.hypot(np.maximum(np.maximum(x0 - right, left - x1), 0.0),
                               np.maximum(np.maximum(y0 - high, low - y1), 0.0)))  # fmt: skip
