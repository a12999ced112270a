"""Loops inside an area: the lines and arcs of its outline, moved exactly."""

from __future__ import annotations

from math import cos, pi, radians, sin

import numpy as np
import pytest
import shapely
from shapely import LinearRing, Point, Polygon, box

import toolpaths as tp
from toolpaths.shapes import door
from toolpaths.shapes.drawn_area import drawn_area
from toolpaths.shapes.drawn_loops import DrawnLoops, RingToFollow
from toolpaths.shapes.track import turn_between

TOLERANCE, WITHIN = 0.01, 0.06


def _wavy(count: int) -> Polygon:
    turn = np.linspace(0, 2 * pi, count, endpoint=False)
    radius = 30 + 6 * np.cos(2 * turn) + 3 * np.sin(3 * turn)
    return Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))


SHAPES = {
    "square": box(0, 0, 50, 40),
    "T": box(0, 0, 60, 20) | box(18, 0, 43, 55),
    "rounded": tp.rectangle(60, 44, corner_radius=9),
    "circle": tp.circle(47),
    "wavy": _wavy(300),
    "ring": Polygon([(40 * cos(i * pi / 3), 40 * sin(i * pi / 3)) for i in range(6)]) - Point(3, 2).buffer(9, 64),
    "two discs": Point(0, 0).buffer(20, 64) | Point(30, 3).buffer(17, 64),
}


def _rings(area, away, opened=0.0):
    """The rings of an area moved inwards by an engine of its own, with its corners rounded."""
    moved = shapely.buffer(shapely.buffer(area, -away - opened, quad_segs=64), opened, quad_segs=64)
    for part in shapely.get_parts(moved):
        part = shapely.geometry.polygon.orient(part)
        yield from (door.ring_points(ring) for ring in (part.exterior, *part.interiors))


def _places(track):
    return np.array([segment.at(i / 40) for segment in track.segments for i in range(40)])


@pytest.mark.parametrize("away", [3.0, 7.3, 9.1])
@pytest.mark.parametrize("name", SHAPES)
def test_a_loop_lies_just_as_far_inside_the_outline_all_the_way(name, away):
    drawn = drawn_area(SHAPES[name], -3.0, TOLERANCE)
    loops = DrawnLoops(drawn, WITHIN)
    rings = list(_rings(SHAPES[name], away))
    for ring, track in zip(rings, loops.loops([RingToFollow(ring, away, 0.0) for ring in rings]), strict=True):
        assert track is not None and track.closed
        off = shapely.distance(drawn.area.boundary, shapely.points(_places(track))) - away
        # Its chords lie inside its arcs by a tenth of the tolerance; segments may meet at bends of half a degree.
        assert np.abs(off).max() < 0.2 * TOLERANCE
        assert LinearRing(ring).length == pytest.approx(track.length, rel=0.01)
        for a, b in zip(track.segments, [*track.segments[1:], track.segments[0]]):
            assert a.end == b.start


@pytest.mark.parametrize("rounding", [0.8, 2.0])
@pytest.mark.parametrize("name", SHAPES)
def test_corners_are_rounded_by_arcs_that_go_on_smoothly(name, rounding):
    drawn = drawn_area(SHAPES[name], -3.0, TOLERANCE)
    for ring in _rings(SHAPES[name], 5.4, rounding):
        (track,) = DrawnLoops(drawn, WITHIN).loops([RingToFollow(ring, 5.4, rounding)])

        assert track is not None
        assert min((s.radius for s in track.segments if s.sweep > 0), default=rounding) >= rounding - TOLERANCE
        for a, b in zip(track.segments, [*track.segments[1:], track.segments[0]]):
            assert turn_between(a, b) < radians(0.6)


@pytest.mark.parametrize("away", [3.0, 5.4, 10.2])
def test_flat_arcs_whose_ends_are_hardly_off_them_make_a_loop(away):
    """Between lobes a coarse curve is sides and arcs of a metre; a ring's vertices lie a little off them."""
    turn = np.linspace(0, 2 * pi, 200, endpoint=False)
    radius = 40 + 7 * np.cos(3 * turn) + 4 * np.sin(2 * turn)
    shape = Polygon(np.column_stack([1.3 * radius * np.cos(turn), radius * np.sin(turn)]))
    loops = DrawnLoops(drawn_area(shape, -3.0, TOLERANCE), WITHIN)
    (ring,) = _rings(shape, away)
    slim = shapely.get_coordinates(shapely.simplify(LinearRing(ring), WITHIN / 8))[:-1]

    (track,) = loops.loops([RingToFollow(slim, away, 0.0)])

    assert track is not None
    off = shapely.distance(loops.drawn.area.boundary, shapely.points(_places(track))) - away
    assert np.abs(off).max() < WITHIN


def test_a_ring_that_runs_elsewhere_is_no_loop():
    loops = DrawnLoops(drawn_area(SHAPES["square"], -3.0, TOLERANCE), WITHIN)
    (ring,) = _rings(SHAPES["square"], 8.0)

    some = [
        RingToFollow(ring, 8.0, 0.0),
        RingToFollow(ring, 7.8, 0.0),
        RingToFollow(ring + np.array([0.3, 0.0]), 8.0, 0.0),
    ]
    assert [track is not None for track in loops.loops(some)] == [True, False, False]


@pytest.mark.parametrize("name", SHAPES)
def test_many_rings_at_once_are_the_loops_that_each_of_them_is_alone(name):
    loops = DrawnLoops(drawn_area(SHAPES[name], -3.0, TOLERANCE), WITHIN)
    some = [
        RingToFollow(ring, told_as, rounding)
        for away, told_as, rounding in ((3.0, 3.0, 0.0), (5.4, 5.4, 0.8), (7.3, 7.1, 0.0), (9.1, 9.1, 0.0))
        for ring in _rings(SHAPES[name], away, rounding)
    ]

    found = loops.loops(some)

    assert found == [track for ring in some for track in loops.loops([ring])]
    assert any(track is None for track in found) and any(track is not None for track in found)
