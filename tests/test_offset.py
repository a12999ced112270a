"""Offsets and reach: measured against the distance to the shape, closed formulas and a second engine."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from samples import examples
from toolpaths.shapes import tolerance as share
from toolpaths.shapes.offset import reach, wall

TOLERANCE = 0.01
TURNS = np.arange(10) * np.pi / 5
STAR = Polygon(np.column_stack([np.cos(TURNS), np.sin(TURNS)]) * np.where(np.arange(10) % 2, 18, 45)[:, None])
SHAPES = {
    "square": box(0, 0, 40, 40),
    "L": Polygon([(0, 0), (60, 0), (60, 25), (25, 25), (25, 70), (0, 70)]),
    "star": STAR,
    "comb": shapely.union_all([box(0, 0, 90, 12), *[box(x, 10, x + 9, 50) for x in range(0, 90, 16)]]),
    "circle": tp.circle(50),
    "ring": tp.circle(80).difference(tp.circle(40, (5, 3))),
    "two islands": box(0, 0, 100, 60).difference(shapely.union(tp.circle(20, (30, 30)), box(60, 20, 80, 45))),
    "two pieces": shapely.union(box(0, 0, 30, 30), box(31, 0, 60, 30)),
    "thin neck": shapely.union_all([box(0, 0, 30, 30), box(29, 13, 51, 17), box(50, 0, 80, 30)]),
    "ellipse": tp.ellipse(90, 30),
    "relieved": tp.relieve_corners(tp.rectangle(84, 60), 1.5),
    "shallow dent": Polygon([(0, 0), (100, 0), (100, 50), (52, 50), (50, 49.9), (48, 50), (0, 50)]),
}
DISTANCES = [0.2, 1.5, 3.175, 12, -0.2, -1.0, -3.175, -6]


def _outside(shape: BaseGeometry) -> BaseGeometry:
    return shape.envelope.buffer(30).difference(shape)


@pytest.mark.parametrize("distance", DISTANCES)
@pytest.mark.parametrize("name", SHAPES)
def test_every_point_of_a_wall_lies_at_the_distance(name: str, distance: float) -> None:
    """Vertices and the chords between them keep the distance to the shape within the shares (definition)."""
    shape = SHAPES[name]
    moved = wall(shape, distance, TOLERANCE)
    assert not moved.is_empty or distance < 0
    edge = shapely.get_coordinates(shapely.segmentize(moved.boundary, 0.2))
    away = shapely.distance(shapely.points(edge), shape if distance > 0 else _outside(shape))
    allowed = TOLERANCE * (share.OFFSET + share.SIMPLIFY) + 1e-5
    assert np.abs(away - abs(distance)).max(initial=0.0) <= allowed


@pytest.mark.parametrize("distance", DISTANCES)
@pytest.mark.parametrize("name", SHAPES)
def test_no_part_of_a_wall_is_missing(name: str, distance: float) -> None:
    """Points a little nearer than the distance are inside, points a little farther outside (definition)."""
    shape = SHAPES[name]
    moved = wall(shape, distance, TOLERANCE)
    left, low, right, high = shape.buffer(15).bounds
    places = np.random.default_rng(7).uniform((left, low), (right, high), (4000, 2))
    dots = shapely.points(places)
    depth = shapely.distance(dots, shape) - shapely.distance(dots, _outside(shape))
    clear = np.abs(depth - distance) > TOLERANCE
    assert clear.sum() > 3000
    np.testing.assert_array_equal(shapely.contains(moved, dots[clear]), depth[clear] < distance)


@pytest.mark.parametrize("name", sorted(set(SHAPES) - {"relieved", "shallow dent"}))
@pytest.mark.parametrize("distance", DISTANCES)
def test_a_second_engine_agrees(name: str, distance: float) -> None:
    """GEOS, which shares no code with pyclipper, gives the same area; it smooths over dents, left out here."""
    ours, theirs = wall(SHAPES[name], distance, TOLERANCE), SHAPES[name].buffer(distance, quad_segs=128)
    assert ours.area == pytest.approx(theirs.area, abs=(theirs.length + 1) * TOLERANCE / 2)


@pytest.mark.parametrize(
    ("shape", "r", "area", "length"),
    [
        (box(0, 0, 1, 1), 1, 8.141593, 10.283185),
        (box(0, 0, 100, 60), 3.175, 7047.669217, 339.949113),
        (Polygon([(0, 0), (40, 0), (0, 30)]), 5, 1278.539816, 151.415927),
    ],
)
def test_outward_area_and_length_of_convex_shapes(shape: Polygon, r: float, area: float, length: float) -> None:
    """A' = A + L r + pi r^2, L' = L + 2 pi r (Steiner; any text on convex geometry)."""
    moved = tp.offset(shape, r)
    assert moved.area == pytest.approx(area, abs=length * TOLERANCE / 2)
    assert moved.length == pytest.approx(length, abs=2 * pi * TOLERANCE)


def test_inward_area_and_length() -> None:
    """A - L r + r^2 sum cot(theta/2), corners sharp (derived)."""
    apart = 4e-5  # whole-number grain of 1e-5 mm: three to keep edges off each other, one of rounding
    moved = tp.offset(box(0, 0, 100, 60), -3.175)
    assert moved.area == pytest.approx(5024.3225, abs=294.6 * apart)
    assert moved.length == pytest.approx(294.6, abs=8 * apart)
    assert tp.offset(Polygon([(0, 0), (40, 0), (0, 30)]), -5).area == pytest.approx(150, abs=60 * apart)


def test_nothing_left_is_an_error_with_its_place() -> None:
    """A 30-40-50 triangle vanishes at its inradius of 10 (derived)."""
    with pytest.raises(tp.ShapeError, match="nothing is left") as caught:
        tp.offset(Polygon([(0, 0), (40, 0), (0, 30)]), -10.1)
    assert caught.value.point == pytest.approx((40 / 3, 10))


@pytest.mark.parametrize("name", SHAPES)
def test_a_cutter_within_reach_stays_inside(name: str) -> None:
    """A disc about any place in reach passes the area's edge by the SNUG share at most."""
    for radius in (1.0, 2.0, 3.0):
        centres = reach(SHAPES[name], radius, TOLERANCE)
        if centres.is_empty:
            continue
        edge = shapely.points(shapely.get_coordinates(centres))
        room = shapely.distance(edge, _outside(SHAPES[name]))
        assert room.min() >= radius - TOLERANCE * (share.SNUG + share.SIMPLIFY) - 1e-5


@examples(25)
@given(st.sampled_from(sorted(SHAPES)), st.floats(0.5, 4), st.floats(0.05, 3))
def test_a_larger_cutter_reaches_no_further(name: str, radius: float, more: float) -> None:
    """Where the larger axis may go the smaller one may go too."""
    small, large = reach(SHAPES[name], radius, TOLERANCE), reach(SHAPES[name], radius + more, TOLERANCE)
    # GEOS says of nothing that it is covered by nothing.
    assert large.is_empty or small.buffer(TOLERANCE).covers(large)


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


def test_shapes_given_are_not_changed_and_order_of_vertices_does_not_matter() -> None:
    """Winding and first vertex leave the result as it is."""
    ring = np.array(SHAPES["L"].exterior.coords)[:-1]
    first = tp.offset(Polygon(ring), -2)
    for turned in (ring[::-1], np.roll(ring, 3, axis=0)):
        before = turned.copy()
        assert tp.offset(Polygon(turned), -2).symmetric_difference(first).area < 1e-6
        np.testing.assert_array_equal(turned, before)
