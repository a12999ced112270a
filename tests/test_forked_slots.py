"""Slots of the cutter's own width that fork: each is followed once, whatever the shape of the fork."""

from __future__ import annotations

from itertools import combinations
from math import cos, radians, sin

import numpy as np
import pytest
import shapely
from hypothesis import assume, example, given
from hypothesis import strategies as st
from pathcheck import FRONT, T6, check_motion, segments, swept
from shapely import LineString, MultiLineString

import toolpaths as tp
from samples import examples

TOLERANCE = 0.01


@st.composite
def forked(draw: st.DrawFn) -> MultiLineString:
    """A trunk with branches at either side of it, at any angle, clear of each other, anyhow on the board."""
    length, branches = draw(st.floats(60, 110)), draw(st.integers(1, 4))
    lines = [LineString([(0, 0), (length, 0)])]
    for i in range(branches):
        x = length * (i + draw(st.floats(0.4, 0.6))) / branches
        angle, long = radians(draw(st.floats(50, 130))), draw(st.floats(15, 30))
        if draw(st.booleans()):
            angle = -angle
        lines.append(LineString([(x, 0), (x + long * cos(angle), long * sin(angle))]))
    assume(all(one.distance(other) > 7 for one, other in combinations(lines[1:], 2)))
    drawn = shapely.affinity.rotate(MultiLineString(lines), draw(st.floats(0, 360)))
    x, y = shapely.centroid(shapely.envelope(drawn)).coords[0]
    return shapely.affinity.translate(drawn, 100 - x, 70 - y)


# Its outline in chords crosses itself: a sound shape was refused.
CROSSING = shapely.from_wkt(
    "MULTILINESTRING ((69.26988266205888 23.73053037217123, 130.73011733794112 104.92563310183792), "
    "(78.38657609888855 35.77459209861854, 94.05254148395161 35.77459209861854), "
    "(100 64.32808173700457, 111.9600118118837 55.27500947066305), "
    "(120.48674489196077 91.39311598022681, 109.9906966260923 116.26946962782877))"
)


@given(lines=forked())
@example(lines=CROSSING)
@examples(30)
def test_forked_slots_of_the_cutters_width_are_followed_once_a_level(lines):
    """Level feed as long as the slots are, nothing left standing, nothing cut beside them, and few short moves."""
    shape = shapely.buffer(lines, 3, quad_segs=64)
    (path,) = tp.pocket(shape, T6, depth=5.5).toolpaths(FRONT, TOLERANCE)

    cuts = [(s, move, z) for s, move, z in segments(path) if move.kind == "cut" and min(move.z, z) < -1e-9]
    level = sum(s.length for s, move, z in cuts if abs(move.z - z) < 1e-9)
    assert level <= 2 * 1.05 * lines.length
    taken = swept(path, -5.49)
    assert shapely.difference(shape, taken).area < TOLERANCE * shape.length
    assert shapely.covers(shapely.buffer(shape, 2 * TOLERANCE), taken)
    assert sum(0 < s.length < 0.06 for s, _, _ in cuts) <= 0.05 * len(cuts)
    check_motion(path)


@pytest.mark.sample(2)
@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("side", [-1, 1])
def test_wall_past_the_mouths_of_slots_is_cut_in_the_direction_wanted(direction, side):
    """A comb: past its teeth there is but the back of the bar, on the right of a cutter that climbs, on every pass."""
    teeth = [LineString([(x, 70), (x, 70 + side * 35)]) for x in np.linspace(45, 150, 5)]
    lines = MultiLineString([LineString([(30, 70), (170, 70)]), *teeth])
    (path,) = tp.pocket(shapely.buffer(lines, 3, quad_segs=64), T6, depth=5.5, direction=direction).toolpaths(FRONT)

    level = [(move.x - s.start[0], move.z) for s, move, z in segments(path) if move.kind == "cut" and move.z == z < 0]
    along = [(dx, z) for dx, z in level if abs(dx) > 1]
    assert {z for _, z in along} == {-2.75, -5.5}
    # Teeth above the bar are on the left of a cutter that goes to the right.
    assert {np.sign(dx) for dx, _ in along} == {side if direction == "climb" else -side}


@given(lines=forked(), wide=st.floats(4, 14), aside=st.floats(0, 5))
@examples(30)
def test_slots_of_the_cutters_width_out_of_a_wider_area_leave_nothing_and_cut_nothing_beside(lines, wide, aside):
    x, y = lines.geoms[-1].coords[0]
    about = shapely.buffer(shapely.Point(x + aside, y), wide, quad_segs=64)
    shape = shapely.union(shapely.buffer(lines, 3, quad_segs=64), about)
    (path,) = tp.pocket(shape, T6, depth=2.5).toolpaths(FRONT, TOLERANCE)

    taken = swept(path, -2.49)
    reached = shapely.buffer(shapely.buffer(shape, -2.99, quad_segs=100), 2.99, quad_segs=100)
    assert shapely.buffer(shapely.difference(reached, taken), -2 * TOLERANCE).is_empty
    assert shapely.covers(shapely.buffer(shape, 2 * TOLERANCE), taken)
    check_motion(path)


def test_slots_whose_tips_overlap_sideways_leave_nothing():
    """Three slots of 8 mm that fan out so little that their tips lie side by side: the strip between them was once
    taken for the mouth of one of them, and left."""
    hub, tips = (113.0721, 88.6533), [(142.1139, 81.873), (156.8995, 85.3018), (150.4172, 86.064)]
    shape = shapely.buffer(shapely.multilinestrings([[hub, tip] for tip in tips]), 4, quad_segs=32)
    board = tp.Board(width=240, height=180, thickness=18)
    mill = tp.Cutter(1, tp.flat(8), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
    job = tp.Job("Fan", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), [tp.pocket(shape, mill, depth=5)])])
    assert job.report(cell=1.0).ok
