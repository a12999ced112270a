"""Arcs and lines fitted to polylines: never farther off than the tolerance, joined exactly, and few."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np
import pytest
import shapely
from catalogue import SHAPES
from hypothesis import given
from hypothesis import strategies as st
from test_track import sampled

from toolpaths.errors import ShapeError
from toolpaths.geometry.arcs import fit
from toolpaths.geometry.curves import smooth
from toolpaths.geometry.door import ring_points
from toolpaths.geometry.shapes import circle, ellipse, rectangle, regular_polygon
from toolpaths.geometry.track import Track

tolerances = st.sampled_from([0.0005, 0.00333, 0.05])
coordinates = st.floats(-60, 60)
corners = st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=9, unique=True)


def line_of(points: np.ndarray, closed: bool) -> shapely.LineString:
    return shapely.LineString(np.vstack([points, points[:1]]) if closed else points)


def all_within(points: np.ndarray, line: shapely.LineString, tolerance: float) -> bool:
    shapely.prepare(line)
    return bool(shapely.dwithin(line, shapely.points(points), tolerance * (1 + 1e-6) + 1e-9).all())


def assert_fits(track: Track, points: np.ndarray, closed: bool, tolerance: float) -> None:
    """Both ways: the track from the polyline, and the polyline from the track, and every joint exact."""
    line = line_of(points, closed)
    fine = sampled(track.pieces, 120)
    assert all_within(fine, line, tolerance)
    path = shapely.LineString(fine)
    # The samples of an arc leave it by their own sagitta.
    slack = max((p.radius * (1 - np.cos(p.sweep / 238)) for p in track.pieces if p.sweep), default=0.0)
    dense = shapely.get_coordinates(shapely.segmentize(line, max(line.length / 3000, 0.01)))
    assert all_within(dense, path, tolerance + slack)
    for piece, following in pairwise([*track.pieces, track.pieces[0]] if closed else track.pieces):
        assert piece.end == following.start
    vertices = {tuple(row) for row in points.tolist()}
    assert all(piece.start in vertices and piece.end in vertices for piece in track.pieces)
    for piece in track.pieces:
        if piece.sweep:
            end = np.hypot(piece.end[0] - piece.centre[0], piece.end[1] - piece.centre[1])
            assert end == pytest.approx(piece.radius, abs=1e-6)
            assert abs(piece.sweep) <= pi + 1e-5
            turned = sampled([piece], 2)[-1]
            assert turned == pytest.approx(piece.end, abs=1e-6)


@given(way=corners, tolerance=tolerances)
def test_fit_of_cornered_polylines(way, tolerance):
    points = np.array(way)
    if np.hypot(*np.diff(points, axis=0).T).min() < 1e-6:
        return
    assert_fits(fit(points, False, tolerance), points, False, tolerance)


@given(way=corners.filter(lambda way: len(way) > 3), tolerance=tolerances, closed=st.booleans())
def test_fit_of_smooth_polylines(way, tolerance, closed):
    way = np.array(way)
    if np.hypot(*np.diff(way, axis=0).T).min() < 0.5 or np.hypot(*(way[0] - way[-1])) < 0.5:
        return
    points, _ = smooth(way / 4, tolerance / 3)
    track = fit(points, closed, tolerance)

    assert_fits(track, points, closed, tolerance)
    assert len(track.pieces) <= len(points)


@given(
    steps=st.lists(st.tuples(st.floats(-1, 1), st.floats(-1, 1)), min_size=2, max_size=40),
    scale=st.sampled_from([0.003, 0.02, 0.5]),
    closed=st.booleans(),
)
def test_fit_of_noise_as_small_as_the_tolerance(steps, scale, closed):
    """Steps up and down by about the tolerance: where a check at vertices alone would be too kind."""
    points = np.cumsum(np.array(steps) * scale + (0.01, 0.0), axis=0)
    if np.hypot(*np.diff(points, axis=0).T).min() < 1e-6 or np.hypot(*(points[0] - points[-1])) < 1e-6:
        return
    assert_fits(fit(points, closed, 0.005), points, closed, 0.005)


@pytest.mark.parametrize("radius", [0.5, 3.175, 40.0, 300.0])
@pytest.mark.parametrize("begin", [0, 1, 17])
def test_fit_of_a_circle_is_two_arcs_with_its_radius(radius, begin):
    points = np.roll(ring_points(circle(2 * radius, (50, 60)).exterior), begin, axis=0)
    track = fit(points, True, 0.01 / 3)

    assert len(track.pieces) == 2
    for piece in track.pieces:
        assert piece.radius == pytest.approx(radius, rel=1e-9)
        assert piece.centre == pytest.approx((50, 60), abs=1e-9 * radius)
        assert piece.sweep == pytest.approx(pi)
    assert_fits(track, points, True, 0.01 / 3)


def test_fit_of_a_circle_run_clockwise():
    track = fit(ring_points(circle(20).exterior)[::-1], True, 0.01 / 3)

    assert [piece.sweep for piece in track.pieces] == pytest.approx([-pi, -pi])


def test_fit_of_a_rectangle_stays_four_lines():
    points = shapely.get_coordinates(shapely.segmentize(shapely.box(0, 0, 90, 40), 3))[:-1]
    track = fit(np.roll(points, 5, axis=0), True, 0.01 / 3)

    assert sorted(piece.length for piece in track.pieces) == pytest.approx([40, 40, 90, 90])
    assert all(piece.sweep == 0 for piece in track.pieces)


def test_fit_of_a_rounded_rectangle_is_four_lines_and_four_arcs():
    track = fit(ring_points(rectangle(72, 48, corner_radius=3).exterior), True, 0.01 / 3)

    assert sorted(piece.sweep for piece in track.pieces) == pytest.approx([0] * 4 + [pi / 2] * 4)
    assert [piece.radius for piece in track.pieces if piece.sweep] == pytest.approx([3] * 4)


@pytest.mark.parametrize("sides", [3, 5, 6, 8, 12, 30])
def test_fit_of_a_coarse_polygon_stays_lines(sides):
    """Its corners lie on a circle; a circle it is not."""
    track = fit(ring_points(regular_polygon(sides, 60).exterior), True, 0.01 / 3)

    assert len(track.pieces) == sides
    assert all(piece.sweep == 0 for piece in track.pieces)


def test_fit_of_a_fine_polygon_depends_on_its_sagitta():
    """100 chords of a circle of 50 are 0.0247 mm deep (sagitta, derived): arcs at 0.03, lines at 0.02."""
    points = ring_points(regular_polygon(100, 100).exterior)

    assert any(piece.sweep for piece in fit(points, True, 0.03).pieces)
    assert not any(piece.sweep for piece in fit(points, True, 0.02).pieces)


def test_fit_of_an_ellipse_is_far_shorter_than_its_polyline():
    points = ring_points(ellipse(120, 60).exterior)
    track = fit(points, True, 0.01 / 3)

    assert_fits(track, points, True, 0.01 / 3)
    assert len(track.pieces) < len(points) / 4


@pytest.mark.parametrize("name", SHAPES)
def test_fit_of_every_odd_shape(name):
    for part in shapely.get_parts(SHAPES[name]):
        for ring in (part.exterior, *part.interiors):
            points = ring_points(ring)
            assert_fits(fit(points, True, 0.01 / 3), points, True, 0.01 / 3)


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize(
    "points",
    [
        [(0, 0), (1e-6, 0)],
        [(0, 0), (5, 0)],
        [(0, 0), (1e-3, 1e-3), (2e-3, 0)],
        [(0, 0), (10, 1e-9), (20, -1e-9), (30, 0)],
        [(0, 0), (10, 0), (5, 0), (20, 0)],
        [(0, 0), (10, 0.001), (0, 0.002)],
        [(0, 0), (30, 0), (30, 1e-5), (0, 1e-5)],
        [(0, 0), (0.001, 0), (0.001, 0.001), (50, 50)],
    ],
    ids=["micron", "two points", "speck", "nearly a line", "back and forth", "needle", "sliver", "hook"],
)
def test_fit_of_tiny_and_degenerate_polylines(points, closed):
    array = np.array(points, dtype=float)
    assert_fits(fit(array, closed, 0.01 / 3), array, closed, 0.01 / 3)


@pytest.mark.parametrize("closed", [False, True])
def test_fit_leaves_out_points_that_repeat(closed):
    points = np.array([(0, 0), (0, 0), (10, 0), (10, 0), (10, 10), (0, 10), (0, 10)], dtype=float)
    track = fit(points, closed, 0.003)

    assert [piece.length for piece in track.pieces] == [10] * (4 if closed else 3)


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("points", [[(3, 4)], [(3, 4)] * 3])
def test_fit_of_a_single_place_is_an_error_that_says_where(points, closed):
    with pytest.raises(ShapeError, match=r"at \(3\.000, 4\.000\) has no length") as caught:
        fit(np.array(points, dtype=float), closed, 0.003)
    assert caught.value.point == (3, 4)
