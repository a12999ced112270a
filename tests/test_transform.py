"""Move, turn and resize: exact sizes and places."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, box

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes.transform import (
    centre,
    centre_on,
    move,
    resize,
    rotate,
    size,
)

lengths = st.floats(0.5, 500)
places = st.tuples(st.floats(-300, 300), st.floats(-300, 300))
ODD = Polygon([(3, 1), (40, 7), (22, 9), (31, 30), (5, 17)])


def corner_set(shape: Polygon) -> set[tuple[float, float]]:
    return {(x + 0.0, y + 0.0) for x, y in shapely.get_coordinates(shape).tolist()}


@given(width=lengths, height=lengths)
def test_resize_gives_the_overall_size(width, height):
    """The size is asked for in mm and met to a millionth of a thousandth; the middle stays."""
    resized = resize(ODD, width=width, height=height)

    assert size(resized) == pytest.approx((width, height), abs=1e-10)
    assert centre(resized) == pytest.approx(centre(ODD), abs=1e-10)


@given(width=lengths)
def test_resize_by_one_side_keeps_proportions(width):
    resized = resize(ODD, width=width)

    assert resized.area / ODD.area == pytest.approx((width / size(ODD)[0]) ** 2)
    assert resize(ODD, height=size(resized)[1]).equals_exact(resized, 1e-9)


@given(place=places)
def test_centre_on_puts_the_middle_there(place):
    assert centre(centre_on(ODD, place)) == pytest.approx(place, abs=1e-10)


@given(dx=st.floats(-300, 300), dy=st.floats(-300, 300))
def test_move_and_back_is_nothing(dx, dy):
    assert move(move(ODD, dx, dy), -dx, -dy).equals_exact(ODD, 1e-10)


@given(angle=st.floats(-720, 720), about=places)
def test_rotate_keeps_distances_from_its_centre_and_turns_by_the_angle(angle, about):
    turned = shapely.get_coordinates(rotate(ODD, angle, about)) - about
    before = shapely.get_coordinates(ODD) - about

    direction = np.exp(1j * np.radians(angle))
    assert turned[:, 0] + 1j * turned[:, 1] == pytest.approx((before[:, 0] + 1j * before[:, 1]) * direction, abs=1e-9)


def test_rotate_by_quarter_turns_is_exact():
    """Cosines of quarter turns are 0 and 1, not 6e-17."""
    assert corner_set(rotate(box(0, 0, 10, 4), 90, (0, 0))) == {(0, 0), (0, 10), (-4, 10), (-4, 0)}
    assert centre(rotate(ODD, 180)) == centre(ODD)


BAD = [
    (resize, (ODD,), {}, "needs a width, a height, or both"),
    (resize, (ODD,), {"width": 0}, "width=0 must be greater than 0"),
    (resize, (ODD,), {"width": float("nan")}, "not a finite number"),
    (resize, (LineString([(0, 0), (5, 0)]),), {"height": 3}, "no height to resize"),
    (resize, ("shape",), {"width": 3}, "must be a shapely geometry"),
    (resize, (Polygon(),), {"width": 3}, "The shape is empty"),
    (centre_on, (Polygon(), (0, 0)), {}, "The shape is empty"),
    (centre_on, (ODD, 5), {}, "points (x, y)"),
    (move, (ODD, float("inf"), 0), {}, "dx=inf"),
    (rotate, (ODD, "90"), {}, "angle_deg='90'"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_transforms_refuse_bad_arguments(function, arguments, options, message):
    with pytest.raises((InputError, ShapeError)) as caught:
        function(*arguments, **options)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[:3]) for row in BAD}) == len(BAD)
