"""Plain shapes: exact overall sizes, every vertex on the true curve, no chord farther in than its share."""

from __future__ import annotations

from math import cos, hypot, pi, tan

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from toolpaths.base.errors import InputError
from toolpaths.shapes.curves import steps_for
from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, regular_polygon, slot
from toolpaths.shapes.tolerance_shares import FLATTEN
from toolpaths.shapes.transform import centre, size

lengths = st.floats(0.5, 500)
places = st.tuples(st.floats(-300, 300), st.floats(-300, 300))
tolerances = st.sampled_from([0.001, 0.01, 0.1])


@pytest.mark.parametrize(
    ("radius", "sagitta", "chords"), [(50, 0.01, 158), (50, 0.1, 50), (10, 0.01, 71), (3.175, 0.005, 56)]
)
def test_steps_for_a_full_turn_is_the_least_number(radius, sagitta, chords):
    """n >= pi/acos(1 - s/R): derived from the sagitta of a chord, R(1 - cos(turn/2))."""
    assert steps_for(radius, 2 * pi, sagitta) == chords
    assert radius * (1 - cos(pi / chords)) <= sagitta < radius * (1 - cos(pi / (chords - 1)))


@given(diameter=lengths, tolerance=tolerances)
def test_circle_has_the_area_of_its_polygon_between_the_inner_and_the_true_circle(diameter, tolerance):
    """Every vertex on the circle, no chord deeper than the share (sagitta identity, derived)."""
    shape, r = circle(diameter, tolerance=tolerance), diameter / 2

    corners = shapely.get_coordinates(shape)
    assert np.hypot(*corners.T) == pytest.approx(r, rel=1e-13)
    deepest = r - np.hypot(*((corners[1:] + corners[:-1]) / 2).T).min()
    assert deepest <= tolerance * FLATTEN * (1 + 1e-9)
    n = len(corners) - 1
    assert shape.area == pytest.approx(n / 2 * r * r * np.sin(2 * pi / n), rel=1e-9)  # inscribed n-gon, any text
    assert pi * (r - tolerance * FLATTEN) ** 2 <= shape.area <= pi * r * r


@given(width=lengths, height=lengths)
def test_ellipse_and_rectangle_about_zero_are_exactly_as_large_as_asked(width, height):
    wanted = (-width / 2, -height / 2, width / 2, height / 2)

    assert ellipse(width, height).bounds == wanted
    assert rectangle(width, height).bounds == wanted
    assert rectangle(width, height, corner_radius=min(width, height) / 3).bounds == wanted


@given(width=lengths, height=lengths, place=places, tolerance=tolerances)
def test_ellipse_has_its_vertices_on_the_ellipse(width, height, place, tolerance):
    shape = ellipse(width, height, place, tolerance=tolerance)

    x, y = (shapely.get_coordinates(shape) - place).T
    assert (2 * x / width) ** 2 + (2 * y / height) ** 2 == pytest.approx(1, abs=1e-9)
    assert centre(shape) == pytest.approx(place, abs=1e-9)
    # Against the ellipse itself, sampled finely: no point of it lies farther off than the share.
    turns = np.linspace(0, 2 * pi, 997)
    true = np.column_stack([np.cos(turns) * width / 2, np.sin(turns) * height / 2]) + place
    assert shapely.distance(shapely.points(true), shape.exterior).max() <= tolerance * FLATTEN * (1 + 1e-6)


@given(width=lengths, height=lengths, part=st.floats(0.01, 1), tolerance=tolerances)
def test_rounded_rectangle_loses_the_corners_of_a_circle(width, height, part, tolerance):
    """Area w h - (4 - pi) r^2, less what the chords cut off (derived)."""
    r = part * min(width, height) / 2
    shape = rectangle(width, height, corner_radius=r, tolerance=tolerance)

    true = width * height - (4 - pi) * r * r
    assert shape.is_valid
    assert true - 2 * pi * r * tolerance * FLATTEN <= shape.area <= true + 1e-9 * true
    x, y = np.abs(shapely.get_coordinates(shape).T)
    from_centre = np.hypot(np.maximum(x - (width / 2 - r), 0), np.maximum(y - (height / 2 - r), 0))
    assert from_centre == pytest.approx(r, rel=1e-9)


@pytest.mark.parametrize("radius", [5.0, 7.5])
def test_rectangle_rounded_to_the_full_has_no_repeated_point(radius):
    corners = shapely.get_coordinates(rectangle(15, 2 * radius, corner_radius=radius))

    assert np.hypot(*np.diff(corners, axis=0).T).min() > 1e-3


@given(start=places, end=places, width=st.floats(0.5, 60), tolerance=tolerances)
def test_slot_lies_within_its_share_of_the_sausage_and_measures_the_same(start, end, width, tolerance):
    """Area L w + pi w^2/4 (Steiner formula for a segment, any convex-geometry text)."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    assume(length >= 1e-3)
    shape = slot(start, end, width, tolerance=tolerance)

    true = length * width + pi * width**2 / 4
    assert true - pi * width * tolerance * FLATTEN <= shape.area <= true * (1 + 1e-9)
    spine = shapely.LineString([start, end])
    corners = shapely.points(shapely.get_coordinates(shape))
    assert shapely.distance(corners, spine) == pytest.approx(width / 2, abs=1e-9)
    (x0, y0), (x1, y1), r = start, end, width / 2
    whole = (min(x0, x1) - r, min(y0, y1) - r, max(x0, x1) + r, max(y0, y1) + r)
    assert shape.bounds == pytest.approx(whole, abs=1e-9)


@given(sides=st.integers(3, 40), flats=lengths, angle=st.floats(-360, 360), place=places)
def test_regular_polygon_has_the_distance_across_flats(sides, flats, angle, place):
    """Area n (d/2)^2 tan(pi/n) about an inscribed circle of diameter d (any geometry text)."""
    shape = regular_polygon(sides, flats, place, angle_deg=angle)

    assert shape.exterior.distance(shapely.Point(place)) == pytest.approx(flats / 2, rel=1e-9)
    assert shape.area == pytest.approx(sides * (flats / 2) ** 2 * tan(pi / sides), rel=1e-9)
    assert shape.exterior.is_ccw


def test_regular_polygon_has_its_first_corner_at_the_angle():
    corner = shapely.get_coordinates(regular_polygon(4, 10, angle_deg=45))[0]

    assert corner == pytest.approx((5, 5))


def test_size_of_a_bounding_box():
    assert size(rectangle(30, 20, (7, 9))) == (30, 20)


BAD = [
    (circle, (0,), {}, "diameter=0 must be greater than 0"),
    (circle, (-5,), {}, "greater than 0"),
    (circle, (float("nan"),), {}, "not a finite number"),
    (circle, (float("inf"),), {}, "not a finite number"),
    (circle, ("80",), {}, "'80' is not a number"),
    (circle, (True,), {}, "True is not a number"),
    (circle, (5, (1, 2, 3)), {}, "points (x, y)"),
    (circle, (5, ("1", "2")), {}, "points (x, y)"),
    (circle, (5,), {"tolerance": 0}, "tolerance=0 must be greater than 0"),
    (ellipse, (10, 0), {}, "height=0"),
    (rectangle, (10, 20), {"corner_radius": 5.1}, "corner_radius=5.1 must lie between 0 and 5"),
    (rectangle, (10, 20), {"corner_radius": -1}, "corner_radius=-1"),
    (slot, ((1, 2), (1, 2), 3), {}, "both (1, 2); use circle()"),
    (slot, ((1, 2), (4, 2), 0), {}, "width=0"),
    (regular_polygon, (2, 10), {}, "sides=2 must be a whole number, 3 or more"),
    (regular_polygon, (5.5, 10), {}, "sides=5.5"),
    (regular_polygon, (True, 10), {}, "sides=True"),
    (regular_polygon, (6, 10), {"angle_deg": 361}, "between -360 and 360"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_shapes_refuse_bad_arguments(function, arguments, options, message):
    with pytest.raises(InputError) as caught:
        function(*arguments, **options)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[:3]) for row in BAD}) == len(BAD)
