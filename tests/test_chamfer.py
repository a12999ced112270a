"""Chamfers: width as seen from above, slope of the cutter, and nothing of the edge left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from pathcheck import FRONT, MIDDLE, SIDES, T6, VEE, cells, check_motion, run_text, segments, turning
from shapely import box

import toolpaths as tp
from toolpaths.making.motion.toolpath import CUT

BLUNT = tp.Cutter(8, tp.v_point(10, 60, 1), feed_mm_min=1000, spindle_rpm=16000)


@pytest.mark.parametrize("cutter", [VEE, BLUNT], ids=str)
@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("face", SIDES)
def test_chamfer_is_as_wide_as_asked_and_sloped_like_the_cutter(cutter, side, face):
    """At a distance s < w inside the edge the wood is (w - s) / tan(angle / 2) down; beyond w untouched."""
    fixture = SIDES[face]
    shape = tp.circle(50, (90, 65), tolerance=0.001)
    _, report = run_text([tp.chamfer(shape, cutter, width=1.5, side=side)], fixture=fixture, cell=0.2)
    lay = fixture.place(shape)
    stock = report.stock
    x, y = np.meshgrid(stock.grid.xs(), stock.grid.ys())
    into = np.hypot(x - lay.centroid.x, y - lay.centroid.y) - 25.0
    into = -into if side == "outside" else into

    assert report.ok, str(report)
    slope = 1 / np.tan(np.radians(cutter.profile.angle_deg / 2))
    on = (into > 0.02) & (into < 1.48)
    assert on.sum() > 1000
    assert stock.top[on] == pytest.approx(-(1.5 - into[on]) * slope, abs=0.02 * slope)
    assert stock.top[into > 1.52].min() == 0


def test_chamfer_runs_past_the_edge_so_that_no_whisker_stays():
    _, report = run_text([tp.chamfer(tp.circle(50, MIDDLE), VEE, width=1.5)], cell=0.2)
    just_outside = tp.circle(50.9, MIDDLE) - tp.circle(50, MIDDLE)

    assert report.stock.top[cells(report.stock, just_outside)].max() < -1.49


def test_chamfer_goes_down_in_passes_that_the_cutter_bears():
    """A deep chamfer was cut in one pass, whatever the cutter's step_down (once a fault)."""
    careful = replace(VEE, step_down=0.75, deepest_pass=0.75)
    (path,) = tp.chamfer(tp.circle(50, MIDDLE), careful, width=1.5).toolpaths(FRONT)
    _, report = run_text([tp.chamfer(tp.circle(50, MIDDLE), careful, width=1.5)], cell=0.2)

    floors = {move.z for _, move, z in segments(path) if move.kind == CUT and move.z == z}
    assert sorted(floors) == pytest.approx([-2, -4 / 3, -2 / 3])
    assert report.ok, str(report)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_chamfer_runs_the_way_asked(direction, side):
    for fixture in SIDES.values():
        (path,) = tp.chamfer(tp.circle(50, MIDDLE), VEE, width=1.5, side=side, direction=direction).toolpaths(fixture)
        turn = turning(path, path.lowest)
        assert (turn > 0) == ((direction == "climb") == (side == "inside"))
        check_motion(path)


@pytest.mark.parametrize(
    ("shape", "side"),
    [
        (box(40, 40, 100, 100) - tp.circle(0.9, (70, 70)), "outside"),
        (box(40, 40, 40.8, 100), "inside"),
        (shapely.union_all([box(40, 40, 80, 80), box(120, 40, 120.9, 80)]), "inside"),
        (shapely.union_all([box(40, 40, 80, 80), box(80.8, 40, 120, 80)]), "outside"),
    ],
    ids=["hole", "slit", "second piece", "gap"],
)
def test_chamfer_of_an_edge_that_the_tip_cannot_follow_is_refused(shape, side):
    """An edge was left out in silence where another was cut (once a fault)."""
    with pytest.raises(tp.DoesNotFitError, match=f"finds no room {side} the shape near"):
        tp.chamfer(shape, VEE, width=1.5, side=side).toolpaths(FRONT)


def test_chamfer_takes_a_v_cutter_large_enough():
    with pytest.raises(tp.InputError, match="takes a V cutter; T1 flat 6 is none"):
        tp.chamfer(tp.circle(50), T6, width=1)
    with pytest.raises(tp.DoesNotFitError, match=r"at most 5\.5 fits"):
        tp.chamfer(tp.circle(50), VEE, width=5.6)
    assert tp.chamfer(tp.circle(50, MIDDLE), VEE, width=5.5).toolpaths(FRONT)


@pytest.mark.parametrize("wrong", [{"width": 0}, {"side": "on"}, {"direction": "both"}, {"from_depth": -0.1}], ids=str)
def test_chamfer_wrong_choice_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.chamfer(tp.circle(50), VEE, **{"width": 1, **wrong})


def test_chamfer_of_an_edge_inside_another_shape_is_refused():
    with pytest.raises(tp.ShapeError, match="lies wholly inside another"):
        tp.chamfer([tp.circle(20, MIDDLE), tp.rectangle(100, 70, MIDDLE)], VEE, width=1)
