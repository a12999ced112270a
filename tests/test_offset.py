"""Offsets of areas: measured against the distance to the shape, closed formulas and a second engine."""

from __future__ import annotations

from math import cos, pi, tan

import numpy as np
import pytest
import shapely
from catalogue import SHAPES, inradius
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from toolpaths.base import long_outlines
from toolpaths.base.errors import InputError, ShapeError
from toolpaths.base.long_outlines import buffered
from toolpaths.shapes import door
from toolpaths.shapes.offset import offset, reach, wall
from toolpaths.shapes.tolerance_shares import OFFSET, SIMPLIFY

TOLERANCE = 0.01
DISTANCES = [0.2, 1.5, 3.175, 12, 20, -0.02, -0.2, -1.0, -3.175, -6]


def depths(points: np.ndarray, shape: BaseGeometry) -> np.ndarray:
    """How far outside a shape points are, negative inside."""
    edge = shape.boundary
    shapely.prepare([shape, edge])
    return shapely.distance(edge, points) * np.where(shapely.contains(shape, points), -1, 1)


@pytest.fixture
def in_runs(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    """Rings of any length go in runs, as long ones do, or none."""
    monkeypatch.setattr(long_outlines, "_LONG", 4 if request.param else 10**9)


@pytest.mark.sample(14, long=40)
@pytest.mark.parametrize("in_runs", [False, True], indirect=True)
@pytest.mark.parametrize("distance", DISTANCES)
@pytest.mark.parametrize("name", SHAPES)
def test_every_point_of_a_wall_lies_at_the_distance(name: str, distance: float, in_runs: None) -> None:
    """Vertices and the chords between them keep the distance to the shape within the shares (definition)."""
    shape = SHAPES[name]
    moved = wall(shape, distance, TOLERANCE)
    assert moved.is_empty == (inradius(shape) < -distance)
    edge = shapely.points(shapely.get_coordinates(shapely.segmentize(moved.boundary, 0.2)))
    allowed = TOLERANCE * (OFFSET + SIMPLIFY) + 1e-5
    assert np.abs(depths(edge, shape) - distance).max(initial=0.0) <= allowed


@pytest.mark.sample(16, long=40)
@pytest.mark.parametrize("in_runs", [False, True], indirect=True)
@pytest.mark.parametrize("distance", DISTANCES)
@pytest.mark.parametrize("name", SHAPES)
def test_no_part_of_a_wall_is_missing(name: str, distance: float, in_runs: None) -> None:
    """Points a little nearer than the distance are inside, points a little farther outside (definition)."""
    shape = SHAPES[name]
    moved = wall(shape, distance, TOLERANCE)
    left, low, right, high = shape.buffer(15).bounds
    places = np.random.default_rng(7).uniform((left, low), (right, high), (4000, 2))
    dots = shapely.points(places)
    depth = depths(dots, shape)
    clear = np.abs(depth - distance) > TOLERANCE
    shapely.prepare(moved)
    assert clear.sum() > 3000
    np.testing.assert_array_equal(shapely.contains(moved, dots[clear]), depth[clear] < distance)


def edge_by_edge(shape: BaseGeometry, distance: float) -> BaseGeometry:
    """The offset by its definition: each edge grown alone by GEOS, which smooths over dents of a whole ring."""
    corners = [shapely.get_coordinates(ring) for ring in shapely.get_parts(shapely.boundary(shape))]
    edges = [shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1)) for ring in corners]
    band = shapely.union_all(shapely.buffer(np.concatenate(edges), abs(distance), quad_segs=80))
    return shapely.union(shape, band) if distance > 0 else shapely.difference(shape, band)


@pytest.mark.long
def test_a_long_rough_outline_in_runs_is_that_in_one_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.2 mm to either side of a curve, in chords far shorter than the distance."""
    turns = np.arange(900) * 2 * np.pi / 900
    far = 12 * (1 + 0.1 * np.sin(3 * turns)) + np.random.default_rng(3).uniform(-0.2, 0.2, len(turns))
    rough = Polygon(np.column_stack([far * np.cos(turns), far * np.sin(turns)]))
    for distance in (2.0, -2.0):
        found = []
        for long in (300, 10**9):
            monkeypatch.setattr(long_outlines, "_LONG", long)
            found.append((wall(rough, distance, TOLERANCE), buffered(rough, distance, quad_segs=80)))
        assert shapely.hausdorff_distance(found[0][0], found[1][0]) <= TOLERANCE * (OFFSET + SIMPLIFY)
        assert shapely.hausdorff_distance(found[0][1], found[1][1]) <= abs(distance) / 100


def vertices_off(one: BaseGeometry, other: BaseGeometry) -> float:
    """How far the vertex of one outline farthest from the other is from it."""
    return float(shapely.distance(shapely.points(shapely.get_coordinates(one)), shapely.boundary(other)).max())


@pytest.mark.sample(11, long=40)
@pytest.mark.parametrize("distance", DISTANCES)
@pytest.mark.parametrize("name", SHAPES)
def test_wall_agrees_with_a_second_engine(name, distance):
    """Every vertex of pyclipper's lies within the tolerance of GEOS's outline, and the other way round."""
    ours, theirs = wall(SHAPES[name], distance, TOLERANCE), edge_by_edge(SHAPES[name], distance)

    assert ours.is_empty == theirs.is_empty
    if not ours.is_empty:
        assert vertices_off(ours, theirs) <= TOLERANCE
        assert vertices_off(theirs, ours) <= TOLERANCE
        assert ours.area == pytest.approx(theirs.area, abs=TOLERANCE * theirs.length)


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


def test_shapes_given_are_not_changed_and_order_of_vertices_does_not_matter() -> None:
    """Winding and first vertex leave the result as it is."""
    ring = np.array(SHAPES["L"].exterior.coords)[:-1]
    first = tp.offset(Polygon(ring), -2)
    for turned in (ring[::-1], np.roll(ring, 3, axis=0)):
        before = turned.copy()
        assert tp.offset(Polygon(turned), -2).symmetric_difference(first).area < 1e-6
        np.testing.assert_array_equal(turned, before)


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


@pytest.mark.parametrize("beyond", [0.0, 0.0005, 0.00099, 0.001, 0.0010001, 0.00101, 0.0014, 0.001415, 0.002])
def test_a_room_as_wide_as_the_cutter_and_a_hair_is_reached_whatever_the_hair(beyond):
    """A square 0.001 wider than the cutter left an area that was one and was none (once a fault)."""
    square = tp.rectangle(6 + beyond, 6 + beyond, (100, 70))
    room = reach(square, 3, 0.01)
    assert not room.is_empty and room.distance(shapely.Point(100, 70)) < 0.01
    assert door.area("room", room).area > 0


@pytest.mark.parametrize("distance", [-3.0, 1.0, 4.0])
def test_many_parts_moved_together_are_where_each_moved_alone_is(distance):
    """Rows of squares 10 wide, every other row 4 mm beside the next: moved out by 1 they stay apart, by 4 they join."""
    squares = [box(30 * k, y, 30 * k + 10, y + 10) for k in range(15) for j in range(5) for y in (40 * j, 40 * j + 14)]
    moved = wall(MultiPolygon(squares), distance, 0.02)
    alone = shapely.union_all([wall(square, distance, 0.02) for square in squares])

    assert shapely.symmetric_difference(moved, alone).area < 1e-3 * len(squares)
    assert len(shapely.get_parts(moved)) == len(shapely.get_parts(alone)) == (75 if distance == 4 else 150)
