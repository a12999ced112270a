"""Along a finished wall a pocket runs the way that is asked for, in loops, corners and links.

Measured from the moves by the distance to the shape as drawn: with the spindle turning clockwise climb has the wall on
the right of the travel (reference 3.7, derived).
"""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
import shapely
from pathcheck import FRONT, MIDDLE, SHAPES, T2, T3, T6, segments
from shapely import Polygon, box

import toolpaths as tp

T4 = tp.Cutter(9, tp.flat(4), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=18000, cutting_length=25)


def gear(teeth: int, outer: float, inner: float) -> Polygon:
    turns = [
        (i + share, r) for i in range(teeth) for share, r in ((0.1, inner), (0.3, outer), (0.7, outer), (0.9, inner))
    ]
    points = [(100 + r * cos(2 * pi * a / teeth), 70 + r * sin(2 * pi * a / teeth)) for a, r in turns]
    return Polygon(points)


def along_walls(path: tp.Toolpath, shape: Polygon) -> tuple[float, float]:
    """(mm along walls, of those mm with the wall on the left); places with a wall on both sides are left out."""
    walls, radius, near = shapely.box(-50, -50, 300, 250).difference(shape), path.cutter.radius, 0.02
    shapely.prepare(walls)
    along = left = 0.0
    for segment, move, z in segments(path):
        if move.kind != "cut" or move.z != z or z >= 0 or segment.length < 1e-6:
            continue
        shares = (np.arange(max(2, int(segment.length / 0.2))) + 0.5) / max(2, int(segment.length / 0.2))
        for share in shares:
            place = shapely.Point(segment.at(share))
            if walls.distance(place) > radius + near:
                continue
            (_, _), (x, y) = shapely.shortest_line(place, walls).coords
            dx, dy, heading = x - place.x, y - place.y, segment.heading(share)
            opposite = shapely.Point(place.x - dx, place.y - dy)
            side = (cos(heading) * dy - sin(heading) * dx) / radius
            if abs(side) < 0.7 or walls.distance(opposite) < 2 * near:
                continue
            along += segment.length / len(shares)
            left += segment.length / len(shares) * (side > 0)
    return along, left


CASES = {
    "slot": (box(30, 40, 95, 45.2), (T4, T2)),
    "gear": (gear(15, 39, 28), (T6, T3)),
    "gear, far finer": (gear(13, 44, 33), (T4, T2)),
    "cross": (box(80, 25, 112, 115) | box(50, 55, 150, 90), (T6, T2)),
    "comb": (SHAPES["comb"], (T6, T3)),
    "star": (SHAPES["star"], (T6, T3, T2)),
}


@pytest.mark.sample(3, long=5)
@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("name", CASES)
def test_pocket_runs_along_walls_the_way_that_is_asked_for(name, direction):
    """At most a hundredth of the length along walls the other way, each cutter for itself."""
    shape, cutters = CASES[name]
    for path in tp.pocket(shape, cutters, depth=3, direction=direction).toolpaths(FRONT):
        along, left = along_walls(path, shape)
        assert along > 5
        assert (left if direction == "climb" else along - left) <= 0.01 * along


@pytest.mark.parametrize("entry", ["ramp", "zigzag", "plunge"])
@pytest.mark.parametrize(("direction", "turn"), [("climb", -1), ("conventional", 1)])
def test_a_spiral_entered_along_itself_runs_one_way_on_every_pass(direction, turn, entry):
    """Round an opening the wood is outside: climb goes round it anticlockwise (once every second pass ran back)."""
    x, y = MIDDLE
    spiral = tp.pocket(tp.circle(50, MIDDLE), T6, depth=9, pattern="spiral", entry=entry, direction=direction)
    (path,) = spiral.toolpaths(FRONT)
    ways = set()
    for segment, move, z in segments(path):
        if move.kind == "cut" and move.z == z < 0 and segment.sweep:
            (a, b), (c, d) = segment.at(0.45), segment.at(0.55)
            if np.hypot(a - x, b - y) > 15:
                ways.add((round(z, 2), int(np.sign((a - x) * (d - y) - (b - y) * (c - x)))))
    assert len({z for z, _ in ways}) >= 3 and len({way for _, way in ways}) == 1, ways
    assert {way for _, way in ways} == {-turn}
