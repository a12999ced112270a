"""How far a cutter is in the wood in the corners of a pocket, against what is published of it.

Kramer, Pocket milling with tool engagement detection (Journal of Manufacturing Systems 11, 1992) and Choi and Kim,
Die-cavity pocketing via cutting simulation (Computer-Aided Design 29, 1997), both from memory: loops side by side, a
stepover apart, have an engagement that rises in each corner by the angle that the loop turns there. Derived here: along
a straight front phi = acos(1 - s / r); at a corner the rim is in wood from the wall that it comes along to as far past
the wall ahead, whose normal is turned by the angle of the corner, so phi + turn.

What their figures do not allow: forces and times are of steel and of their machines.
"""

from __future__ import annotations

from itertools import pairwise, product
from math import acos, ceil, cos, degrees, radians, sin, tan

import numpy as np
import pytest
from engagement import CHIP, Measured, Step, measured
from shapely import Polygon, box

import toolpaths as tp
from toolpaths.judging.reader.read import read
from toolpaths.shapes.track import Segment

RADIUS = 3.0


def _wedge(turn_deg: float, inset: float, long: float) -> list[tuple[float, float]]:
    """Along y = inset to the corner of two walls from there on, and along the other wall; wood outside of both."""
    at = inset / tan(radians(180 - turn_deg) / 2) if turn_deg < 180 else 0.0
    ahead = radians(turn_deg)
    corner = (-at, inset)
    return [(corner[0] - long, inset), corner, (corner[0] + long * cos(ahead), inset + long * sin(ahead))]


@pytest.mark.sample(2)
@pytest.mark.parametrize("turn_deg", [30, 60, 90])
@pytest.mark.parametrize("stepover", [1.2, 2.4])
def test_engagement_in_a_corner_is_that_of_a_straight_front_and_the_turn(turn_deg, stepover):
    """Of two loops by hand; `engagement.py`, by which the limited pockets are judged, measures it."""
    before, then = (_wedge(turn_deg, inset, 25.0) for inset in (RADIUS + stepover, RADIUS))
    # What goes down takes wood and is not measured.
    steps = [Step(Segment(one, other), -1.995, -2.0) for one, other in pairwise(before)]
    steps += [Step(Segment(one, other), -2.0, -2.0) for one, other in pairwise(then)]
    wall = _wedge(turn_deg, 0.0, 40.0)
    far = (wall[2][0] - 60 * sin(radians(turn_deg)), wall[2][1] + 60 * cos(radians(turn_deg)))
    room = Polygon([*wall, far, (wall[0][0], 60)]).buffer(0)
    straight = degrees(acos(1 - stepover / RADIUS))
    found = measured(steps, -2.0, RADIUS, room, straight)
    # The last place that is looked at lies a step before the corner, and chips thinner than CHIP count as none.
    step = 25.0 / ceil(25.0 / (RADIUS / 20))
    there = degrees(acos(1 - (stepover - step * sin(radians(turn_deg))) / RADIUS))
    thin = degrees(acos((RADIUS - CHIP) / (RADIUS + CHIP)))
    assert found.widest == pytest.approx(there + turn_deg - thin, abs=1.0)
    assert straight + turn_deg - 8 < found.widest <= straight + turn_deg
    # Beyond that of the straight front only about the corner.
    assert 0 < found.far_over < 2 * RADIUS


def _square(limit: float | None, looked_at: float) -> Measured:
    """A square of 50 mm, one pass deep, as its program cuts it."""
    cutter = tp.Cutter(1, tp.flat(2 * RADIUS), 1800, 16000, cutting_length=20)
    fixture = tp.Fixture(board=tp.Board(width=100, height=100, thickness=18))
    shape = box(25, 25, 75, 75)
    deep = cutter.running.step_down
    text = tp.program_text(tp.Setup(fixture, work=[tp.pocket(shape, cutter, depth=deep, engagement_deg=limit)]))
    motions = read(text).motions
    steps = []
    for start, end, centre, sweep in zip(motions.start, motions.end, motions.centre, motions.sweep):
        if start[2] < 1 and end[2] < 1:
            flat = [tuple(map(float, each[:2])) for each in (start, end, centre)]
            steps.append(Step(Segment(*flat, float(sweep)), float(start[2]), float(end[2])))
    opened = shape.buffer(-RADIUS, join_style="mitre").buffer(RADIUS, quad_segs=64)
    return measured(steps, -deep, RADIUS, opened, looked_at)


@pytest.mark.long
@pytest.mark.parametrize("limit", [60.0, 90.0])
def test_a_limited_pocket_keeps_in_its_corners_what_loops_do_not(limit):
    """Loops at 0.4 of the diameter: phi = 78 degrees, and 168 in the corners, where the axis is a radius off the walls.
    Measured 172: the loop before has its corners rounded, which leaves more wood ahead than sharp ones would."""
    straight = degrees(acos(1 - 2 * 0.4))
    loops = _square(None, straight + 10).places
    for corner in product((28, 72), repeat=2):
        near = np.hypot(*(loops[:, :2] - corner).T) < 0.5
        assert loops[near, 2].max() == pytest.approx(straight + 90, abs=5)
    assert _square(limit, limit).keeps_the_limit()
