"""Loops that clear an area: their order, their direction, and which parts of them are kept."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pathcheck import MIDDLE, SHAPES, signed_area
from shapely import LineString, Polygon, box

import toolpaths as tp
from toolpaths.making.operations.clearing.loops import Loop, Room, polygons_of, standing
from toolpaths.shapes.drawn_area import DrawnArea

TOLERANCE = 0.01
RADIUS = 3.0


def loops(shape: Polygon, wood: Polygon | None = None, step: float = 2.4, climb: bool = True) -> list[Loop]:
    centres = shapely.buffer(shape, -RADIUS, quad_segs=64)
    stands = shape if wood is None else wood
    return [
        loop
        for part in polygons_of(centres)
        for loop in Room(
            part, stands, Polygon(), Polygon(), RADIUS, RADIUS, step, climb, DrawnArea(part, (), TOLERANCE)
        ).loops
    ]


def covered(found) -> shapely.Geometry:
    lines = [
        LineString([segment.at(share) for segment in cut.track.segments for share in np.linspace(0, 1, 40)])
        for cut in found
    ]
    return shapely.buffer(shapely.union_all(lines), RADIUS, quad_segs=64)


@pytest.mark.parametrize("name", ["square", "L", "star", "odd"])
def test_loops_have_round_corners_but_along_the_wall(name):
    """All turns of inner loops are spread over arcs; the loop along the wall keeps the corners of the shape."""
    found = loops(SHAPES[name])
    assert {loop.depth == 0 for loop in found} == {True, False}
    for loop in found:
        segments = loop.track.segments
        turns = [
            abs((b.heading(0) - a.heading(1) + np.pi) % (2 * np.pi) - np.pi)
            for a, b in zip(segments, (*segments[1:], segments[0]))
        ]
        if loop.depth == 0:
            assert max(turns) > 0.5
        elif loop.inside.area > 100:
            assert max(turns) < 0.5


@pytest.mark.sample(3, long=8)
@pytest.mark.parametrize("name", ["square", "circle", "L", "star", "two holes"])
@pytest.mark.parametrize("step", [0.5, 1.5, 3.0])
def test_loops_up_to_a_radius_apart_cover_all_that_is_within_reach(name, step):
    """Reference 2.1: loops with s <= r leave no island."""
    shape = SHAPES[name]
    reach = shapely.buffer(shapely.buffer(shape, -RADIUS, quad_segs=64), RADIUS, quad_segs=64)

    left = shapely.difference(reach, covered(loops(shape, step=step)))
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty


@pytest.mark.parametrize("climb", [True, False])
def test_loops_have_the_wall_on_the_right_when_climbing(climb):
    """Anticlockwise along outer walls, clockwise round islands; the loop along the wall is the longest."""
    found = loops(shapely.difference(box(20, 20, 120, 100), tp.circle(30, (70, 60))), climb=climb)
    areas = [signed_area(list(cut.track.segments)) for cut in found if cut.track.closed]

    outer = max(areas, key=abs)
    assert (outer > 0) is climb
    assert outer in areas[:2]
    assert any((area > 0) is not climb for area in areas)


def test_loops_for_a_corner_are_short_and_stay_near_it():
    shape = box(20, 20, 120, 100)
    corner = Polygon([(20, 20), (24, 20), (20, 24)])
    found = loops(shape, wood=corner)

    assert found and all(not cut.track.closed for cut in found)
    for cut in found:
        for segment in cut.track.segments:
            assert corner.distance(shapely.Point(segment.start)) <= RADIUS + TOLERANCE
            assert corner.distance(shapely.Point(segment.end)) <= RADIUS + TOLERANCE


def test_loops_with_no_wood_in_reach_are_none():
    assert not loops(box(20, 20, 120, 100), wood=box(140, 20, 150, 30))


def test_standing_drops_slivers_and_keeps_wood():
    """A strip thinner than twice the tolerance is rounding; one of 0.1 mm is wood."""
    thin, thick = box(0, 0, 50, 0.015), box(0, 10, 50, 10.1)
    kept = standing(shapely.union_all([thin, thick]), TOLERANCE)

    assert kept.intersection(thin).area == 0
    assert kept.area == pytest.approx(thick.area, rel=0.01)


def test_parts_are_polygons_largest_first():
    mixed = shapely.GeometryCollection([LineString([(0, 0), (1, 1)]), box(0, 0, 1, 1), tp.circle(5, MIDDLE)])

    assert [part.area > 2 for part in polygons_of(mixed)] == [True, False]
