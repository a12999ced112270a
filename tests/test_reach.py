"""Where the axis of a round cutter may be: not beyond, all that is deep enough, and a thread where it is snug."""

from __future__ import annotations

from math import cos, sqrt

import numpy as np
import pytest
import shapely
from catalogue import SHAPES, inradius
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, box

import toolpaths as tp
from toolpaths.shapes.offset import reach, wall
from toolpaths.shapes.plain_shapes import slot
from toolpaths.shapes.tolerance_shares import OFFSET, SIMPLIFY, SNUG

TOLERANCE = 0.01
names = st.sampled_from(sorted(SHAPES))


@pytest.mark.sample(28, long=60)
@pytest.mark.parametrize("tolerance", [0.002, 0.01, 0.1])
@pytest.mark.parametrize("radius", [0.5, 1.0, 2.0, 3.0, 6.35])
@pytest.mark.parametrize("name", SHAPES)
def test_reach_is_all_that_is_a_radius_deep_and_nothing_beyond(name, radius, tolerance):
    """Law of never gouging: centre to edge at least the radius, less SNUG and the engine's shares."""
    shape, slack = SHAPES[name], tolerance * (SNUG + SIMPLIFY + OFFSET)
    centres = reach(shape, radius, tolerance)

    assert centres.is_empty == (inradius(shape) < radius - 0.002)
    deep = shapely.buffer(shape, -radius - tolerance, quad_segs=64)
    assert shapely.difference(deep, shapely.buffer(centres, tolerance)).is_empty
    if not centres.is_empty:
        along = shapely.points(shapely.get_coordinates(shapely.segmentize(centres.boundary, 0.5)))
        edge = shapely.boundary(shape)
        shapely.prepare(edge)
        assert shapely.covers(shapely.buffer(shape, 1e-9), centres)
        assert shapely.distance(edge, along).min() >= radius - slack


@given(name=names, radius=st.floats(0.5, 12), more=st.floats(0, 6))
def test_reach_of_a_larger_cutter_lies_within_that_of_a_smaller(name, radius, more):
    fine, coarse = reach(SHAPES[name], radius, TOLERANCE), reach(SHAPES[name], radius + more, TOLERANCE)

    assert not fine.is_empty or inradius(SHAPES[name]) < radius
    assert not coarse.is_empty or inradius(SHAPES[name]) < radius + more
    assert shapely.difference(coarse, shapely.buffer(fine, TOLERANCE)).is_empty
    assert coarse.area <= fine.area + TOLERANCE * (fine.length + 1)


@given(name=names, grown=st.floats(0.05, 5), radius=st.floats(0.5, 8))
def test_reach_grows_with_the_area(name, grown, radius):
    inner, outer = SHAPES[name], shapely.buffer(SHAPES[name], grown)

    one, other = reach(inner, radius, TOLERANCE), reach(outer, radius, TOLERANCE)
    assert not one.is_empty or inradius(inner) < radius
    assert shapely.difference(one, shapely.buffer(other, TOLERANCE)).is_empty
    assert other.area > one.area or other.is_empty


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.1])
def test_reach_in_a_slot_as_wide_as_the_cutter_is_a_thread_along_its_middle(angle):
    end = (50 * cos(angle), 50 * np.sin(angle))
    thread = reach(slot((0, 0), end, 6), 3, TOLERANCE)

    middle = LineString([(0, 0), end])
    assert not thread.is_empty
    assert shapely.hausdorff_distance(thread, middle) <= 2 * TOLERANCE
    assert thread.area <= 50 * 2 * SNUG * TOLERANCE
    assert reach(slot((0, 0), end, 6 - 2 * TOLERANCE), 3, TOLERANCE).is_empty


@pytest.mark.parametrize("width", [3.0, 6.0, 6.35])
def test_a_slot_as_wide_as_the_cutter_is_reached_along_its_middle(width: float) -> None:
    """The thread runs from end to end of the slot, and no wider than the SNUG share."""
    thread = reach(tp.slot((0, 0), (50, 20), width), width / 2, TOLERANCE)
    middle = shapely.LineString([(0, 0), (50, 20)])
    assert middle.within(thread.buffer(TOLERANCE / 2))
    assert thread.within(middle.buffer(TOLERANCE / 2))
    assert reach(tp.slot((0, 0), (50, 20), width), width / 2 + TOLERANCE, TOLERANCE).is_empty


def test_a_relief_of_the_cutters_radius_is_reached() -> None:
    """The axis comes to the middle of each relief circle, r / sqrt 2 from both walls (derived)."""
    centres = reach(tp.relieve_corners(box(0, 0, 40, 30), 1.5), 1.5, TOLERANCE)
    inset = 1.5 / sqrt(2)
    for x in (inset, 40 - inset):
        for y in (inset, 30 - inset):
            assert centres.distance(shapely.Point(x, y)) < TOLERANCE


def test_reach_passes_a_neck_as_wide_as_the_cutter():
    """Two rooms joined by a passage 6 wide are one for a cutter of 6, two for one of 6.02."""
    rooms = shapely.union_all([box(0, 0, 30, 30), box(29, 12, 51, 18), box(50, 0, 80, 30)])

    assert isinstance(reach(rooms, 3, TOLERANCE), Polygon)
    assert len(shapely.get_parts(reach(rooms, 3.01, TOLERANCE))) == 2


@pytest.mark.parametrize("name", ["square", "L", "comb", "two islands", "circle"])
def test_reach_where_nothing_is_snug_is_the_plain_offset(name):
    assert reach(SHAPES[name], 2, TOLERANCE).equals(wall(SHAPES[name], -2, TOLERANCE))
