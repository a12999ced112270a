"""Corners rounded and cut off: tangent, at the places meant, and refused where the walls are too short."""

from __future__ import annotations

from math import pi, tan

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box

from toolpaths.base.errors import DoesNotFitError, InputError, ShapeError
from toolpaths.shapes.arc_fit import fit
from toolpaths.shapes.door import ring_points
from toolpaths.shapes.outline_corners import chamfer_corners, round_corners
from toolpaths.shapes.plain_shapes import circle, rectangle, regular_polygon
from toolpaths.shapes.relief import BITES, relieve_corners
from toolpaths.shapes.transform import rotate

FINE = 1e-4
L = shapely.union_all([box(0, 0, 60, 20), box(0, 0, 20, 60)])
HALF_DISC = circle(60).intersection(box(-100, 0, 100, 100))


@given(width=st.floats(30, 200), height=st.floats(30, 200), radius=st.floats(0.5, 14), angle=st.floats(0, 90))
def test_rounding_all_corners_of_a_rectangle_is_the_rectangle_drawn_with_round_corners(width, height, radius, angle):
    drawn = rotate(rectangle(width, height, corner_radius=radius, tolerance=FINE), angle, (0, 0))
    rounded = round_corners(rotate(rectangle(width, height), angle, (0, 0)), radius, tolerance=FINE)
    assert shapely.hausdorff_distance(drawn, rounded) < FINE


@given(sides=st.integers(3, 12), radius=st.floats(1, 20))
def test_area_lost_at_the_corners_of_a_regular_polygon(sides, radius):
    """A corner that turns by t loses r^2 (tan(t/2) - t/2) (a kite less a sector, derived)."""
    shape = regular_polygon(sides, 100)
    turn = 2 * pi / sides
    lost = shape.area - round_corners(shape, radius, tolerance=FINE).area
    assert lost == pytest.approx(sides * radius**2 * (tan(turn / 2) - turn / 2), abs=sides * radius * turn * FINE)


def test_an_inward_corner_is_filled_and_an_outward_one_cut():
    """Five corners of an L lose (1 - pi/4) r^2 each, the sixth gains as much."""
    rounded = round_corners(L, 5, tolerance=FINE)
    assert L.area - rounded.area == pytest.approx(4 * (1 - pi / 4) * 25, abs=0.01)
    assert rounded.contains(Point(20.5, 20.5))
    assert chamfer_corners(L, 3).area == L.area - 4 * 4.5


@pytest.mark.parametrize("radius", [0.8, 4.0, 9.0])
def test_the_arc_meets_an_arc_and_a_line_smoothly(radius):
    """Half a disc: the rounding touches its bow from within, its centre R - r from the disc's and r from the line."""
    rounded = round_corners(HALF_DISC, radius, tolerance=FINE)
    segments = fit(ring_points(rounded.exterior), True, 0.001).segments
    mine = [segment for segment in segments if abs(segment.radius - radius) < 0.01]
    assert len(mine) == 2
    for segment in mine:
        assert np.hypot(*segment.centre) == pytest.approx(30 - radius, abs=0.005)
        assert segment.centre[1] == pytest.approx(radius, abs=0.005)
    turns = [np.degrees(b.heading(0) - a.heading(1)) for a, b in zip(segments, [*segments[1:], segments[0]])]
    assert max(abs((turn + 180) % 360 - 180) for turn in turns) < 1.5


@pytest.mark.parametrize("finish", [round_corners, chamfer_corners])
def test_only_the_corners_meant_are_finished(finish):
    finished = finish(L, 4, near=[(63, -3), (18, 21)])
    corners = set(map(tuple, shapely.get_coordinates(finished).tolist()))
    assert {(0, 0), (0, 60), (20, 60), (60, 20)} <= corners
    assert not {(60, 0), (20, 20)} & corners


@pytest.mark.parametrize(
    ("finish", "size", "near", "would"),
    [
        (round_corners, 12, None, "10.000 would go"),
        (round_corners, 25, [(60, 0)], "20.000 would go"),
        (chamfer_corners, 11, [(60, 0), (60, 20)], "10.000 would go"),
        (chamfer_corners, 21, [(60, 0)], "20.000 would go"),
    ],
)
def test_walls_too_short_are_refused_with_what_would_go(finish, size, near, would):
    with pytest.raises(DoesNotFitError, match=would) as caught:
        finish(L, size, near=near)
    assert caught.value.point in set(map(tuple, shapely.get_coordinates(L).tolist()))
    assert finish(L, float(would.split()[0]), near=near).is_valid


@pytest.mark.parametrize("radius", [0.5, 4, 9.9])
def test_an_outline_of_one_corner_is_rounded_there_alone(radius):
    """A drop whose two walls are one: tangents from 20 mm off on a circle of radius 10 meet at 60 degrees."""
    turns = np.linspace(-2 * pi / 3, 2 * pi / 3, 2000)
    drop = shapely.Polygon([(-20, 0), *zip(10 * np.cos(turns), 10 * np.sin(turns))])
    cut_off = radius**2 * (3**0.5 - pi / 3)
    assert drop.area - round_corners(drop, radius, tolerance=FINE).area == pytest.approx(cut_off, abs=1e-3)
    with pytest.raises(DoesNotFitError, match="would go"):
        round_corners(drop, 10.1)


def test_holes_have_corners_too_and_what_has_none_is_refused():
    """A plate's square opening, rounded, is cut back like a pocket's wall."""
    plate = box(0, 0, 100, 100).difference(box(30, 30, 70, 70))
    rounded = round_corners(plate, 5, near=[(30, 30), (70, 70)], tolerance=FINE)
    assert rounded.area - plate.area == pytest.approx(2 * (1 - pi / 4) * 25, abs=0.01)
    with pytest.raises(ShapeError, match="no corner"):
        round_corners(circle(80), 2)
    with pytest.raises(InputError, match="both have the corner"):
        round_corners(L, 2, near=[(60, 0), (59, 1)])
    with pytest.raises(ShapeError, match="crosses or touches itself"):
        chamfer_corners(box(0, 0, 100, 100).difference(box(2, 2, 12, 12)), 15, near=[(0, 0)])


@given(radius=st.floats(0.5, 6), bite=st.sampled_from(BITES))
def test_every_bite_lets_a_square_corner_in_and_overcuts_as_it_says(radius, bite):
    """By kind: beyond the walls, and area, each from its circle (derived)."""
    pocket = box(0, 0, 84, 60)
    relieved = relieve_corners(pocket, radius, bite=bite, tolerance=FINE)
    beyond = {"smallest": (1 - 0.5**0.5, 1 - 0.5**0.5), "centred": (1, 1)}.get(bite, (0, 1))
    if bite == "along the shorter wall":
        beyond = (1, 0)
    assert relieved.bounds == pytest.approx(
        (-beyond[0] * radius, -beyond[1] * radius, 84 + beyond[0] * radius, 60 + beyond[1] * radius), abs=1e-9
    )
    area = {"smallest": pi / 2 - 1, "centred": 3 * pi / 4}.get(bite, pi / 2) * radius**2
    assert relieved.area - pocket.area == pytest.approx(4 * area, abs=8 * pi * radius * FINE)
    # GEOS drops what it narrows to less than a hundredth of the distance, and is as true as a cutter has to be: one
    # 2 % smaller leaves it room. Without the bite 0.41 of the radius would stand in the corner.
    swept = relieved.buffer(-0.98 * radius, quad_segs=200).buffer(0.98 * radius, quad_segs=200)
    assert shapely.difference(pocket, swept.buffer(0.01)).is_empty
