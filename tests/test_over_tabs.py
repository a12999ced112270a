"""Paths lifted over tabs: what the printed text leaves, by the distance between places of the cutter's axis.

Two discs of the cutter's diameter leave the distance of their centres less that diameter between them
(reference 3.7); so what stands at any height is told by the places on either side of a tab at which the
axis first comes below that height. Nothing of the simulator is asked.
"""

from __future__ import annotations

from dataclasses import replace
from math import asin, atan2, copysign, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pathcheck import FRONT, MIDDLE, SHAPES, T6, on_circle
from shapely import box

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import ARC, FEED
from toolpaths.making.motion.tab_heights import raise_over

CENTRE = (150.0, 150.0)
SPACING = 0.04


def cuts(text: str) -> list[tuple[np.ndarray, np.ndarray, np.ndarray, float, float]]:
    """(start, end, centre, sweep, length seen from above) of each fed motion of a text."""
    read, found = tp.read(text).motions, []
    for kind, start, end, centre, sweep in zip(read.kind, read.start, read.end, read.centre, read.sweep, strict=True):
        if kind in (FEED, ARC):
            long = hypot(*(start - centre)[:2]) * abs(sweep) if kind == ARC else hypot(*(end - start)[:2])
            found.append((start, end, centre, float(sweep), long))
    return found


def places(text: str) -> np.ndarray:
    """(n, 3) places of the tip while it is fed, close together, on arcs by their centre and sweep."""
    found = []
    for start, end, centre, sweep, long in cuts(text):
        share = np.linspace(0, 1, int(long / SPACING) + 2)
        xy = start[:2] + share[:, None] * (end - start)[:2]
        if sweep:
            turn = atan2(*(start - centre)[1::-1]) + sweep * share
            xy = centre[:2] + hypot(*(start - centre)[:2]) * np.column_stack([np.cos(turn), np.sin(turn)])
        found.append(np.column_stack([xy, start[2] + (end[2] - start[2]) * share]))
    return np.concatenate(found)


def gap(at: np.ndarray, along: np.ndarray, below: float) -> float:
    """Least distance of places below a height on either side of along = 0, among the first such on each side."""
    low = at[:, 2] < below
    high, deep = along[low & (along > 0)].min(), along[low & (along <= 0)].max()
    one = at[low & (along > 0) & (along < high + 0.6)][:, :2]
    other = at[low & (along <= 0) & (along > deep - 0.6)][:, :2]
    return float(np.hypot(*(one[:, None] - other[None]).transpose(2, 0, 1)).min())


@examples(60)
@given(
    radius=st.floats(8, 100), diameter=st.sampled_from([3, 6]), side=st.sampled_from(["outside", "inside", "on"]),
    wide=st.floats(0.1, 0.8), height=st.floats(0.1, 0.7), slope=st.sampled_from([90, 45, 30, 15]),
    turn=st.floats(0, 2 * pi), begin=st.floats(-1.5, 1.5), entry=st.sampled_from(["plunge", "ramp", "zigzag"]),
    step=st.sampled_from([2, 4, 20]), climb=st.booleans(), thick=st.sampled_from([9, 18]),
)  # fmt: skip
def test_tabs_on_circles_leave_the_width_at_every_height(
    radius, diameter, side, wide, height, slope, turn, begin, entry, step, climb, thick
):
    """Whatever the entry and the passes, wherever the path begins, also over the tab or on its slope.

    At height z the axis is down to z by the half flat and (top - z) / tan(slope) of path from the middle,
    and a length s of a circle of radius r has a chord of 2 r sin(s / 2 r). Of 500 such, 50 were off before
    the path was followed round its ring beyond its ends (once a fault).
    """
    cutter = tp.Cutter(1, tp.flat(diameter), 1800, 18000, plunge_mm_min=500, step_down=step, cutting_length=22)
    width = min(max(1.0, wide * (2 * radius - diameter)), 12.0)
    half = radius * asin((width + diameter) / 2 / radius)
    # Low enough that its slopes meet at most on the far side of the circle.
    tall = min(height * thick, (3 * radius - half) * tan(radians(slope)) - 0.3)
    assume(tall > 0.5)
    shape = tp.circle(2 * radius + {"outside": -diameter, "inside": diameter, "on": 0}[side], CENTRE, tolerance=0.001)
    tabs = tp.Tabs(width=width, height=tall, points=(on_circle(CENTRE, radius, turn),), slope_deg=slope)
    op = tp.contour(
        shape, cutter, depth=tp.through(0.3), side=side, entry=entry, tabs=tabs,
        start=on_circle(CENTRE, radius, turn + begin * 12 / radius), direction="climb" if climb else "conventional",
    )  # fmt: skip
    text = tp.program_text(tp.Setup(tp.Fixture(board=tp.Board(width=300, height=300, thickness=thick)), [op]))

    at, top = places(text), tall - thick
    along = ((np.arctan2(at[:, 1] - 150, at[:, 0] - 150) - turn + pi) % (2 * pi) - pi) * radius
    for below in (top - 0.003, top - tall / 2, -thick):
        long = half + ((top - below) / tan(radians(slope)) if slope < 90 else 0)
        if long < pi / 2 * radius:
            chord = 2 * radius * sin(long / radius)
            assert gap(at, along, below) == pytest.approx(chord, abs=2 * SPACING + 0.02)
    assert at[np.abs(along) < 2 * SPACING][:, 2].min() == pytest.approx(top, abs=0.002)
    # The printed helices rise as steeply as asked, but for roundings of a short one. At its end the path leaves the
    # cut rising: what rises up to there is none of a tab.
    moves = list(cuts(text))
    while moves[-1][1][2] > moves[-1][0][2]:
        moves.pop()
    rises = [(end[2] - start[2], long) for start, end, _, sweep, long in moves if sweep and end[2] > start[2]]
    for rise, long in rises:
        assert rise / long == pytest.approx(tan(radians(slope)), abs=0.003 / long)
    assert rises or slope == 90


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("begin", [-5.4, 5.4])
def test_tab_beside_the_way_on_to_the_last_round_is_as_wide_as_asked(begin, direction):
    """The path begins on its slope and goes from ring to ring there, on to the wall and off it; that way is no length
    of either ring. Half way up the tab was a third narrower (once a fault)."""
    cutter = tp.Cutter(1, tp.flat(3), 1800, 18000, plunge_mm_min=500, step_down=9, cutting_length=22)
    radius, tabs = 77.1, tp.Tabs(width=2.2, height=10.6, points=(on_circle(CENTRE, 77.1, 1.0),), slope_deg=30)
    op = tp.contour(
        tp.circle(2 * radius - 3, CENTRE, tolerance=0.001), cutter, depth=tp.through(0.3), entry="plunge", tabs=tabs,
        finish=0.3, start=on_circle(CENTRE, radius, 1.0 + begin / radius), direction=direction,
    )  # fmt: skip
    text = tp.program_text(tp.Setup(tp.Fixture(board=tp.Board(width=300, height=300, thickness=18)), [op]))

    at = places(text)
    along = ((np.arctan2(at[:, 1] - 150, at[:, 0] - 150) - 1.0 + pi) % (2 * pi) - pi) * radius
    for below, slack in ((-7.403, 0.1), (-12.7, 0.4)):
        long = radius * asin(2.6 / radius) + (-7.4 - below) / tan(radians(30))
        assert gap(at, along, below) == pytest.approx(2 * radius * sin(long / radius), abs=slack)


@pytest.mark.parametrize("slope", [90, 30])
@pytest.mark.parametrize(("side", "corner"), [("outside", (40.0, 40.0)), ("inside", (43.0, 43.0))])
def test_tab_asked_for_at_a_corner_is_as_wide_as_one_on_a_side(side, corner, slope):
    """Measured along the path round the corner it was narrower by a third inside (once a fault)."""
    tabs = tp.Tabs(width=6, height=3, points=(corner,), slope_deg=slope)
    op = tp.contour(box(40, 40, 160, 100), T6, depth=tp.through(0.3), side=side, tabs=tabs, start=(100, 100))
    text = tp.program_text(tp.Setup(tp.Fixture(board=tp.Board(width=200, height=140, thickness=18)), [op]))

    at = places(text)
    at = at[np.hypot(at[:, 0] - 40, at[:, 1] - 40) < 35]
    assert gap(at, at[:, 0] - at[:, 1], -15.003) == pytest.approx(12, abs=2 * SPACING)


def test_tab_on_a_ring_too_small_for_it_says_how_wide_it_may_be():
    """Two places of a circle of radius 5 are 10 mm apart at most: 4 mm for a 6 mm cutter."""
    tabs = tp.Tabs(width=5, height=3, points=((100.0, 75.0),))
    op = tp.contour(tp.circle(16, (100, 70), tolerance=0.001), T6, depth=tp.through(0.3), side="inside", tabs=tabs)
    with pytest.raises(
        tp.DoesNotFitError, match=r"bends too tightly at \(100\.0, 75\.0\) for a tab 5 mm wide: 3\.99 mm"
    ):
        op.toolpaths(tp.Fixture(board=tp.Board(width=200, height=140, thickness=18)))


@pytest.mark.parametrize("radius", [9.0, 18.0])
def test_raise_over_goes_on_round_the_last_arc_where_no_ring_is_given(radius):
    """An arc that ends 7 mm before the middle of a tab, over its flat: 7 < r asin(7 / r), half of the chord of 14."""
    op = tp.contour(tp.circle(2 * radius, MIDDLE, tolerance=0.001), T6, depth=8, side="on", entry="plunge")
    (whole,) = op.toolpaths(FRONT)
    path = replace(whole, moves=whole.moves[: next(i for i, m in enumerate(whole.moves) if m.sweep) + 1])
    end = path.moves[-1]
    turn = atan2(end.y - MIDDLE[1], end.x - MIDDLE[0]) + copysign(7 / radius, end.sweep)
    raised = raise_over(path, [on_circle(MIDDLE, radius, turn)], tp.Tabs(width=8, height=3, count=1), -2.0)

    assert path.moves[-1].z < -2.0
    assert raised.moves[-1].z == pytest.approx(-2.0)


def test_raise_over_a_place_that_the_path_does_not_pass_says_so():
    (path,) = tp.contour(SHAPES["square"], T6, depth=5).toolpaths(FRONT)
    with pytest.raises(tp.DoesNotFitError, match=r"does not come by the tab at \(80\.0, 70\.0\)"):
        raise_over(path, [(80.0, 70.0)], tp.Tabs(width=6, height=3, count=1), -2)


def test_raise_over_with_no_place_changes_nothing():
    (path,) = tp.contour(SHAPES["ellipse"], T6, depth=5).toolpaths(FRONT)
    same = raise_over(path, [], tp.Tabs(width=6, height=3, count=1), -2)

    assert [m.kind for m in same.moves] == [m.kind for m in path.moves]
    assert np.array([m[1:5] for m in same.moves]) == pytest.approx(np.array([m[1:5] for m in path.moves]))
