"""An outline drawn piece by piece: where pieces meet, which way they go on, and what does not close."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from toolpaths.base.errors import InputError, ShapeError, ToolpathsError
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.plain_shapes import circle
from toolpaths.shapes.tolerance_shares import FLATTEN

places = st.tuples(st.floats(-200, 200), st.floats(-200, 200))
angles = st.floats(-180, 180)


def steps(line: shapely.LineString) -> np.ndarray:
    return np.diff(shapely.get_coordinates(line), axis=0)


def heading_error(chords: np.ndarray, heading: float) -> float:
    """Between a chord and a direction, in radians."""
    return abs(float(np.angle(np.exp(1j * (np.arctan2(chords[1], chords[0]) - heading)))))


def test_line_to_goes_there_and_heads_there():
    drawn = Outline((1, 2)).line_to((4, 6))

    assert list(drawn.line.coords) == [(1, 2), (4, 6)]
    assert drawn.end == (4, 6)
    assert drawn.heading_deg == pytest.approx(np.degrees(np.arctan2(4, 3)))


def test_verbs_leave_the_outline_as_it_was():
    first = Outline((0, 0)).line_to((10, 0))
    first.line_to((10, 10))
    first.arc_to((20, 0), centre=(15, 0))

    assert first.end == (10, 0)
    assert list(first.line.coords) == [(0, 0), (10, 0)]


@given(centre=places, start=places, turn=st.floats(0.01, 2 * pi - 0.01), clockwise=st.booleans())
def test_arc_to_stays_on_its_circle_and_turns_the_way_asked(centre, start, turn, clockwise):
    """Length of an arc is radius times turn; the chords may be short of it by 8/3 s^2/c each (derived)."""
    radius = hypot(start[0] - centre[0], start[1] - centre[1])
    assume(radius > 0.1)
    signed = -turn if clockwise else turn
    dx, dy = start[0] - centre[0], start[1] - centre[1]
    end = (centre[0] + dx * cos(signed) - dy * sin(signed), centre[1] + dx * sin(signed) + dy * cos(signed))
    drawn = Outline(start).arc_to(end, centre=centre, clockwise=clockwise)

    corners = shapely.get_coordinates(drawn.line)
    assert np.hypot(*(corners - centre).T) == pytest.approx(radius, abs=1e-9)
    assert tuple(corners[-1]) == end
    assert radius - np.hypot(*((corners[1:] + corners[:-1]) / 2 - centre).T).min() <= 0.01 * FLATTEN + 1e-9
    relative = corners - centre
    cross = relative[:-1, 0] * relative[1:, 1] - relative[:-1, 1] * relative[1:, 0]
    swept = np.arctan2(cross, (relative[:-1] * relative[1:]).sum(axis=1)).sum()
    assert swept == pytest.approx(signed, abs=1e-7)
    expected = np.arctan2(end[1] - centre[1], end[0] - centre[0]) + np.copysign(pi / 2, signed)
    assert heading_error(np.array([cos(expected), sin(expected)]), radians(drawn.heading_deg)) < 1e-9


def test_arc_to_its_own_start_is_a_full_circle():
    drawn = Outline((10, 0)).arc_to((10, 0), centre=(0, 0))

    assert drawn.close().equals_exact(circle(20), 1e-12)


def test_arcs_include_their_farthest_points_whatever_their_ends():
    """An arc from 10 to 167 degrees tops out at its radius, odd as the number of chords may be."""
    ends = [(20 * cos(radians(a)), 20 * sin(radians(a))) for a in (10.0, 167.0)]

    assert Outline(ends[0]).arc_to(ends[1], centre=(0, 0)).line.bounds[3] == pytest.approx(20, rel=1e-15)


@given(start=places, middle=places, end=places)
def test_arc_through_passes_the_middle_on_the_way(start, middle, end):
    (x0, y0), (x1, y1), (x2, y2) = start, middle, end
    a, b, c = hypot(x1 - x0, y1 - y0), hypot(x2 - x1, y2 - y1), hypot(x2 - x0, y2 - y0)
    area = abs((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) / 2
    assume(min(a, b, c) > 1 and area > 1)
    line = Outline(start).arc_through(middle, end).line

    assert shapely.distance(line, shapely.Point(middle)) <= 0.01 * FLATTEN + 1e-6
    assert (line.coords[0], line.coords[-1]) == (start, end)
    # Circumradius a b c / 4A (any geometry text): each corner lies on that circle.
    radius = a * b * c / (4 * area)
    corners = shapely.get_coordinates(line)
    if len(corners) > 2:
        one, two, three = corners[0], corners[len(corners) // 2], corners[-1]
        sides = [float(np.hypot(*(p - q))) for p, q in ((one, two), (two, three), (three, one))]
        (ux, uy), (vx, vy) = two - one, three - one
        assert np.prod(sides) / (2 * abs(ux * vy - uy * vx)) == pytest.approx(radius, rel=1e-4)


@given(start=places, heading=angles, end=places)
def test_tangent_arc_leaves_along_the_heading(start, heading, end):
    """Between a chord and the tangent at its end lies half the chord's turn (tangent-chord theorem)."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    distance = hypot(dx, dy)
    side = -dx * sin(radians(heading)) + dy * cos(radians(heading))
    assume(distance > 1 and abs(side) > 1e-3 * distance)
    drawn = Outline(start, heading_deg=heading).tangent_arc_to(end)

    radius = distance**2 / (2 * abs(side))
    chords = steps(drawn.line)
    first, last = np.hypot(*chords[0]), np.hypot(*chords[-1])
    slack = 1e-7 + 1e-9 / min(first, last)
    assert heading_error(chords[0], radians(heading)) == pytest.approx(np.arcsin(first / 2 / radius), abs=slack)
    assert heading_error(chords[-1], radians(drawn.heading_deg)) == pytest.approx(
        np.arcsin(last / 2 / radius), abs=slack
    )
    assert drawn.end == end


@pytest.mark.parametrize("aside", [0, 1e-13, 1e-9, 1e-7, 1e-5, -1e-5])
def test_tangent_arc_straight_or_nearly_straight_ahead_is_a_line(aside):
    line = Outline((0, 0), heading_deg=0).tangent_arc_to((100, aside)).line

    assert shapely.hausdorff_distance(line, shapely.LineString([(0, 0), (100, aside)])) < 1e-4
    assert line.length == pytest.approx(100)


@pytest.mark.parametrize("aside", [1e-3, 1e-5, 1e-7])
def test_arc_through_three_points_nearly_on_a_line(aside):
    """Radius c^2/8s, kilometres here: the chords still pass through the middle."""
    line = Outline((0, 0)).arc_through((50, aside), (100, 0)).line

    assert shapely.distance(line, shapely.Point(50, aside)) < 0.01 * FLATTEN
    assert shapely.get_coordinates(line)[:, 1].max() < aside + 1e-4
    assert line.length == pytest.approx(100)


def test_tangent_pieces_go_on_smoothly_from_line_arc_and_curve():
    """The heading at the end of one piece is that of the first chord of the next, to half its turn."""
    first = Outline((0, 0)).line_to((40, 0)).tangent_arc_to((60, 20))
    second = first.smooth_through([(55, 50), (30, 60)], tangent=True)
    third = second.tangent_arc_to((0, 40))

    for before, after in ((first, second), (second, third)):
        joint = len(before.line.coords) - 1
        assert heading_error(steps(after.line)[joint], radians(before.heading_deg)) < 0.03
        assert heading_error(steps(before.line)[-1], radians(before.heading_deg)) < 0.03


@pytest.mark.parametrize("piece", ["tangent arc", "tangent curve"])
def test_tangent_piece_without_one_before_it_says_so(piece):
    bare = Outline((3, 4))
    with pytest.raises(ShapeError, match="needs one before it") as caught:
        bare.tangent_arc_to((9, 9)) if piece == "tangent arc" else bare.smooth_through([(9, 9)], tangent=True)
    assert caught.value.point == (3, 4)


def test_close_refuses_a_gap_and_says_where():
    drawn = Outline((0, 0)).line_to((50, 0)).line_to((50, 30)).line_to((0.25, 30)).line_to((0.25, 0))
    with pytest.raises(ShapeError, match=r"gap of 0\.2500 mm") as caught:
        drawn.close()
    assert caught.value.point == (0.25, 0)


@pytest.mark.parametrize("gap", [0.0, 0.0012])
def test_close_takes_a_gap_within_its_share_of_the_tolerance(gap):
    drawn = Outline((0, 0)).line_to((50, 0)).line_to((50, 30)).line_to((0, gap))

    assert len(drawn.close().exterior.coords) == 4


def test_close_refuses_a_crossing_and_says_where():
    drawn = Outline((0, 0)).line_to((30, 0)).line_to((30, 20)).line_to((10, -5)).line_to((0, 20)).line_to((0, 0))
    with pytest.raises(ShapeError, match="crosses or touches itself") as caught:
        drawn.close()
    x, y = caught.value.point
    assert y == pytest.approx(0, abs=1e-9)
    assert min(abs(x - 14), abs(x - 8)) < 1e-9  # by hand: the two slanted sides meet the base at 14 and 8


def test_close_refuses_a_figure_of_eight_whose_loops_cancel():
    drawn = Outline((0, 0)).line_to((10, 10)).line_to((10, 0)).line_to((0, 10)).line_to((0, 0))
    with pytest.raises(ShapeError, match=r"crosses or touches itself at \(5\.000, 5\.000\)") as caught:
        drawn.close()
    assert caught.value.point == (5, 5)


@pytest.mark.parametrize("way", [[(10, 0)], [(10, 0), (5, 0)], [(10, 5), (20, 10)]])
def test_close_refuses_an_outline_without_area(way):
    drawn = Outline((0, 0))
    for place in [*way, (0, 0)]:
        drawn = drawn.line_to(place)
    with pytest.raises(ShapeError, match="has no area") as caught:
        drawn.close()
    assert caught.value.point == (0, 0)


BAD = [
    (lambda: Outline((0, float("nan"))), "start[0]=(0.0, nan) is not finite"),
    (lambda: Outline("ab"), "start must be points (x, y)"),
    (lambda: Outline((0, 0), tolerance=-1), "tolerance=-1"),
    (lambda: Outline((0, 0), heading_deg=True), "heading_deg=True"),
    (lambda: Outline((0, 0)).line, "Nothing is drawn yet from (0, 0)"),
    (lambda: Outline((0, 0)).close(), "Nothing is drawn yet"),
    (lambda: Outline((1, 2)).line_to((1, 2)), "has no length"),
    (lambda: Outline((1, 2)).line_to((1, None)), "points (x, y)"),
    (lambda: Outline((0, 0)).arc_to((10, 0), centre=(4, 0)), "starts 4.0000 mm from its centre and ends 6.0000 mm"),
    (lambda: Outline((0, 0)).arc_to((0, 0), centre=(0, 0)), "must be equal"),
    (lambda: Outline((0, 0)).arc_through((5, 5), (10, 10)), "lie on one line"),
    (lambda: Outline((0, 0)).arc_through((5, 5), (0, 0)), "lie on one line"),
    (lambda: Outline((0, 0), heading_deg=0).tangent_arc_to((-5, 0)), "straight behind"),
    (lambda: Outline((0, 0), heading_deg=0).tangent_arc_to((0, 0)), "has no length"),
    (lambda: Outline((0, 0)).smooth_through([]), "places needs at least 1 points"),
    (lambda: Outline((0, 0)).smooth_through([(1, 1), (1, 1)]), "coincide at (1, 1)"),
    (lambda: Outline((0, 0)).smooth_through([(1, 1, 1)]), "points (x, y)"),
]


@pytest.mark.parametrize(("draw", "message"), BAD, ids=[message for _, message in BAD])
def test_outline_refuses_bad_pieces(draw, message):
    with pytest.raises(ToolpathsError) as caught:
        draw()
    assert isinstance(caught.value, (InputError, ShapeError))
    assert message in str(caught.value)
