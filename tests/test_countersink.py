"""Countersinks: the cone that a screw's head sits in, cut, judged, and refused where the cutter has another angle."""

from __future__ import annotations

import pickle
from dataclasses import replace
from math import radians, tan

import numpy as np
import pytest
from pathcheck import FRONT, SIDES

import toolpaths as tp

VEE = tp.Cutter(6, tp.v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
PLACES = [(60, 50), (140, 90)]


@pytest.mark.parametrize("face", SIDES)
def test_the_cone_has_the_heads_width_and_depth(face):
    """The heights of a cone in closed form, at places on rays from its axis."""
    fixture = SIDES[face]
    setup = tp.Setup(fixture, [tp.countersink(PLACES, VEE, screw=4)])
    report = tp.simulate(tp.program_text(setup), fixture, setup.cutters, cell=0.1, part=tp.intended_part(setup))
    assert report.ok, str(report)
    wood, checked = report.stock, 0
    for x, y in fixture.seen_from_front(np.array(PLACES, float)).tolist():
        for away in (0.0, 1.0, 2.5, 3.9, 4.3):
            row, column = wood.cell_at(x + away, y)
            centre = wood.grid.left + (column + 0.5) * wood.cell, wood.grid.low + (row + 0.5) * wood.cell
            at = np.hypot(centre[0] - x, centre[1] - y)
            assert wood.top[row, column] == pytest.approx(min(at - 4.0, 0.0), abs=1e-4)
            checked += 1
    assert checked == 10


@pytest.mark.parametrize("angle", [60, 82, 90, 120])
def test_depth_follows_from_width_and_angle(angle):
    """Source: the triangle under the head, (D - t) / 2 / tan(a / 2)."""
    pointed = tp.Cutter(6, tp.v_point(20, angle), feed_mm_min=1200, spindle_rpm=16000)
    blunt = replace(pointed, profile=tp.v_point(20, angle, 0.4))
    for cutter in (pointed, blunt):
        op = tp.countersink(PLACES, cutter, diameter=8.3, angle_deg=angle, from_depth=2)
        down = (8.3 - cutter.profile.tip_diameter) / 2 / tan(radians(angle / 2))
        assert op.depth == pytest.approx(2 + down, abs=1e-12)
        (path,) = op.toolpaths(FRONT)
        assert path.lowest == pytest.approx(-2 - down, abs=1e-12)
        wide = 2 * cutter.profile.radius_at(down)
        assert wide == pytest.approx(8.3, abs=1e-9), "as wide as the head, where the head is flush"


def test_a_seat_of_7_over_a_hole_of_3_5_is_1_75_deep():
    """Source: the same triangle, worked by hand."""
    cutter = tp.Cutter(6, tp.v_point(20, 90, 3.5), feed_mm_min=1200, spindle_rpm=16000)
    assert tp.countersink(PLACES, cutter, screw=3.5).depth == pytest.approx(1.75, abs=1e-12)


def test_a_countersink_is_a_value():
    one, other = (tp.countersink(PLACES, VEE, screw=4) for _ in range(2))
    assert one == other == pickle.loads(pickle.dumps(one))
    assert replace(one, diameter=10).depth == pytest.approx(5, abs=1e-12)
    assert one != replace(one, diameter=10)
    with pytest.raises(tp.DoesNotFitError, match="too narrow"):
        replace(one, diameter=12.5)


@pytest.mark.parametrize(
    ("how", "error", "words"),
    [
        ({}, tp.InputError, "one of screw= and diameter="),
        ({"screw": 4, "diameter": 8}, tp.InputError, "one of screw= and diameter="),
        ({"diameter": 8, "angle_deg": 82}, tp.DoesNotFitError, "cone of 90 degrees, and the head has 82"),
        ({"diameter": 13}, tp.DoesNotFitError, "too narrow"),
        ({"screw": 0}, tp.InputError, "greater than 0"),
        ({"diameter": 8, "from_depth": -1}, tp.InputError, "must not be negative"),
    ],
    ids=lambda value: value if isinstance(value, str) else None,
)
def test_what_cannot_be_cut_is_refused(how, error, words):
    with pytest.raises(error, match=words):
        tp.countersink(PLACES, VEE, **how)


def test_a_flat_cutter_makes_no_countersink():
    with pytest.raises(tp.InputError, match="takes a V cutter"):
        tp.countersink(PLACES, tp.Cutter(1, tp.flat(6), 1500, 18000), screw=4)


@pytest.mark.parametrize(("deeper", "code"), [(0.2, "gouge"), (-0.2, "leftover")])
def test_a_head_that_would_not_be_flush_is_found(deeper, code):
    setup = tp.Setup(FRONT, [tp.countersink(PLACES, VEE, screw=4)])
    text = tp.program_text(setup)
    wrong = text.replace("Z-4 ", f"Z{-4 - deeper:g} ")
    assert wrong != text
    report = tp.simulate(wrong, FRONT, setup.cutters, part=tp.intended_part(setup))
    assert code in report.codes()


@pytest.mark.parametrize(
    ("gauge", "inches"), [("#4", 0.225), ("#6", 0.279), ("#8", 0.332), ("#10", 0.385), ("#12", 0.438)]
)
def test_a_gauge_has_the_widest_head_that_is_published_over_82_degrees(gauge, inches):
    """Source: a maker's table of flat heads; the depth over a hole of .164 in is (D - d) / 2 / tan 41."""
    vee = tp.Cutter(6, tp.v_point(20, 82, 0.164 * 25.4), feed_mm_min=1200, spindle_rpm=16000)
    sunk = tp.countersink(PLACES, vee, screw=gauge)
    assert (sunk.diameter, sunk.angle_deg) == (pytest.approx(inches * 25.4, abs=1e-6), 82.0)
    assert sunk.depth == pytest.approx((inches - 0.164) * 25.4 / 2 / tan(radians(41)), abs=1e-6)
    if gauge == "#8":
        assert sunk.depth == pytest.approx(2.4543, abs=2e-4), "by hand"


def test_a_tool_of_90_degrees_does_not_seat_a_head_of_82():
    with pytest.raises(tp.DoesNotFitError, match="90 degrees, and the head has 82"):
        tp.countersink(PLACES, VEE, screw="#8")
    assert tp.countersink(PLACES, VEE, screw="#8", angle_deg=90).angle_deg == 90.0, "where the user says so"


@pytest.mark.parametrize("screw", ["#3", "8", "M4", ""])
def test_a_screw_that_is_not_listed_is_refused_with_those_that_are(screw):
    with pytest.raises(tp.InputError, match="#4, #5, #6, #7, #8, #9, #10, #12"):
        tp.countersink(PLACES, VEE, screw=screw)
