"""Places in a pattern, against closed formulas: chords of a bolt circle, spans of the 32 mm system."""

from __future__ import annotations

from itertools import pairwise
from math import dist, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

import toolpaths as tp
from samples import examples


@examples(20)
@given(count=st.integers(1, 40), pitch=st.floats(0.1, 200), angle=st.floats(-360, 360))
def test_a_row_is_straight_and_evenly_spaced(count, pitch, angle):
    places = tp.row(count, pitch, (10, -20), angle)
    assert len(places) == count and places[0] == (10, -20)
    assert [dist(a, b) for a, b in pairwise(places)] == pytest.approx([pitch] * (count - 1))
    assert dist(places[0], places[-1]) == pytest.approx((count - 1) * pitch)


@examples(20)
@given(columns=st.integers(1, 9), rows=st.integers(1, 9), angle=st.floats(-360, 360))
def test_a_grid_is_rows_of_the_same_row(columns, rows, angle):
    places = tp.grid(columns, rows, (25, 12), (3, 4), angle)
    upwards = tp.row(rows, 12, (3, 4), angle + 90)
    for number, start in enumerate(upwards):
        given_row = places[number * columns : (number + 1) * columns]
        for place, other in zip(given_row, tp.row(columns, 25, start, angle), strict=True):
            assert place == pytest.approx(other)
    assert len(places) == columns * rows


def test_five_on_a_circle_of_40_are_where_they_are_worked_out_to_be():
    """Chord D sin(pi / n) (closed form); the places of five on 40 about (50, 50), the first at the top."""
    worked = [(50, 70), (30.978870, 56.180340), (38.244295, 33.819660), (61.755705, 33.819660), (69.021130, 56.180340)]
    places = tp.bolt_circle(5, 40, centre=(50, 50))
    for place, expected in zip(places, worked, strict=True):
        assert place == pytest.approx(expected, abs=1e-6)
    assert dist(places[0], places[1]) == pytest.approx(40 * sin(pi / 5))


@examples(20)
@given(number=st.integers(2, 30), inset=st.floats(0, 30))
def test_places_along_a_line_are_evenly_spread_on_it(number, inset):
    line = LineString([(0, 0), (80, 0), (80, 60)])
    places = tp.spaced_along(line, count=number, inset=inset)
    along = [line.project(Point(place)) for place in places]
    assert along[0] == pytest.approx(inset) and along[-1] == pytest.approx(line.length - inset)
    assert [b - a for a, b in pairwise(along)] == pytest.approx(
        [(line.length - 2 * inset) / (number - 1)] * (number - 1)
    )
    assert all(line.distance(Point(place)) < 1e-9 for place in places)


@pytest.mark.parametrize(("at_most", "expected"), [(100, 2), (50, 3), (49.9, 4), (1000, 2)])
def test_no_more_places_than_it_takes(at_most, expected):
    assert len(tp.spaced_along([(0, 0), (100, 0)], at_most=at_most)) == expected


def test_round_a_closed_line_none_stands_twice():
    square = [(0, 0), (40, 0), (40, 40), (0, 40), (0, 0)]
    assert tp.spaced_along(square, count=4) == ((0, 0), (40, 0), (40, 40), (0, 40))
    assert len(tp.spaced_along(square, at_most=45)) == 4


def test_rows_of_the_32_mm_system():
    """The front row 37 from the front edge, five holes span 128, rows a multiple of 32 apart (trade description)."""
    holes = tp.system_32(5, 64, back=224, front_edge=2)
    front, back = holes[:5], holes[5:]
    assert {x for x, _ in front} == {39} and {x for x, _ in back} == {263}
    assert dist(front[0], front[-1]) == 128
    with pytest.raises(tp.InputError, match="224 or 256"):
        tp.system_32(5, 64, back=230)


def test_what_is_no_pattern_is_refused_with_what_would_be():
    with pytest.raises(tp.InputError, match="count=, how many, or at_most="):
        tp.spaced_along([(0, 0), (10, 0)])
    with pytest.raises(tp.InputError, match="no ends"):
        tp.spaced_along([(0, 0), (10, 0), (0, 10), (0, 0)], count=3, inset=1)
    with pytest.raises(tp.DoesNotFitError, match="more than the line has"):
        tp.spaced_along([(0, 0), (10, 0)], count=3, inset=6)
    with pytest.raises(tp.InputError, match="one length, or two"):
        tp.grid(2, 2, (1, 2, 3))
