"""Bored holes: their diameter, their helix, and which holes can be bored at all."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians, tan

import numpy as np
import pytest
import shapely
from pathcheck import (
    BOARD,
    DRILL3,
    FRONT,
    INSERT,
    SIDES,
    T6,
    Wood,
    axis,
    check_motion,
    run_text,
    segments,
    straight_down,
)

import toolpaths as tp

PLACES = [(40, 40), (140, 90)]


def test_bore_removes_the_cylinder():
    """pi Dh^2 d / 4: Dh = 12, d = 8: 904.778684 (reference 2.3)."""
    _, report = run_text([tp.bore([(100, 70)], 12, T6, depth=8)], cell=0.1)

    assert report.ok, str(report)
    assert report.stock.removed() == pytest.approx(904.778684, rel=0.003)
    assert report.stock.top.min() == pytest.approx(-8, abs=1e-5)


@pytest.mark.parametrize("diameter", [6.01, 7, 8, 10, 12])
@pytest.mark.parametrize("face", SIDES)
def test_bore_axis_keeps_within_the_hole_and_reaches_its_wall(diameter, face):
    fixture = SIDES[face]
    (path,) = tp.bore(PLACES, diameter, T6, depth=tp.through(0.3)).toolpaths(fixture)
    check_motion(path)
    places = axis(path, 0.05)
    middles = [fixture.place(shapely.Point(p)) for p in PLACES]
    away = np.min([np.hypot(places[:, 0] - m.x, places[:, 1] - m.y) for m in middles], axis=0)
    assert away.max() == pytest.approx((diameter - 6) / 2, abs=1e-6)
    assert places[:, 2].min() == pytest.approx(-BOARD.thickness - 0.3)


@pytest.mark.parametrize("diameter", [6.5, 8, 12])
def test_bore_bites_and_falls_no_more_than_the_cutter_allows(diameter):
    """Never deeper per turn than a pass; at the wall of the hole no steeper than the ramp angle."""
    (path,) = tp.bore([(100, 70)], diameter, T6, depth=9).toolpaths(FRONT)
    radius = (diameter - 6) / 2
    turns = [
        (z - move.z, abs(segment.sweep)) for segment, move, z in segments(path) if segment.sweep and z - move.z > 1e-9
    ]

    assert turns
    pitch = max(down / sweep * 2 * pi for down, sweep in turns)
    assert pitch <= min(T6.running.step_down, pi * diameter * tan(radians(T6.running.ramp_angle_deg))) * (1 + 1e-9)
    assert radius > 0 and max(depth for _, depth, _ in Wood().cut(path)) <= T6.running.step_down
    assert not [move for _, move in straight_down(path) if move.z < 0]


def test_bore_with_a_cutter_dead_at_its_centre_keeps_its_angle_on_its_own_path():
    (path,) = tp.bore([(100, 70)], 15, INSERT, depth=5).toolpaths(FRONT)
    slopes = [
        (z - move.z) / segment.length for segment, move, z in segments(path) if segment.sweep and z - move.z > 1e-9
    ]

    assert max(slopes) <= tan(radians(INSERT.running.ramp_angle_deg)) * (1 + 1e-9)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("face", SIDES)
def test_bore_runs_the_way_asked(direction, face):
    """Wood outside on the right of the travel when climbing: anticlockwise (reference 3.7, derived)."""
    (path,) = tp.bore([(60, 50)], 10, T6, depth=4, direction=direction).toolpaths(SIDES[face])

    turned = sum(segment.sweep for segment, move, z in segments(path) if move.z == z == -4)
    # One level round, and half a one on the way to the middle.
    assert turned == pytest.approx((1 if direction == "climb" else -1) * 3 * pi)


@pytest.mark.parametrize(
    ("diameter", "cutter", "fits"),
    [(6, T6, False), (5, T6, False), (6.001, T6, True), (12, T6, True), (12.001, T6, False),
     (11.9, INSERT, False), (12, INSERT, True), (16, INSERT, True)],
)  # fmt: skip
def test_bore_takes_holes_wider_than_the_cutter_up_to_twice_as_wide(diameter, cutter, fits):
    """D + c <= hole <= 2 D, c the dead centre (reference 2.4)."""
    if fits:
        assert tp.bore(PLACES, diameter, cutter, depth=3).toolpaths(FRONT)
        return
    wanted = r"cannot be bored .* drill\(\) for a smaller hole, pocket\(\)"
    if cutter is INSERT:
        wanted = r"in a hole of 12 mm, and finds one of 3\.90 .* Use a cutter that cuts at its centre"
    with pytest.raises(tp.DoesNotFitError, match=wanted) as caught:
        tp.bore(PLACES, diameter, cutter, depth=3)
    assert caught.value.point == (40, 40)


def test_bore_with_a_drill_is_refused():
    with pytest.raises(tp.InputError, match="does not cut sideways"):
        tp.bore(PLACES, 5, replace(DRILL3, number=9), depth=3)
