"""What stands on the board, and how near the body of a cutter comes to it. Geometry only, no cells."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case
from toolpaths.judging.wood.heights import radius_at
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import looks, nearest
from toolpaths.judging.wood.sweep import Ints


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


def least_distance(case: Case, which: Ints, thing: Obstacle) -> Floats:
    """No more than the distance of each path from a hold-down, seen from above."""
    if thing.area is None:
        return nearest(case.table[:, which], thing.x, thing.y)[0] - thing.radius
    x0, y0, x1, y1 = thing.area.bounds
    left, right, low, high = case.box[:, which]
    return np.asarray(np.hypot(np.maximum(np.maximum(x0 - right, left - x1), 0.0),
                               np.maximum(np.maximum(y0 - high, low - y1), 0.0)))  # fmt: skip


def body_radius(cutter: Cutter, up: Floats) -> Floats:
    """(k,) largest radius of cutter, shank and nut up to so much above the tip (k,); as Cutter.body_radius."""
    radius = np.where(up < 0, 0.0, radius_at(cutter.profile, up))
    radius = np.where(up > cutter.body.cutting_length, np.maximum(radius, cutter.body.shank_diameter / 2), radius)
    return np.where(up > cutter.body.stick_out, np.maximum(radius, cutter.nut_diameter / 2), radius)


def gap(case: Case, i: int, thing: Obstacle) -> float:
    """mm between an obstacle and the body of the cutter along one move, seen from above; negative where they meet.

    inf where the tip stays above the obstacle.
    """
    move, cutter = case.table[:, i], case.cutters[int(case.tool[i])]
    up = thing.height - float(case.low[i])
    if up <= 0:
        return np.inf
    level = move[Z0] == move[Z1] or bool(case.upright[i])
    if level and thing.area is None:
        return float(nearest(move[:, None], thing.x, thing.y)[0][0]) - thing.radius - cutter.body_radius(up)
    if level:
        places = looks(move)[:, :2] if move[SWEEP] else move[[X0, Y0, X1, Y1]].reshape(2, 2)
        path = Point(places[0]) if case.upright[i] else LineString(places)
        return float(shapely.distance(path, thing.area)) - cutter.body_radius(up)
    places = looks(move)
    places = places[places[:, 2] < thing.height]
    if thing.area is None:
        away = np.hypot(places[:, 0] - thing.x, places[:, 1] - thing.y) - thing.radius
    else:
        away = np.asarray(shapely.distance(shapely.points(places[:, :2]), thing.area))
    return float((away - body_radius(cutter, thing.height - places[:, 2])).min(initial=np.inf))
