"""Arcs and lines fitted to polylines: never farther off than the tolerance, joined exactly, and few."""

from __future__ import annotations

from itertools import pairwise
from math import degrees, pi

import numpy as np
import pytest
import shapely
from catalogue import SHAPES
from hypothesis import assume, given
from hypothesis import strategies as st
from test_track import sampled

from toolpaths.base.errors import ShapeError
from toolpaths.shapes import offset
from toolpaths.shapes.arc_fit import fit
from toolpaths.shapes.curves import smooth
from toolpaths.shapes.door import ring_points
from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, regular_polygon, slot
from toolpaths.shapes.tangent import distances
from toolpaths.shapes.track import Segment, Track, circle_track

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
    fine = sampled(track.segments, 120)
    assert all_within(fine, line, tolerance)
    path = shapely.LineString(fine)
    # The samples of an arc leave it by their own sagitta.
    slack = max((p.radius * (1 - np.cos(p.sweep / 238)) for p in track.segments if p.sweep), default=0.0)
    dense = shapely.get_coordinates(shapely.segmentize(line, max(line.length / 3000, 0.01)))
    assert all_within(dense, path, tolerance + slack)
    for segment, following in pairwise([*track.segments, track.segments[0]] if closed else track.segments):
        assert segment.end == following.start
    if not closed:
        assert track.segments[0].start == tuple(points[0].tolist())
        assert track.segments[-1].end == tuple(points[-1].tolist())
    for segment in track.segments:
        if segment.sweep:
            end = np.hypot(segment.end[0] - segment.centre[0], segment.end[1] - segment.centre[1])
            assert end == pytest.approx(segment.radius, abs=1e-6)
            assert abs(segment.sweep) <= pi + 1e-5
            turned = sampled([segment], 2)[-1]
            assert turned == pytest.approx(segment.end, abs=1e-6)


def bends(track: Track) -> list[float]:
    """The turn at each joint, in degrees."""
    turns = [
        after.heading(0.0) - before.heading(1.0)
        for before, after in pairwise([*track.segments, *track.segments[: track.closed]])
    ]
    return [abs(degrees((turn + pi) % (2 * pi) - pi)) for turn in turns]


def flower(waves: list[tuple[float, float]], count: int) -> np.ndarray:
    """A smooth ring about 50 mm in radius, bent in and out by waves of (share of the radius, phase)."""
    turns = np.arange(count) * 2 * pi / count
    radius = 50 * (
        1 + sum(size / (k * k) * np.cos(k * turns + phase) for k, (size, phase) in enumerate(waves, start=2))
    )
    return np.column_stack([radius * np.cos(turns), radius * np.sin(turns)])


def moved(shape: shapely.Polygon, distance: float) -> np.ndarray:
    return ring_points(offset.wall(shape, distance, 0.01).exterior)


@given(way=corners, tolerance=tolerances)
def test_fit_of_cornered_polylines(way, tolerance):
    points = np.array(way)
    assume(np.hypot(*np.diff(points, axis=0).T).min() >= 1e-6)
    assert_fits(fit(points, False, tolerance), points, False, tolerance)


@given(way=corners.filter(lambda way: len(way) > 3), tolerance=tolerances, closed=st.booleans())
def test_fit_of_smooth_polylines(way, tolerance, closed):
    way = np.array(way)
    assume(np.hypot(*np.diff(way, axis=0).T).min() >= 0.5 and np.hypot(*(way[0] - way[-1])) >= 0.5)
    points, _ = smooth(way / 4, tolerance / 3)
    track = fit(points, closed, tolerance)

    assert_fits(track, points, closed, tolerance)
    assert len(track.segments) <= len(points)


@given(
    steps=st.lists(st.tuples(st.floats(-1, 1), st.floats(-1, 1)), min_size=2, max_size=40),
    scale=st.sampled_from([0.003, 0.02, 0.5]),
    closed=st.booleans(),
)
def test_fit_of_noise_as_small_as_the_tolerance(steps, scale, closed):
    """Steps up and down by about the tolerance: where a check at vertices alone would be too kind."""
    points = np.cumsum(np.array(steps) * scale + (0.01, 0.0), axis=0)
    assume(np.hypot(*np.diff(points, axis=0).T).min() >= 1e-6 and np.hypot(*(points[0] - points[-1])) >= 1e-6)
    assert_fits(fit(points, closed, 0.005), points, closed, 0.005)


@pytest.mark.parametrize("radius", [0.5, 3.175, 40.0, 300.0])
@pytest.mark.parametrize("begin", [0, 1, 17])
def test_fit_of_a_circle_is_two_arcs_with_its_radius(radius, begin):
    points = np.roll(ring_points(circle(2 * radius, (50, 60)).exterior), begin, axis=0)
    track = fit(points, True, 0.01 / 3)

    assert len(track.segments) == 2
    for segment in track.segments:
        assert segment.radius == pytest.approx(radius, rel=1e-9)
        assert segment.centre == pytest.approx((50, 60), abs=1e-9 * radius)
        assert segment.sweep == pytest.approx(pi)
    assert_fits(track, points, True, 0.01 / 3)


def test_fit_of_a_circle_run_clockwise():
    track = fit(ring_points(circle(20).exterior)[::-1], True, 0.01 / 3)

    assert [segment.sweep for segment in track.segments] == pytest.approx([-pi, -pi])


def test_fit_of_a_rectangle_stays_four_lines():
    points = shapely.get_coordinates(shapely.segmentize(shapely.box(0, 0, 90, 40), 3))[:-1]
    track = fit(np.roll(points, 5, axis=0), True, 0.01 / 3)

    assert sorted(segment.length for segment in track.segments) == pytest.approx([40, 40, 90, 90])
    assert all(segment.sweep == 0 for segment in track.segments)


def test_fit_of_a_rounded_rectangle_is_four_lines_and_four_arcs():
    track = fit(ring_points(rectangle(72, 48, corner_radius=3).exterior), True, 0.01 / 3)

    assert sorted(segment.sweep for segment in track.segments) == pytest.approx([0] * 4 + [pi / 2] * 4)
    assert [segment.radius for segment in track.segments if segment.sweep] == pytest.approx([3] * 4)


@pytest.mark.parametrize("sides", [3, 5, 6, 8, 12, 30])
def test_fit_of_a_coarse_polygon_stays_lines(sides):
    """Its corners lie on a circle; a circle it is not."""
    track = fit(ring_points(regular_polygon(sides, 60).exterior), True, 0.01 / 3)

    assert len(track.segments) == sides
    assert all(segment.sweep == 0 for segment in track.segments)


@pytest.mark.sample(6)
@pytest.mark.parametrize("distance", [0.5, 1.5, 3, 6.35])
@pytest.mark.parametrize(("sides", "radius"), [(90, 28.65), (120, 28.65), (110, 71.0), (150, 60.0)])
def test_fit_of_a_polygon_moved_outwards_has_no_arcs_about_its_corners(sides, radius, distance):
    """No arcs are left between sides that hardly bend: they meet r (1 / cos(pi / n) - 1) outside the arc about a
    corner (derived), which is less than the tolerance."""
    points = moved(regular_polygon(sides, 2 * radius), distance)
    track = fit(points, True, 0.01 / 2)

    assert_fits(track, points, True, 0.01 / 2)
    assert distance * (1 / np.cos(pi / sides) - 1) < 0.01 / 2
    assert len(track.segments) <= sides + 1
    # But where the ring is begun.
    side = 2 * (radius * np.cos(pi / sides) + distance) * np.tan(pi / sides)
    assert sorted(segment.length for segment in track.segments)[2] >= 0.97 * side


def test_fit_of_a_fine_polygon_depends_on_its_sagitta():
    """100 chords of a circle of 50 are 0.0247 mm deep (sagitta, derived): arcs at 0.03, lines at 0.02."""
    points = ring_points(regular_polygon(100, 100).exterior)

    assert any(segment.sweep for segment in fit(points, True, 0.03).segments)
    assert not any(segment.sweep for segment in fit(points, True, 0.02).segments)


def test_fit_of_an_ellipse_is_far_shorter_than_its_polyline():
    points = ring_points(ellipse(120, 60).exterior)
    track = fit(points, True, 0.01 / 3)

    assert_fits(track, points, True, 0.01 / 3)
    assert len(track.segments) < len(points) / 4


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

    assert [segment.length for segment in track.segments] == [10] * (4 if closed else 3)


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("points", [[(3, 4)], [(3, 4)] * 3])
def test_fit_of_a_single_place_is_an_error_that_says_where(points, closed):
    with pytest.raises(ShapeError, match=r"at \(3\.000, 4\.000\) has no length") as caught:
        fit(np.array(points, dtype=float), closed, 0.003)
    assert caught.value.point == (3, 4)


SMOOTH = {
    "ellipse": ellipse(120, 60),
    "flat ellipse": ellipse(60, 20),
    "nearly round": ellipse(100, 96),
    "flower": shapely.Polygon(flower([(0.3, 0.2), (0.5, 1.0), (0.6, 2.0)], 700)),
}


@pytest.mark.parametrize("distance", [0, 3, -3])
@pytest.mark.parametrize("name", SMOOTH)
def test_fit_of_a_smooth_curve_has_hardly_a_bend(name, distance):
    """No joint turns by half a degree, be it of the curve or of its offset."""
    points = moved(SMOOTH[name], distance) if distance else ring_points(SMOOTH[name].exterior)
    track = fit(points, True, 0.01 / 3)

    assert_fits(track, points, True, 0.01 / 3)
    assert max(bends(track)) < 0.5


waves = st.lists(st.tuples(st.floats(0, 0.4), st.floats(0, 2 * pi)), min_size=0, max_size=3)


@given(
    waves=waves,
    count=st.integers(700, 1100),
    noise=st.sampled_from([0.0, 0.0005]),
    tolerance=st.sampled_from([0.00333, 0.02]),
)
def test_fit_of_any_smooth_ring_has_hardly_a_bend(waves, count, noise, tolerance):
    """Nor does noise of a few percent of what is allowed make one felt: its own turn is 4 parts of it over a length."""
    points = flower(waves, count)
    points += noise * np.column_stack([np.sin(np.arange(count) * 2.3), np.cos(np.arange(count) * 1.7)])
    track = fit(points, True, tolerance)

    assert_fits(track, points, True, tolerance)
    shortest = min(segment.length for segment in track.segments)
    assert max(bends(track)) < 0.5 + degrees(8 * noise / shortest)


@pytest.mark.parametrize(("width", "height"), [(120, 60), (100, 90), (300, 200), (60, 20)])
def test_fit_of_an_ellipse_takes_no_more_arcs_than_its_curvature_asks_for(width, height):
    """An arc of length l through three points of a curve is off by 0.00802 l^3 dk/ds (derived: the greatest value of
    t (t - 1/2)(t - 1)/6), so a length asks for the integral of (0.00802 dk/ds / tolerance)^(1/3) arcs; one at each
    of the four ends of its axes, and a tenth for chords, vertices and joints without a bend."""
    tolerance = 0.01 / 3
    a, b, t = width / 2, height / 2, np.linspace(0, 2 * pi, 20001)
    speed = np.hypot(a * np.sin(t), b * np.cos(t))
    curvature = a * b / speed**3
    rate = np.abs(np.gradient(curvature, t)) / speed
    asked = np.trapezoid((0.00802 * rate / tolerance) ** (1 / 3) * speed, t)

    assert len(fit(ring_points(ellipse(width, height).exterior), True, tolerance).segments) <= 1.1 * asked + 4


@pytest.mark.parametrize("distance", [3, 1.5, -1])
@pytest.mark.parametrize("radius", [2, 3, 10])
def test_fit_keeps_tangent_points_of_a_rounded_rectangle_moved(radius, distance):
    """Four lines as long as they were, four quarter turns of the new radius, and no bend between them."""
    track = fit(moved(rectangle(72, 48, corner_radius=radius), distance), True, 0.01 / 3)

    lines = sorted(segment.length for segment in track.segments if not segment.sweep)
    assert lines == pytest.approx([48 - 2 * radius] * 2 + [72 - 2 * radius] * 2, abs=0.005)
    assert [segment.sweep for segment in track.segments if segment.sweep] == pytest.approx([pi / 2] * 4, abs=0.002)
    assert [segment.radius for segment in track.segments if segment.sweep] == pytest.approx(
        [radius + distance] * 4, abs=0.003
    )
    assert max(bends(track)) < 0.1


@pytest.mark.parametrize("distance", [3, -3])
@pytest.mark.parametrize("end", [(50, 0), (50, 13), (-7, 31)])
def test_fit_of_a_slot_moved_is_two_lines_and_two_half_turns(end, distance):
    track = fit(moved(slot((0, 0), end, 16), distance), True, 0.01 / 3)

    assert sorted(abs(segment.sweep) for segment in track.segments) == pytest.approx([0, 0, pi, pi], abs=0.002)
    assert sorted(segment.length for segment in track.segments if not segment.sweep) == pytest.approx(
        [np.hypot(*end)] * 2, abs=0.01
    )
    assert max(bends(track)) < 0.1


def test_fit_finds_the_arcs_that_a_line_of_arcs_was_made_of():
    """Radii 40, 12 and 25, turning left, right and left, tangent to each other: each comes back as one arc."""
    way, at, heading = [np.zeros(2)], np.zeros(2), 0.3
    for radius, sweep in ((40.0, 1.1), (12.0, -1.9), (25.0, 0.8)):
        side = 1 if sweep > 0 else -1
        centre = at + side * radius * np.array([-np.sin(heading), np.cos(heading)])
        turns = np.linspace(0, sweep, 60)[1:]
        rays = np.array([np.cos(turns), np.sin(turns)]), at - centre
        way += [
            centre + np.array([c * rays[1][0] - s * rays[1][1], s * rays[1][0] + c * rays[1][1]])
            for c, s in zip(*rays[0], strict=True)
        ]
        at, heading = way[-1], heading + sweep
    track = fit(np.array(way), False, 0.01 / 3)

    assert [segment.sweep for segment in track.segments] == pytest.approx([1.1, -1.9, 0.8], abs=1e-6)
    assert [segment.radius for segment in track.segments] == pytest.approx([40, 12, 25], rel=1e-6)


@pytest.mark.parametrize("turn_deg", [2, 5, 20, 90, 170])
def test_fit_keeps_a_corner_between_two_curves(turn_deg):
    """Two halves of an ellipse bent at their meeting: the corner is a joint still, at the same place and as sharp."""
    half = ring_points(ellipse(120, 60).exterior)[:245]
    turn = np.radians(turn_deg)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    points = np.vstack([half, (half[::-1] - half[-1]) @ [[1, 0], [0, -1]] @ spin.T + half[-1]])
    track = fit(points, False, 0.01 / 3)

    assert_fits(track, points, False, 0.01 / 3)
    place = tuple(half[-1].tolist())
    k = next(k for k, segment in enumerate(track.segments) if segment.end == place)
    assert bends(track)[k] == pytest.approx(turn_deg, abs=0.7)
    assert max(bend for i, bend in enumerate(bends(track)) if i != k) < 0.5


def test_fit_of_many_vertices_is_the_same_every_time():
    points = flower([(0.3, 0.4), (0.4, 1.0)], 20_000)

    assert fit(points, True, 0.01 / 3) == fit(points.copy(), True, 0.01 / 3)


@pytest.mark.parametrize(
    "track",
    [Track((Segment((3, 1), (9, 1)), Segment((9, 1), (15, 2))), False), circle_track((2, 3), 5, True)],
)
def test_a_line_parted_at_a_vertex_does_not_go_back_there(track):
    """A step of no length has no direction; one that does go back is seen."""
    one, other = track.segments
    line = np.array([one.start, one.at(0.5), one.end, one.end, other.at(0.5), other.end])
    owner = np.array([0, 0, 0, 1, 1])

    assert np.isfinite(distances(track.segments, line, owner)).all()
    assert np.isinf(distances(track.segments, line[[0, 1, 0, 3, 4, 5]], owner)[1])
