"""Paths lifted over tabs: what the printed text leaves, by the distance between places of the cutter's axis.

Two discs of the cutter's diameter leave the distance of their centres less that diameter between them
(reference 3.7); so what stands at any height is told by the places on either side of a tab at which the
axis first comes below that height. Nothing of the simulator is asked.
"""

from __future__ import annotations

from itertools import pairwise
from math import asin, atan2, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from pathcheck import MIDDLE, T6, on_circle

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import ARC, FEED
from toolpaths.making.motion.tab_heights import tab_heights
from toolpaths.making.motion.toolpath import Stretch, level
from toolpaths.shapes.track import Segment, Track, circle_track

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


def test_tab_on_a_ring_too_small_for_it_says_how_wide_it_may_be():
    """Two places of a circle of radius 5 are 10 mm apart at most: 4 mm for a 6 mm cutter."""
    tabs = tp.Tabs(width=5, height=3, points=((100.0, 75.0),))
    op = tp.contour(tp.circle(16, (100, 70), tolerance=0.001), T6, depth=tp.through(0.3), side="inside", tabs=tabs)
    with pytest.raises(
        tp.DoesNotFitError, match=r"bends too tightly at \(100\.0, 75\.0\) for a tab 5 mm wide: 3\.99 mm"
    ):
        op.toolpaths(tp.Fixture(board=tp.Board(width=200, height=140, thickness=18)))


def over(ring, places, stretch, slope=90.0):
    """The heights of a stretch over tabs 3 mm high on a floor of -8."""
    tabs = tp.Tabs(width=8, height=3, count=1, slope_deg=slope)
    return tab_heights(ring, places, tabs, -5.0, -8.0, T6).over(stretch)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("radius", [9.0, 18.0])
def test_stretch_that_ends_before_the_middle_of_a_tab_is_lifted_over_its_near_half(radius, backwards):
    """It ends 6 mm before the middle, on the flat: 6 < r asin(7 / r), half of the chord of 8 and the cutter's 6."""
    ring = circle_track(MIDDLE, radius, clockwise=False)
    middle = ring.length / 2
    begin, end = (middle + 30, middle + 6) if backwards else (middle - 30, middle - 6)
    track = Track(tuple(ring.between(min(begin, end), max(begin, end))), False)
    stretch = level(track.reversed() if backwards else track, -8.0, begin, -1.0 if backwards else 1.0)
    raised = over(ring, [ring.at(middle)], stretch)

    assert raised.track == stretch.track
    up = 30 - radius * asin(7 / radius)
    assert np.array(raised.heights) == pytest.approx(np.array([(0, -8), (up, -8), (up, -5), (24, -5)]))


def test_tab_on_a_level_stretch_is_up_along_and_down_and_no_more():
    ring = circle_track(MIDDLE, 20.0, clockwise=False)
    half = 20 * asin(7 / 20)
    corners = [30 - half, 30 - half, 30 + half, 30 + half]
    raised = over(ring, [ring.at(30.0)], level(ring, -8.0))
    expected = zip([0, *corners, ring.length], [-8, -8, -5, -5, -8, -8], strict=True)
    assert np.array(raised.heights) == pytest.approx(np.array(list(expected)))


def test_tab_that_a_ring_does_not_pass_is_refused():
    ring = circle_track(MIDDLE, 20.0, clockwise=False)
    with pytest.raises(tp.DoesNotFitError, match=r"does not come by the tab at \(80\.0, 50\.0\)"):
        over(ring, [(100.0, 50.0), (80.0, 50.0)], level(ring, -8.0))


def test_stretch_with_no_tab_is_as_it_was():
    ring = circle_track(MIDDLE, 20.0, clockwise=False)
    stretch = Stretch(ring, ((0.0, 0.0), (10.0, -3.0), (10.0, -8.0), (200.0, -8.0)))
    assert over(ring, [], stretch) == stretch


@examples(200)
@example(tabs=[12, 28], slope=20, steps=[(0, -8), (40, -8)], begin=0, backwards=False)
@example(tabs=[20], slope=90, steps=[(0, -8), (27, -8), (20, -8)], begin=0, backwards=False)
@given(
    tabs=st.lists(st.integers(10, 30), min_size=1, max_size=3, unique=True), slope=st.sampled_from([90, 45, 20]),
    steps=st.lists(st.tuples(st.integers(0, 30), st.sampled_from([0, -2, -5, -6, -8, -8])), min_size=2, max_size=7),
    begin=st.integers(-40, 40), backwards=st.booleans(),
)  # fmt: skip
def test_heights_over_tabs_are_the_highest_of_all(tabs, slope, steps, begin, backwards):
    """At every length the higher of the stretch's own height and each tab's, where a tab ends as a height does and
    where slopes meet too: behind the one the path rose out of the wood, between the others it dipped (once faults).

    A ring of four sides of 40; tabs on the first; a flat of 14 on a straight side.
    """
    ring = Track(tuple(Segment(a, b) for a, b in pairwise([(0, 0), (40, 0), (40, 40), (0, 40), (0, 0)])), True)
    places = [(float(along), 0.0) for along in tabs]
    heights = [(0.0, float(steps[0][1]))]
    for ahead, z in steps[1:]:
        heights.append((heights[-1][0] + ahead, float(z)))
    assume(heights[-1][0] > 0)
    rate = -1.0 if backwards else 1.0
    track = Track((Segment((0.0, 0.0), (heights[-1][0], 0.0)),), False)
    raised = over(ring, places, Stretch(track, tuple(heights), float(begin), rate), slope)

    lengths = np.arange(0.0005, heights[-1][0], 0.0937)
    own, got = (np.interp(lengths, *np.array(each).T) for each in (heights, raised.heights))
    for x, _ in places:
        from_middle = np.abs((begin + rate * lengths - x + 80) % 160 - 80)
        tab = (
            -5 - np.maximum(from_middle - 7, 0) * tan(radians(slope))
            if slope < 90
            else np.where(from_middle <= 7, -5, -9)
        )
        own = np.maximum(own, np.where(tab >= -8, tab, -9))
    assert got == pytest.approx(own, abs=1e-6)
