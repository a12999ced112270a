"""Corner reliefs: where the circle stands, how far it overcuts, and where it does not fit."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box

from toolpaths.base.errors import DoesNotFitError, InputError, ShapeError
from toolpaths.shapes.plain_shapes import circle, rectangle, regular_polygon
from toolpaths.shapes.relief import relieve_corners
from toolpaths.shapes.transform import rotate

FINE = 1e-4
L = shapely.union_all([box(0, 0, 60, 20), box(0, 0, 20, 60)])


@given(radius=st.floats(0.5, 9), width=st.floats(40, 200), height=st.floats(40, 200))
def test_relief_of_square_corners(radius, width, height):
    """Overcut r(1 - 1/sqrt 2) beyond each wall and (pi/2 - 1) r^2 a corner (derived from the circle)."""
    relieved = relieve_corners(rectangle(width, height), radius, tolerance=FINE)

    beyond = radius * (1 - 1 / sqrt(2))
    assert relieved.bounds == pytest.approx(
        (-width / 2 - beyond, -height / 2 - beyond, width / 2 + beyond, height / 2 + beyond), abs=1e-9
    )
    assert relieved.area - width * height == pytest.approx(4 * (pi / 2 - 1) * radius**2, abs=8 * pi * radius * FINE)


def test_relief_check_values():
    """For r = 3: overcut 0.878680, area 5.137167, mouth on each wall sqrt(2) r = 4.242641 (derived)."""
    pocket = box(0, 0, 84, 60)
    lobes = shapely.get_parts(shapely.difference(relieve_corners(pocket, 3, tolerance=1e-5), pocket))

    assert [lobe.area for lobe in lobes] == pytest.approx([5.137167 / 2] * 8, abs=1e-3)
    assert relieve_corners(pocket, 3).bounds[0] == pytest.approx(-0.878680, abs=1e-6)
    wall = shapely.intersection(lobes, shapely.LineString([(0, 0), (84, 0)]))
    mouths = [part.length for part in wall if part.length > 0]
    assert mouths == pytest.approx([4.242641] * 2, abs=1e-4)


@pytest.mark.parametrize("sides", [3, 5, 8, 12])
def test_relief_circle_passes_through_a_corner_of_any_angle(sides):
    """Centre on the bisector at the distance r from the corner, a lobe on each wall."""
    shape = regular_polygon(sides, 100, angle_deg=11)
    relieved = relieve_corners(shape, 2, tolerance=FINE)

    ring = shapely.get_coordinates(relieved)[:-1]
    for x, y in shapely.get_coordinates(shape)[:-1]:
        middle = np.array([x, y]) * (1 - 2 / np.hypot(x, y))
        near = ring[np.hypot(*(ring - (x, y)).T) < 2]
        off = np.abs(np.hypot(*(near - middle).T) - 2)
        # Where the circle leaves the wall a chord of it is cut, up to its depth short.
        assert off.max() <= FINE
        assert np.sort(off)[:-2].max() < 1e-9
        assert np.hypot(*(near - (x, y)).T).min() < 1e-9
    turn = 2 * pi / sides
    overcut = sides * 2**2 * (turn - np.sin(turn))  # two segments of the circle a corner (derived)
    assert relieved.area - shape.area == pytest.approx(overcut, abs=sides * 2 * 2 * turn * FINE)


@pytest.mark.parametrize("angle", [0.0, 17.0, 45.0])
def test_relieved_pocket_takes_the_square_pane_with_a_round_cutter(angle):
    """What a cutter of the relief's radius sweeps covers the whole rectangle, corners included."""
    pane = rotate(rectangle(84, 60), angle)
    relieved = relieve_corners(pane, 1.5, tolerance=FINE)

    swept = shapely.buffer(shapely.buffer(relieved, -1.5 + 2 * FINE, quad_segs=200), 1.5 + 2 * FINE, quad_segs=200)
    assert shapely.difference(pane, swept).area < 1e-3
    assert not shapely.buffer(shapely.buffer(pane, -1.5), 1.5, quad_segs=200).covers(pane.buffer(-0.1))


@pytest.mark.parametrize("angle_deg", [40, 65, 90, 115])
@pytest.mark.parametrize(("bite", "half"), [("smallest", True), ("along the longer wall", False)])
def test_how_far_a_relief_cuts_behind_a_wall_at_any_angle(angle_deg, bite, half):
    """Its centre lies radius x sine of the angle from the wall, or of half the angle on the bisector (derived)."""
    angle = np.radians(angle_deg)
    wall = Polygon([(0, 0), (60, 0), (50 * np.cos(angle), 50 * np.sin(angle))])
    bitten = shapely.difference(relieve_corners(wall, 3, bite=bite, near=[(0, 0)], tolerance=0.001), wall)
    x, y = shapely.get_coordinates(bitten).T
    behind = (y * np.cos(angle) - x * np.sin(angle)).max()
    assert behind == pytest.approx(3 * (1 - np.sin(angle / 2 if half else angle)), abs=0.002)


def test_reflex_corners_are_left_alone():
    """Five corners of an L turn inwards, the sixth is wood that stands into it."""
    lobes = shapely.difference(relieve_corners(L, 2), L)

    assert len(shapely.get_parts(lobes)) == 2 * 5
    assert lobes.distance(Point(20, 20)) > 10


def test_an_island_is_relieved_only_where_it_has_an_inside_corner():
    """Round an island shaped like an L only its hollow is a corner for the cutter."""
    pocket = circle(300).difference(L)
    lobes = shapely.difference(relieve_corners(pocket, 2), pocket)

    assert lobes.distance(Point(20, 20)) < 1e-9
    assert lobes.area == pytest.approx((pi / 2 - 1) * 4, abs=0.02)


def test_several_areas_are_relieved_together():
    two = [box(0, 0, 30, 30), box(50, 0, 80, 30)]

    relieved = relieve_corners(MultiPolygon(two), 2)
    assert isinstance(relieved, MultiPolygon)
    assert relieved.equals(relieve_corners(two, 2))
    assert relieved.area == pytest.approx(1800 + 8 * (pi / 2 - 1) * 4, abs=0.1)


@pytest.mark.parametrize("shape", [circle(80), rectangle(40, 30, corner_radius=5), regular_polygon(36, 100)])
def test_a_shape_without_corners_is_an_error(shape):
    with pytest.raises(ShapeError, match="No corner"):
        relieve_corners(shape, 1.5)


@pytest.mark.parametrize(
    ("shape", "radius"),
    [
        (box(0, 0, 84, 2), 1.5),
        (box(0, 0, 4, 4), 3),
        (Polygon([(0, 0), (30, 0), (30, 30), (29, 30), (29, 2), (0, 2)]), 1.5),
        (box(0, 0, 40, 40).difference(box(2, 2, 12, 12)), 1.5),
        (box(0, 0, 30, 30) | box(30.3, 0, 60, 30), 1.5),
    ],
    ids=["reaches the opposite wall", "larger than the shape", "narrow leg", "island beside the corner", "next area"],
)
def test_a_relief_that_cuts_through_another_wall_is_an_error_that_says_where(shape, radius):
    with pytest.raises(DoesNotFitError, match="use a smaller radius") as caught:
        relieve_corners(shape, radius)
    assert caught.value.point in {(float(x), float(y)) for x, y in shapely.get_coordinates(shape)}
    assert all(type(c) is float for c in caught.value.point)


@pytest.mark.parametrize(
    ("shape", "radius", "message"),
    [
        (L, 0, "radius=0"),
        (L, float("nan"), "radius=nan"),
        (Point(1, 1), 2, "has no area"),
        ("L", 2, "must be a shapely geometry"),
    ],
)
def test_relief_refuses_bad_arguments(shape, radius, message):
    with pytest.raises((InputError, ShapeError)) as caught:
        relieve_corners(shape, radius)
    assert message in str(caught.value)
