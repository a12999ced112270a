"""Mirrored, and repeated about a point: exact symmetry, and where an outline fails to close."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes import curves
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.symmetry import mirror, mirror_half, mirror_quarter, repeat_around
from toolpaths.shapes.transform import move, rotate

places = st.tuples(st.floats(-300, 300), st.floats(-300, 300))
ODD = Polygon([(3, 1), (40, 7), (22, 9), (31, 30), (5, 17)])


def corner_set(shape: Polygon) -> set[tuple[float, float]]:
    return {(x + 0.0, y + 0.0) for x, y in shapely.get_coordinates(shape).tolist()}


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
    (mirror, (ODD, "upright"), {}, "'upright' is not one of 'vertical', 'horizontal'"),
    (mirror, (ODD, "vertical", None), {}, "at=None"),
    (mirror_half, (ODD, "vertical"), {}, "this one is closed"),
    (mirror_half, (LineString([(0, 0), (1, 1)]), "across"), {}, "'across' is not one of"),
    (mirror_quarter, (Outline((0, 0)),), {}, "Nothing is drawn yet"),
    (mirror, (ODD, ((0, 0), (0, 0))), {}, "too near to each other"),
    (mirror, (ODD, ((0, 0), (1, 1), (2, 2))), {}, "two points (x, y), not 3"),
    (mirror, (ODD, ((0, 0), (1, 1)), 5), {}, "at=5 goes with"),
    (repeat_around, ([(30, 0), (8, 8)], 1), {}, "times=1"),
    (repeat_around, ([(30, 0), (8, 8)], 4), {}, "where the next of 4 sectors begins"),
    (repeat_around, ([(0, 0), (8, 8)], 4), {"mirrored": True}, "ends in the middle itself"),
    (repeat_around, ([(30, 0), (8, 9)], 4), {"mirrored": True}, "off the mirror line through (0, 0) at 45 degrees"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_symmetry_refuses_bad_arguments(function, arguments, options, message):
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


@given(
    first=places,
    turn=st.floats(-180, 180),
)
def test_the_half_closed_in_any_line_is_the_one_closed_in_an_upright_line_and_turned(first, turn):
    """Mirrored in a line at an angle: the same outline as drawn upright and turned."""
    half = LineString([(0, 0), (20, 3), (35, 25), (0, 60)])
    upright = mirror_half(half, "vertical")
    turned = rotate(LineString([(0, 0), (20, 3), (35, 25), (0, 60)]), turn, (0, 0))
    ends = shapely.get_coordinates(rotate(LineString([(0, 0), (0, 60)]), turn, (0, 0))) + first
    any_line = mirror_half(move(turned, *first), (tuple(ends[0]), tuple(ends[1])))
    assert shapely.hausdorff_distance(any_line, move(rotate(upright, turn, (0, 0)), *first)) < 1e-9


@given(about=st.tuples(places, st.floats(0, 360)))
def test_mirroring_in_any_line_twice_is_nothing_and_keeps_the_line(about):
    place, angle = about
    other = (place[0] + 40 * np.cos(np.radians(angle)), place[1] + 40 * np.sin(np.radians(angle)))
    assert mirror(mirror(ODD, (place, other)), (place, other)).equals_exact(ODD, 1e-9)
    assert mirror(Point(other), (place, other)).equals_exact(Point(other), 1e-9)
    image = mirror(ODD, (place, other))
    assert (image.area, image.exterior.is_ccw) == (pytest.approx(ODD.area), not ODD.exterior.is_ccw)


@given(times=st.integers(2, 24), inner=st.floats(5, 19), clockwise=st.booleans(), mirrored=st.booleans())
def test_equal_sectors_turn_into_each_other(times, inner, clockwise, mirrored):
    """A star of n points: turned by a sector it is itself, and its area is that of 2n triangles."""
    half = np.pi / times * (-1 if clockwise else 1)
    hollow = (inner * np.cos(half), inner * np.sin(half))
    sector = [(40, 0), hollow, (40 * np.cos(2 * half), 40 * np.sin(2 * half))][: 2 if mirrored else 3]
    middle = (7.0, -3.0)
    star = repeat_around([(x + 7, y - 3) for x, y in sector], times, middle, mirrored=mirrored)

    assert star.area == pytest.approx(times * 40 * inner * np.sin(abs(half)))  # 2n triangles, derived
    assert len(corner_set(star)) == 2 * times
    assert shapely.hausdorff_distance(rotate(star, 360 / times, middle), star) < 1e-9


def test_a_cog_of_arcs_keeps_its_arcs():
    """Eight bows of a radius of 12, n-fold: every vertex of every bow lies on its own circle."""
    bow = Outline((30, 0)).arc_through((33 * np.cos(np.pi / 8), 33 * np.sin(np.pi / 8)), (30 * 2**-0.5, 30 * 2**-0.5))
    cog = repeat_around(bow, 8)
    points = shapely.get_coordinates(cog)[:-1].reshape(8, -1, 2)
    centres = [curves.centre_of(*(tuple(p) for p in each[[0, len(each) // 2, -1]])) for each in points]
    radii = np.hypot(*(points - np.array(centres)[:, None]).transpose(2, 0, 1))
    assert np.ptp(radii) < 1e-9
    assert np.hypot(*np.array(centres).T) == pytest.approx(np.hypot(*centres[0]))
