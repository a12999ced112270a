"""Openings, corners left and the reach of a round cutter, on a catalogue of odd shapes and by closed formulas."""

from __future__ import annotations

from math import cos, pi, tan

import numpy as np
import pytest
import shapely
from catalogue import SHAPES
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes import tolerance as share
from toolpaths.shapes.offset import offset, reach, wall
from toolpaths.shapes.plain_shapes import slot

TOLERANCE = 0.01


def edge_by_edge(shape: BaseGeometry, distance: float) -> BaseGeometry:
    """The offset by its definition: each edge grown alone by GEOS, which smooths over dents of a whole ring."""
    corners = [shapely.get_coordinates(ring) for ring in shapely.get_parts(shapely.boundary(shape))]
    edges = [shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1)) for ring in corners]
    band = shapely.union_all(shapely.buffer(np.concatenate(edges), abs(distance), quad_segs=80))
    return shapely.union(shape, band) if distance > 0 else shapely.difference(shape, band)


def vertices_off(one: BaseGeometry, other: BaseGeometry) -> float:
    """How far the vertex of one outline farthest from the other is from it."""
    return float(shapely.distance(shapely.points(shapely.get_coordinates(one)), shapely.boundary(other)).max())


@pytest.mark.parametrize("distance", [-6.0, -3.175, -0.02, 1.0, 12.0])
@pytest.mark.parametrize("name", SHAPES)
def test_wall_agrees_with_a_second_engine(name, distance):
    """Every vertex of pyclipper's lies within the tolerance of GEOS's outline, and the other way round."""
    ours, theirs = wall(SHAPES[name], distance, TOLERANCE), edge_by_edge(SHAPES[name], distance)

    assert ours.is_empty == theirs.is_empty
    if not ours.is_empty:
        assert vertices_off(ours, theirs) <= TOLERANCE
        assert vertices_off(theirs, ours) <= TOLERANCE
        assert ours.area == pytest.approx(theirs.area, abs=TOLERANCE * theirs.length)


def test_offset_is_compared_on_shapes_that_are_left():
    """Guards the comparison above: it must not have been of nothing with nothing."""
    left = sum(not wall(shape, -3.175, TOLERANCE).is_empty for shape in SHAPES.values())
    assert left >= len(SHAPES) - 1


@pytest.mark.parametrize("distance", [-3.0, 3.0, 20.0])
@pytest.mark.parametrize("name", SHAPES)
def test_offset_moves_every_point_of_the_edge_by_the_distance(name, distance):
    """Definition of an offset: the new edge lies at the distance from the old one, all along its chords."""
    shape = SHAPES[name]
    moved = wall(shape, distance, TOLERANCE)

    if not moved.is_empty:
        along = shapely.points(shapely.get_coordinates(shapely.segmentize(shapely.boundary(moved), 0.5)))
        assert np.abs(shapely.distance(along, shapely.boundary(shape)) - abs(distance)).max() <= TOLERANCE / 2


@given(corner=st.tuples(st.floats(5, 60), st.floats(5, 60)), share_of=st.floats(0.01, 0.97))
def test_inward_offset_vanishes_at_the_inradius(corner, share_of):
    """Inradius 2A/L of a triangle (any geometry text); what is left of it is similar to it."""
    triangle = Polygon([(0, 0), (70, 0), corner])
    inradius = 2 * triangle.area / triangle.length
    left = offset(triangle, -share_of * inradius, tolerance=1e-5)

    assert left.area == pytest.approx(triangle.area * (1 - share_of) ** 2, abs=1e-4 * triangle.length)
    with pytest.raises(ShapeError, match="nothing is left") as caught:
        offset(triangle, -1.001 * inradius, tolerance=1e-5)
    assert shapely.distance(triangle, shapely.Point(caught.value.point)) == 0
    assert all(type(c) is float for c in caught.value.point)


@pytest.mark.parametrize("name", SHAPES)
def test_opening_lies_inside_and_is_its_own_opening(name):
    """The part swept by a disc is inside the shape and idempotent (openings, any text on morphology)."""
    shape = SHAPES[name]

    def opened(area: BaseGeometry, radius: float) -> BaseGeometry:
        return wall(wall(area, -radius, TOLERANCE), radius, TOLERANCE)

    fine, coarse = opened(shape, 1.5), opened(shape, 6)
    assert shapely.difference(fine, shapely.buffer(shape, TOLERANCE)).is_empty
    assert shapely.difference(coarse, shapely.buffer(fine, 2 * TOLERANCE)).is_empty
    again = opened(fine, 1.5)
    assert shapely.difference(again, shapely.buffer(fine, TOLERANCE)).is_empty
    assert fine.area - again.area <= TOLERANCE * fine.length
    assert coarse.area <= fine.area + TOLERANCE * fine.length
    assert fine.area > 0


@pytest.mark.parametrize(
    ("degrees", "factor"), [(30, 2.423054), (45, 1.236116), (60, 0.684853), (90, 0.214602), (120, 0.053751)]
)
def test_a_round_cutter_leaves_the_known_area_in_a_corner(degrees, factor):
    """r^2 (cot(angle/2) - (pi - angle)/2) at each corner of a rhombus (derived from a sector and a kite)."""
    half, r = np.radians(degrees) / 2, 3.0
    rhombus = Polygon([(-100 * cos(half), 0), (0, -100 * np.sin(half)), (100 * cos(half), 0), (0, 100 * np.sin(half))])
    other = 1 / tan(pi / 2 - half) - half
    left = rhombus.area - wall(wall(rhombus, -r, 1e-4), r, 1e-4).area

    assert 1 / tan(half) - (pi / 2 - half) == pytest.approx(factor, abs=1e-6)
    assert left == pytest.approx(2 * r * r * (factor + other), abs=1e-3)


def test_rest_after_a_coarse_cutter():
    """100 x 60: radius 6 opens 5969.097336, radius 3 opens 5992.274334 mm2 (derived)."""
    shape = box(0, 0, 100, 60)
    coarse, fine = (wall(wall(shape, -r, 1e-4), r, 1e-4) for r in (6, 3))

    assert coarse.area == pytest.approx(5969.097336, abs=2e-3)
    assert fine.area == pytest.approx(5992.274334, abs=2e-3)
    assert fine.length == pytest.approx(314.849556, abs=1e-3)


def test_offset_takes_holes_the_other_way():
    ring = SHAPES["ring with a hole"]
    moved = offset(ring, -3)

    r, hole = 40 - 3, 20 + 3
    assert moved.area == pytest.approx(pi * (r**2 - hole**2), abs=TOLERANCE * 2 * pi * (r + hole))
    assert offset(box(0, 0, 10, 10), 0).equals(box(0, 0, 10, 10))


@given(name=st.sampled_from(sorted(SHAPES)), radius=st.floats(0.5, 12), tolerance=st.sampled_from([0.002, 0.01, 0.1]))
def test_reach_never_lets_the_cutter_out_by_more_than_its_share(name, radius, tolerance):
    """Law of never gouging: centre to edge at least the radius, less SNUG and the engine's shares."""
    shape = SHAPES[name]
    centres = reach(shape, radius, tolerance)

    if not centres.is_empty:
        along = shapely.points(shapely.get_coordinates(shapely.segmentize(centres.boundary, 0.5)))
        assert shapely.covers(shapely.buffer(shape, 1e-9), centres)
        least = shapely.distance(along, shapely.boundary(shape)).min()
        assert least >= radius - tolerance * (share.SNUG + share.SIMPLIFY + share.OFFSET)


@given(name=st.sampled_from(sorted(SHAPES)), radii=st.tuples(st.floats(0.5, 12), st.floats(0.5, 12)))
def test_reach_of_a_larger_cutter_lies_within_that_of_a_smaller(name, radii):
    small, large = sorted(radii)
    fine, coarse = reach(SHAPES[name], small, TOLERANCE), reach(SHAPES[name], large, TOLERANCE)

    assert shapely.difference(coarse, shapely.buffer(fine, TOLERANCE)).is_empty
    assert coarse.area <= fine.area + TOLERANCE * (fine.length + 1)


@given(name=st.sampled_from(sorted(SHAPES)), grown=st.floats(0.05, 5), radius=st.floats(0.5, 8))
def test_reach_grows_with_the_area(name, grown, radius):
    inner, outer = SHAPES[name], shapely.buffer(SHAPES[name], grown)

    one, other = reach(inner, radius, TOLERANCE), reach(outer, radius, TOLERANCE)
    assert shapely.difference(one, shapely.buffer(other, TOLERANCE)).is_empty


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.1])
def test_reach_in_a_slot_as_wide_as_the_cutter_is_a_thread_along_its_middle(angle):
    end = (50 * cos(angle), 50 * np.sin(angle))
    thread = reach(slot((0, 0), end, 6), 3, TOLERANCE)

    middle = LineString([(0, 0), end])
    assert not thread.is_empty
    assert shapely.hausdorff_distance(thread, middle) <= 2 * TOLERANCE
    assert thread.area <= 50 * 2 * share.SNUG * TOLERANCE
    assert reach(slot((0, 0), end, 6 - 2 * TOLERANCE), 3, TOLERANCE).is_empty


def test_reach_passes_a_neck_as_wide_as_the_cutter():
    """Two rooms joined by a passage 6 wide are one for a cutter of 6, two for one of 6.02."""
    rooms = shapely.union_all([box(0, 0, 30, 30), box(29, 12, 51, 18), box(50, 0, 80, 30)])

    assert isinstance(reach(rooms, 3, TOLERANCE), Polygon)
    assert len(shapely.get_parts(reach(rooms, 3.01, TOLERANCE))) == 2


@pytest.mark.parametrize("name", ["square", "L", "comb", "two islands", "circle"])
def test_reach_where_nothing_is_snug_is_the_plain_offset(name):
    assert reach(SHAPES[name], 2, TOLERANCE).equals(wall(SHAPES[name], -2, TOLERANCE))


@pytest.mark.parametrize(
    ("shape", "distance", "options", "message"),
    [
        (box(0, 0, 9, 9), float("nan"), {}, "distance=nan"),
        (box(0, 0, 9, 9), "3", {}, "distance='3'"),
        (box(0, 0, 9, 9), 1, {"tolerance": 0}, "tolerance=0"),
        (LineString([(0, 0), (1, 1)]), 1, {}, "has no area"),
        ("square", 1, {}, "must be a shapely geometry"),
        (box(0, 0, 9, 9), -5, {}, "nothing is left of the shape at (4.500, 4.500)"),
    ],
)
def test_offset_refuses_bad_arguments(shape, distance, options, message):
    with pytest.raises((InputError, ShapeError)) as caught:
        offset(shape, distance, **options)
    assert message in str(caught.value)
