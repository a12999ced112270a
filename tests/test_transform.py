"""Move, turn, mirror, resize and join: exact sizes, exact symmetry, and where it fails to close."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.transform import (
    centre,
    centre_on,
    mirror,
    mirror_half,
    mirror_quarter,
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


@given(at=st.floats(-200, 200), about=st.sampled_from(["vertical", "horizontal"]))
def test_mirror_twice_is_nothing_and_the_line_stays(at, about):
    assert mirror(mirror(ODD, about, at), about, at).equals_exact(ODD, 1e-10)
    on_line = Point(at, 5.0) if about == "vertical" else Point(5.0, at)
    assert mirror(on_line, about, at).equals_exact(on_line, 1e-10)
    assert mirror(ODD, about, at).area == pytest.approx(ODD.area)


def quarter(middle: tuple[float, float] = (0.0, 0.0)) -> Outline:
    x, y = middle
    start = Outline((x, y + 80), heading_deg=0).tangent_arc_to((x + 172, y + 66))
    return start.arc_to((x + 190, y), centre=(x + 60, y), clockwise=True)


def test_mirror_quarter_is_exactly_symmetric_in_both_lines_and_closed():
    """Every vertex has its mirror image among the vertices, to the last bit."""
    whole = mirror_quarter(quarter())

    corners = corner_set(whole)
    assert len(corners) > 100
    assert {(-x + 0.0, y) for x, y in corners} == corners
    assert {(x, -y + 0.0) for x, y in corners} == corners
    assert whole.is_valid
    assert whole.exterior.is_closed
    assert whole.bounds == (-190, -80, 190, 80)


def test_mirror_quarter_about_a_middle_elsewhere():
    assert mirror_quarter(quarter((220, 110)), (220, 110)).equals_exact(move(mirror_quarter(quarter()), 220, 110), 1e-9)


def test_mirror_quarter_takes_either_end_first():
    line = quarter().line

    assert mirror_quarter(line.reverse()).equals(mirror_quarter(line))


@pytest.mark.parametrize("about", ["vertical", "horizontal"])
def test_mirror_half_is_exactly_symmetric(about):
    upright = [(0, 30), (12, 21.3), (7.7, 4.4), (0, -8)]
    half = LineString(upright if about == "vertical" else [(y, x) for x, y in upright])
    whole = mirror_half(half, about)

    corners = corner_set(whole)
    image = {(-x + 0.0, y) if about == "vertical" else (x, -y + 0.0) for x, y in corners}
    assert image == corners
    assert len(corners) == 6
    assert whole.area == pytest.approx(2 * abs(Polygon(half.coords).area))  # mirror image, derived


def test_mirror_half_closes_a_gap_within_its_share_of_the_tolerance():
    half = LineString([(0.001, 30), (12, 0), (-0.001, -8)])

    assert corner_set(mirror_half(half, "vertical")) == {(0, 30), (12, 0), (0, -8), (-12, 0)}


@pytest.mark.parametrize(
    ("points", "at"),
    [([(0, 30), (12, 0), (0.2, -8)], (0.2, -8)), ([(-0.0013, 30), (12, 0), (0, -8)], (-0.0013, 30))],
)
def test_mirror_half_says_where_it_would_not_close(points, at):
    with pytest.raises(ShapeError, match="would not close") as caught:
        mirror_half(LineString(points), "vertical")
    assert caught.value.point == pytest.approx(at)


def test_mirror_half_that_crosses_the_line_says_where():
    """A half that strays over the mirror line crosses its own image on that line."""
    with pytest.raises(ShapeError, match="crosses or touches itself") as caught:
        mirror_half(LineString([(0, 30), (-10, 10), (10, -10), (0, -30)]), "vertical")
    assert caught.value.point == pytest.approx((0, 0))


def test_mirror_quarter_with_both_ends_on_one_line_says_where():
    with pytest.raises(ShapeError, match="mirror line y = 0") as caught:
        mirror_quarter(LineString([(0, 30), (10, 20), (0, 10)]))
    assert caught.value.point == (0, 10)


def test_mirror_half_refuses_a_closed_line():
    with pytest.raises(ShapeError, match="this one is closed") as caught:
        mirror_half(LineString([(0, 0), (5, 5), (0, 5), (0, 0)]), "vertical")
    assert caught.value.point == (0, 0)
    assert all(type(c) is float for c in caught.value.point)


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
    (mirror, (ODD, "upright"), {}, "'upright' is not one of 'vertical', 'horizontal'"),
    (mirror, (ODD, "vertical", None), {}, "at=None"),
    (mirror_half, (ODD, "vertical"), {}, "this one is closed"),
    (mirror_half, (LineString([(0, 0), (1, 1)]), "across"), {}, "'across' is not one of"),
    (mirror_quarter, (Outline((0, 0)),), {}, "Nothing is drawn yet"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_transforms_refuse_bad_arguments(function, arguments, options, message):
    with pytest.raises((InputError, ShapeError)) as caught:
        function(*arguments, **options)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[:3]) for row in BAD}) == len(BAD)


def test_points_are_taken_for_a_line():
    """Half and quarter as points, as a line and as an Outline are one outline."""
    corners = [(50, 0), (90, 0), (90, 30), (50, 30)]
    assert mirror_half(corners, "vertical", at=50) == mirror_half(LineString(corners), "vertical", at=50)
    quarter = Outline((0, 30)).line_to((40, 20)).line_to((60, 0))
    assert mirror_quarter([(0, 30), (40, 20), (60, 0)]) == mirror_quarter(quarter)
    with pytest.raises(InputError, match="points"):
        mirror_half([(1, 2, 3)], "vertical")
