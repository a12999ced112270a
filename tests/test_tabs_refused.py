"""Tabs that cannot be: refused in words that say which would."""

from __future__ import annotations

import re
from dataclasses import replace
from math import tan

import numpy as np
import pytest
import shapely
from pathcheck import (
    FRONT,
    INSERT,
    MIDDLE,
    SHAPES,
    SIDES,
    T6,
    falls,
)

import toolpaths as tp

THROUGH = tp.through(0.3)


def test_tabs_square_or_steep_under_a_cutter_dead_at_its_centre_are_refused():
    """Behind a tab it would go down steeper than its ramp (once a fault for slopes)."""
    for slope in (90, 45):
        steep = tp.Tabs(width=6, height=3, count=2, slope_deg=slope)
        op = tp.contour(SHAPES["rounded"], INSERT, depth=THROUGH, tabs=steep)
        with pytest.raises(tp.DoesNotFitError, match=r"take slope_deg=3 or less"):
            op.toolpaths(FRONT)
    gentle = tp.Tabs(width=6, height=0.6, count=1, slope_deg=3)
    (path,) = tp.contour(SHAPES["rounded"], INSERT, depth=THROUGH, tabs=gentle).toolpaths(FRONT)
    assert max(down / length for length, down, move in falls(path) if move.z < 0) <= tan(np.radians(3)) * (1 + 1e-6)


ASKED = [
    tp.Tabs(width=6, height=3, count=40),
    tp.Tabs(width=6, height=3, spacing=10),
    tp.Tabs(width=200, height=3, count=1),
    tp.Tabs(width=30, height=3, count=5),
    tp.Tabs(width=6, height=3, count=9, slope_deg=30),
]


@pytest.mark.parametrize("tabs", ASKED, ids=["too many", "too close", "too wide", "five wide", "long slopes"])
def test_tabs_that_find_no_room_say_which_would(tabs):
    """Each number told does fit, and the next one up does not."""
    with pytest.raises(tp.DoesNotFitError, match="find room on a path of 259 mm") as caught:
        tp.contour(SHAPES["square"], T6, depth=THROUGH, tabs=tabs).toolpaths(FRONT)
    told = dict(re.findall(r"(ask for|spacing of|make them) ([0-9]+(?:[.][0-9]+)?)", caught.value.message))

    def fits(**changed):
        try:
            tp.contour(SHAPES["square"], T6, depth=THROUGH, tabs=replace(tabs, **changed)).toolpaths(FRONT)
        except tp.DoesNotFitError:
            return False
        return True

    assert told
    if "ask for" in told:
        assert fits(count=int(told["ask for"])) and not fits(count=int(told["ask for"]) + 1)
    if "spacing of" in told:
        assert fits(spacing=float(told["spacing of"]))
    if "make them" in told:
        assert fits(width=float(told["make them"])) and not fits(width=float(told["make them"]) + 0.1)


def refused(tabs, shape=SHAPES["square"], **how):
    """The words with which a contour with these tabs is refused; none where it is not."""
    try:
        tp.contour(shape, T6, **{"depth": THROUGH, **how}, tabs=tabs).toolpaths(FRONT)
    except tp.DoesNotFitError as error:
        return error.message
    return ""


@pytest.mark.parametrize(("depth", "wood"), [(THROUGH, 18), (10.0, 10)])
def test_tabs_as_high_as_the_cut_is_deep_are_refused_with_the_height_that_does(depth, wood):
    words = refused(tp.Tabs(width=6, height=wood, count=2), depth=depth)

    assert f"no lower than the {wood} mm of wood" in words
    (enough,) = re.findall(r"([0-9.]+) mm is enough", words)
    assert not refused(tp.Tabs(width=6, height=float(enough), count=2), depth=depth)
    assert not refused(tp.Tabs(width=6, height=wood - 0.01, count=2), depth=depth)


def test_tabs_at_points_that_run_into_each_other_are_refused_with_what_would_do():
    """A tab takes its width and the cutter's, 12 mm of path, and 2 x 3.3 / tan(30), 11.43 mm, of slopes."""
    near = tp.Tabs(width=6, height=3, points=((60.0, 27.0), (80.0, 27.0)), slope_deg=30)
    words = refused(near)

    assert "20.0 mm of path from the tab at" in words and "a tab takes 23.4 mm" in words
    apart, wide, slope = (float(n) for n in re.findall(r"them ([0-9.]+) mm f|tabs ([0-9.]+) mm w|deg=([0-9]+)", words)
                          for n in n if n)  # fmt: skip
    assert not refused(replace(near, points=((60.0, 27.0), (80.1 + apart, 27.0))))
    assert not refused(replace(near, width=wide)) and refused(replace(near, width=wide + 0.1))
    assert not refused(replace(near, slope_deg=slope)) and refused(replace(near, slope_deg=slope - 1))
    assert refused(replace(near, points=((60.0, 27.0), (60.0, 27.0))))


def test_tab_at_a_point_longer_than_its_path_is_refused_with_what_would_do():
    """Round a circle of 13 mm radius there are 81.7 mm of path."""
    long = tp.Tabs(width=6, height=3, points=((100.0, 83.0),), slope_deg=5)
    words = refused(long, tp.circle(20, MIDDLE))

    assert "81.7 mm of path in all" in words
    (slope,) = re.findall(r"slope_deg=([0-9]+)", words)
    assert not refused(replace(long, slope_deg=float(slope)), tp.circle(20, MIDDLE))


@pytest.mark.parametrize("fixture", SIDES.values(), ids=SIDES)
def test_tab_at_a_point_far_from_the_path_is_refused(fixture):
    """It was put at the nearest place, wherever that was (once a fault)."""
    tabs = tp.Tabs(width=6, height=3, points=((70.0, 14.9),))
    with pytest.raises(tp.DoesNotFitError, match=r"is 12\.1 mm from the cutter's path, more than .* 12 mm") as caught:
        tp.contour(SHAPES["square"], T6, depth=THROUGH, tabs=tabs).toolpaths(fixture)
    at = fixture.place(shapely.Point(70, 14.9))
    assert caught.value.point == pytest.approx((at.x, at.y))
    assert len(tp.contour(SHAPES["square"], T6, depth=THROUGH, tabs=replace(tabs, points=((70.0, 15.1),)))
               .toolpaths(fixture)) == 1  # fmt: skip


@pytest.mark.parametrize(
    "wrong",
    [
        {"count": 0},
        {"count": 2, "spacing": 5.0},
        {"count": 2, "points": ((1.0, 2.0),)},
        {"count": -1},
        {"spacing": -3.0},
        {"count": 2, "width": 0.0},
        {"count": 2, "height": float("nan")},
        {"count": 2, "slope_deg": 0.5},
        {"points": ((1.0, 2.0, 3.0),)},
    ],
)
def test_tabs_wrong_number_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.Tabs(**{"width": 6, "height": 3, **wrong})
