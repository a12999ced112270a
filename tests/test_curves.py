"""Smooth curves, against a spline found another way, and the small constructions behind arcs."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.polynomial import polynomial

from toolpaths.base.errors import ShapeError
from toolpaths.shapes.curves import (
    arc,
    centre_of,
    many_steps_for,
    nearest_places,
    smooth,
    steps_for,
    sweep_between,
    tangent_arc_centre,
)

places = st.tuples(st.floats(-100, 100), st.floats(-100, 100))
ways = st.lists(places, min_size=2, max_size=7).filter(
    lambda way: min(hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(way, way[1:])) > 1
)


def sampled_spline(points: np.ndarray, heading: float | None, each: int) -> np.ndarray:
    """The spline as four power coefficients a span, from one dense system of all its conditions.

    Conditions as any numerical text gives them: each span meets its two points; slope and
    curvature agree where spans meet; no curvature at the ends, or a given slope at the first.
    """
    lengths = np.hypot(*np.diff(points, axis=0).T)
    spans = len(lengths)
    rows, right = [], []

    def condition(terms: list[tuple[int, int, float]], value: np.ndarray) -> None:
        """The sum over (span, derivative, place) is a value; the sign of a span -1-k is negative."""
        row = np.zeros(4 * spans)
        for span, order, at in terms:
            sign, k = (1.0, span) if span >= 0 else (-1.0, -1 - span)
            for power in range(4):
                unit = np.zeros(4)
                unit[power] = 1.0
                derived = polynomial.polyder(unit, order) if order else unit
                row[4 * k + power] += sign * float(polynomial.polyval(at, derived))
        rows.append(row)
        right.append(value)

    for k in range(spans):
        condition([(k, 0, 0.0)], points[k])
        condition([(k, 0, lengths[k])], points[k + 1])
    for k in range(spans - 1):
        for order in (1, 2):
            condition([(k, order, lengths[k]), (-2 - k, order, 0.0)], np.zeros(2))
    condition([(spans - 1, 2, lengths[-1])], np.zeros(2))
    if heading is None:
        condition([(0, 2, 0.0)], np.zeros(2))
    else:
        condition([(0, 1, 0.0)], np.array([cos(heading), sin(heading)]))
    coefficients = np.linalg.solve(np.array(rows), np.array(right)).reshape(spans, 4, 2)
    parts = [polynomial.polyval(np.linspace(0, length, each), coefficients[k]).T for k, length in enumerate(lengths)]
    return np.vstack(parts)


@given(way=ways, heading=st.none() | st.floats(-pi, pi), sagitta=st.sampled_from([0.001, 0.02, 0.5]))
def test_smooth_stays_within_its_sagitta_of_the_spline(way, heading, sagitta):
    points = np.array(way)
    chords, _ = smooth(points, sagitta, heading)

    true = sampled_spline(points, heading, 150)
    line = shapely.LineString(chords)
    assert shapely.distance(shapely.points(true), line).max() <= sagitta + 1e-9
    # Vertices lie on the curve; the sampled curve falls short of it by its own chords.
    nearest = shapely.distance(shapely.points(chords), shapely.LineString(true)).max()
    gaps = np.hypot(*np.diff(true, axis=0).T).max()
    assert nearest <= max(gaps, 1e-9)


@given(way=ways, heading=st.none() | st.floats(-pi, pi))
def test_smooth_passes_through_its_points_and_tells_its_last_direction(way, heading):
    points = np.array(way)
    chords, end = smooth(points, 0.01, heading)

    for point in points:
        assert np.hypot(*(chords - point).T).min() < 1e-9
    assert (chords[0] == points[0]).all()
    assert chords[-1] == pytest.approx(points[-1])
    dx, dy = np.diff(sampled_spline(points, heading, 4000)[-2:], axis=0)[0]
    if hypot(dx, dy) > 1e-3:
        assert np.exp(1j * end) == pytest.approx((dx + 1j * dy) / hypot(dx, dy), abs=1e-2)


def test_smooth_leaves_along_a_given_heading():
    chords, _ = smooth(np.array([(0, 0), (50, 30), (100, 0)]), 1e-6, pi / 2)

    dx, dy = chords[1] - chords[0]
    assert np.arctan2(dy, dx) == pytest.approx(pi / 2, abs=0.01)


def test_smooth_through_points_of_a_circle_comes_close_to_it():
    """A cubic spline through n points of a circle is off by about R (2 pi/n)^4/384 away from its ends."""
    turns = np.linspace(0, 4 * pi, 49)
    chords, _ = smooth(50 * np.column_stack([np.cos(turns), np.sin(turns)]), 1e-5)

    middle = chords[len(chords) // 3 : 2 * len(chords) // 3]
    assert np.abs(np.hypot(*middle.T) - 50).max() < 3 * 50 * (2 * pi / 24) ** 4 / 384


def test_smooth_through_points_in_line_is_that_line():
    chords, end = smooth(np.array([(0, 0), (10, 10), (40, 40)]), 0.01)

    assert chords.tolist() == [[0, 0], [10, 10], [40, 40]]
    assert end == pytest.approx(pi / 4)


def test_smooth_says_where_two_points_coincide():
    with pytest.raises(ShapeError, match=r"coincide at \(7, 8\)") as caught:
        smooth(np.array([(0.0, 0.0), (7.0, 8.0), (7.0, 8.0), (9.0, 9.0)]), 0.01)
    assert caught.value.point == (7, 8)
    assert all(type(c) is float for c in caught.value.point)


@given(centre=places, start=places, sweep=st.floats(-2 * pi, 2 * pi).filter(lambda s: abs(s) > 1e-3))
def test_arc_contains_its_farthest_points(centre, start, sweep):
    radius = hypot(start[0] - centre[0], start[1] - centre[1])
    assume(radius >= 1e-3)
    chords = arc(centre, start, sweep, 0.05)

    first = np.arctan2(start[1] - centre[1], start[0] - centre[0])
    turns = first + np.linspace(0, sweep, 5001)
    fine = centre + radius * np.column_stack([np.cos(turns), np.sin(turns)])
    assert (chords.max(axis=0) >= fine.max(axis=0) - 1e-9).all()
    assert (chords.min(axis=0) <= fine.min(axis=0) + 1e-9).all()
    assert tuple(chords[0]) == start


@given(a=places, b=places, c=places)
def test_centre_of_lies_equally_far_from_all_three(a, b, c):
    centre = centre_of(a, b, c)
    assume(centre is not None)
    radii = [hypot(p[0] - centre[0], p[1] - centre[1]) for p in (a, b, c)]
    spread = min(hypot(a[0] - b[0], a[1] - b[1]), hypot(c[0] - b[0], c[1] - b[1]), hypot(a[0] - c[0], a[1] - c[1]))
    if spread > 0.1 and max(radii) < 1e5:
        assert max(radii) - min(radii) < 1e-6 * max(radii)


@pytest.mark.parametrize(
    ("a", "b", "c"),
    [((0, 0), (1, 1), (3, 3)), ((0, 0), (0, 0), (1, 0)), ((1, 2), (3, 4), (1, 2)), ((0, 0), (1e-8, 1e-8), (1, 1))],
)
def test_centre_of_points_on_a_line_is_none(a, b, c):
    assert centre_of(a, b, c) is None


def test_sweep_between_goes_the_long_way_where_asked():
    assert sweep_between((0, 0), (1, 0), (0, 1), False) == pytest.approx(pi / 2)
    assert sweep_between((0, 0), (1, 0), (0, 1), True) == pytest.approx(-3 * pi / 2)
    assert sweep_between((0, 0), (1, 0), (1, 0), True) == pytest.approx(-2 * pi)


def test_tangent_arc_centre_of_a_half_circle():
    assert tangent_arc_centre((0, 0), 0.0, (0, 10)) == pytest.approx((0, 5))
    assert tangent_arc_centre((0, 0), 0.0, (10, 0)) is None
    assert tangent_arc_centre((3, 3), 1.0, (3, 3)) is None


@given(seed=st.integers(0, 10_000))
def test_nearest_places_of_a_line_are_as_near_as_any(seed):
    """As near as shapely finds them, which looks at all chords; where two are as near, either."""
    random = np.random.default_rng(seed)
    line = random.uniform(0, 50, (random.integers(2, 40), 2))
    points = random.uniform(-10, 60, (30, 2))
    found = nearest_places(points, line)
    least = shapely.distance(shapely.points(points), shapely.linestrings(line))
    assert np.hypot(*(found - points).T) == pytest.approx(least, abs=1e-9)
    assert shapely.distance(shapely.points(found), shapely.linestrings(line)).max() < 1e-9


def test_chords_of_many_arcs_are_those_of_each() -> None:
    random = np.random.default_rng(7)
    radii, sweeps = 10.0 ** random.uniform(-3, 7, 3000), random.uniform(-2 * pi, 2 * pi, 3000)
    for sagitta in (0.02, 0.0005):
        each = [steps_for(radius, sweep, sagitta) for radius, sweep in zip(radii.tolist(), sweeps.tolist())]
        assert many_steps_for(radii, sweeps, sagitta).tolist() == each
