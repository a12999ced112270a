"""Rings, curved slots, holes with a key or a flat: areas from closed formulas, sizes as a calliper has them."""

from __future__ import annotations

from math import acos, pi, sqrt

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.plain_shapes import slot
from toolpaths.shapes.round_shapes import arc_slot, flatted_hole, keyed_hole, ring, slot_along

FINE = 1e-4


@given(outer=st.floats(10, 200), share=st.floats(0.05, 0.95))
def test_ring_area(outer, share):
    area = pi / 4 * outer**2 * (1 - share**2)
    assert ring(outer, outer * share, tolerance=FINE).area == pytest.approx(area, abs=2 * pi * outer * FINE)


@given(radius=st.floats(8, 100), width=st.floats(1, 12), start=st.floats(-180, 180), sweep=st.floats(-250, 250))
def test_arc_slot_is_what_a_disc_covers_along_the_arc(radius, width, start, sweep):
    """Width times the middle's length, and a disc for the two ends (Pappus)."""
    if abs(sweep) < 1:
        return
    shape = arc_slot((3, 4), radius, width, start_deg=start, sweep_deg=sweep, tolerance=FINE)
    area = width * radius * abs(sweep) * pi / 180 + pi * width**2 / 4
    assert shape.is_valid
    assert shape.exterior.is_ccw
    assert shape.area == pytest.approx(area, abs=(2 * radius * 7 + 4 * width) * FINE)


def test_slots_along_lines_are_slots():
    drawn = slot((0, 0), (40, 0), 6, tolerance=FINE)
    assert shapely.hausdorff_distance(slot_along([(0, 0), (40, 0)], 6, tolerance=FINE), drawn) < 0.01
    bow = Outline((20, 0)).arc_to((0, 20), centre=(0, 0))
    exact = arc_slot((0, 0), 20, 6, start_deg=0, sweep_deg=90)
    assert slot_along(bow, 6).symmetric_difference(exact).area < 0.2
    closed = slot_along(shapely.LineString([(0, 0), (40, 0), (40, 40), (0, 0)]), 4)
    assert len(closed.interiors) == 1


@given(diameter=st.floats(5, 60), key=st.floats(0.1, 0.9), angle=st.floats(-180, 180))
def test_keyed_hole_measures_across_as_given(diameter, key, angle):
    """Key and hole: the disc, and a rectangle from the mouth of the keyway, less the disc's cap there."""
    width, across = diameter * key, diameter * 1.15
    shape = keyed_hole(diameter, width, across, (10, 20), angle_deg=angle, tolerance=FINE)
    radius, half = diameter / 2, width / 2
    mouth = sqrt(radius**2 - half**2)
    cap = radius**2 * acos(mouth / radius) - mouth * half
    area = pi * radius**2 - cap + width * (across - radius - mouth)
    assert shape.area == pytest.approx(area, abs=2 * pi * diameter * FINE)
    assert keyed_hole(diameter, width, across).bounds[2::-2] == pytest.approx((across - radius, -radius))


@given(diameter=st.floats(3, 60), share=st.floats(0.55, 0.98), angle=st.floats(-180, 180))
def test_flatted_hole_is_a_disc_without_a_cap(diameter, share, angle):
    radius, flat = diameter / 2, diameter * share - diameter / 2
    shape = flatted_hole(diameter, diameter * share, angle_deg=angle, tolerance=FINE)
    cap = radius**2 * acos(flat / radius) - flat * sqrt(radius**2 - flat**2)
    assert shape.area == pytest.approx(pi * radius**2 - cap, abs=2 * pi * diameter * FINE)


BAD = [
    (ring, (40, 40), {}, "inner_diameter=40 must be less"),
    (arc_slot, ((0, 0), 10, 20), {"start_deg": 0, "sweep_deg": 90}, "width=20 must be less than twice the radius, 20"),
    (arc_slot, ((0, 0), 10, 10), {"start_deg": 0, "sweep_deg": 300}, "less than 300.00 degrees would go"),
    (arc_slot, ((0, 0), 10, 4), {"start_deg": 0, "sweep_deg": 0}, "sweep_deg=0 is no slot but a round hole"),
    (keyed_hole, (20, 20, 22), {}, "key_width=20 must be less"),
    (keyed_hole, (20, 6, 19), {}, "leaves no keyway; more than 19.539 would"),
    (flatted_hole, (20, 20), {}, "must be less than the diameter"),
    (slot_along, ([(0, 0)], 4), {}, "at least 2 points"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_round_shapes_refuse_what_cannot_be(function, arguments, options, message):
    with pytest.raises((InputError, ShapeError)) as caught:
        function(*arguments, **options)
    assert message in str(caught.value)
