"""Two arcs from one direction into another: they begin, meet and end as asked, whatever the directions."""

from __future__ import annotations

from math import cos, hypot, pi, sin, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from toolpaths.shapes.biarc import biarc

places = st.tuples(st.floats(-50, 50), st.floats(-50, 50))
turns = st.floats(-pi, pi)


def apart(a: float, b: float) -> float:
    return abs((a - b + pi) % (2 * pi) - pi)


@given(start=places, end=places, heading=turns, arrival=turns)
def test_biarc_goes_smoothly_from_start_to_end(start, end, heading, arrival):
    assume(hypot(end[0] - start[0], end[1] - start[1]) >= 1e-3)
    way = biarc(start, heading, end, arrival)
    if way is None:
        # The same way on both ends, or nearly, and the place behind or far to the side.
        assert apart(heading, arrival) < 0.01
        return
    first, last = way

    assert first.start == start and last.end == end and first.end == last.start
    for segment in (first, last):
        if segment.sweep:
            x, y = segment.at(0.999999)
            assert hypot(x - segment.end[0], y - segment.end[1]) < 1e-3 + 1e-5 * segment.radius
    if max(first.radius if first.sweep else 0, last.radius if last.sweep else 0) < 1e4:
        assert apart(first.heading(0.0), heading) < 1e-5
        assert apart(last.heading(1.0), arrival) < 1e-5
        if min(first.length, last.length) > 1e-3:
            assert apart(first.heading(1.0), last.heading(0.0)) < 1e-4


@pytest.mark.parametrize("radius", [0.5, 3.0, 40.0])
@pytest.mark.parametrize("over", [0.2, 1.0])
def test_biarc_to_a_parallel_line_has_two_equal_arcs(radius, over):
    """Two arcs of radius q carry a path over by s within sqrt(s (4 q - s)) (derived: 2 q (1 - cos t) = s)."""
    s = over * radius
    way = biarc((0, 0), 0.0, (sqrt(s * (4 * radius - s)), s), 0.0)

    assert [segment.radius for segment in way] == pytest.approx([radius, radius])
    assert way[0].sweep == pytest.approx(-way[1].sweep)


def test_biarc_back_beside_itself_is_half_a_circle():
    way = biarc((0, 0), 0.0, (0, 2), pi)

    assert sum(segment.sweep for segment in way) == pytest.approx(pi)
    assert [segment.radius for segment in way] == pytest.approx([1, 1])


def test_biarc_straight_ahead_is_straight_and_of_no_length_nothing():
    assert all(segment.sweep == 0 for segment in biarc((1, 2), 0.3, (1 + cos(0.3), 2 + sin(0.3)), 0.3))
    assert biarc((1, 2), 0.3, (1, 2), 1.0) == ()


def test_biarc_to_a_place_straight_behind_is_none():
    assert biarc((0, 0), 0.0, (-5, 0), 0.0) is None
