"""The door for geometry: what comes in sound, and what is refused with its place in mm."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import GeometryCollection, LinearRing, LineString, MultiLineString, MultiPoint, MultiPolygon, Point, box
from shapely import Polygon as P
from shapely.affinity import translate

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes import door

SQUARE, FAR = box(0, 0, 10, 10), box(50, 0, 60, 10)
HOLED = P(SQUARE.exterior.coords, [[(4, 4), (6, 4), (6, 6), (4, 6)]])


@pytest.mark.parametrize("shape", [HOLED, P(HOLED.exterior.coords[::-1], [HOLED.interiors[0].coords[::-1]])])
def test_polygons_run_anticlockwise_outside_and_clockwise_round_holes(shape):
    (only,) = door.polygons("shape", shape)

    assert only.exterior.is_ccw
    assert not only.interiors[0].is_ccw
    assert only.equals(HOLED)


@pytest.mark.parametrize(
    "shape",
    [
        [SQUARE, FAR],
        (SQUARE, FAR),
        MultiPolygon([SQUARE, FAR]),
        GeometryCollection([SQUARE, FAR]),
        GeometryCollection([MultiPolygon([SQUARE, FAR])]),
        [GeometryCollection([SQUARE]), [MultiPolygon([FAR])]],
    ],
    ids=["list", "tuple", "multi", "collection", "collection of multi", "nested"],
)
def test_polygons_takes_areas_however_they_are_bundled(shape):
    assert [p.bounds for p in door.polygons("shape", shape)] == [SQUARE.bounds, FAR.bounds]


def test_a_height_of_nothing_is_none():
    (only,) = door.polygons("shape", P([(0, 0, 0), (10, 0, 0), (10, 10, -0.0)]))

    assert not only.has_z


def test_area_joins_what_overlaps():
    assert door.area("shape", [SQUARE, box(5, 0, 20, 10)]).equals(box(0, 0, 20, 10))


INNER, OVER_EDGE = box(3, 2, 7, 8), box(6, 2, 14, 8)


@pytest.mark.parametrize(
    ("shapes", "lost"),
    [
        ([SQUARE, INNER], INNER),
        ([INNER, FAR, SQUARE], INNER),
        (GeometryCollection([FAR, MultiPolygon([SQUARE, box(0, 3, 4, 5)])]), box(0, 3, 4, 5)),
        ([HOLED, box(1, 1, 3, 3)], box(1, 1, 3, 3)),
        ([FAR, HOLED, HOLED], HOLED),
        ([SQUARE, translate(SQUARE, 1e-9)], SQUARE),
    ],
    ids=["list", "larger last", "at the edge", "beside a hole", "twice", "twice but for rounding"],
)
def test_an_area_inside_another_is_refused_with_its_place(shapes, lost):
    with pytest.raises(ShapeError, match=r"^shape.* (lies wholly inside another|twice)") as caught:
        door.check_none_inside("shape", shapes)
    assert lost.contains(Point(caught.value.point))


def test_areas_that_overlap_or_touch_or_lie_in_holes_are_not_inside_each_other():
    for shapes in (SQUARE, [SQUARE, OVER_EDGE, FAR], [HOLED, box(4.5, 4.5, 5.5, 5.5)], [HOLED, INNER],
                   [SQUARE, box(10, 0, 20, 10)]):  # fmt: skip
        door.check_none_inside("shape", shapes)


def test_lines_gives_rings_of_polygons_and_lines_without_repeats():
    found = door.lines(
        "line", [HOLED, LineString([(0, 0), (1, 0), (1, 0), (2, 5)]), LinearRing([(0, 0), (3, 0), (3, 3)])]
    )

    assert [(len(points), closed) for points, closed in found] == [(4, True), (4, True), (3, False), (3, True)]
    assert found[2][0].tolist() == [[0, 0], [1, 0], [2, 5]]


def test_lines_takes_a_multi_line():
    assert len(door.lines("line", MultiLineString([[(0, 0), (1, 1)], [(5, 5), (6, 6)]]))) == 2


@given(
    x=st.integers(-500, 500),
    y=st.integers(-500, 500),
    half=st.integers(1, 200),
    scale=st.sampled_from([1.0, 0.37, 47.321]),
)
def test_polygons_finds_where_a_figure_of_eight_crosses(x, y, half, scale):
    """By construction the two slanted sides cross in the middle."""
    corners = np.array([(-half, -half), (half, half), (half, -half), (-half, half)]) * scale + (x, y)
    with pytest.raises(ShapeError, match="crosses or touches itself") as caught:
        door.polygons("shape", P(corners))
    assert caught.value.point == pytest.approx((x, y), abs=1e-6 * half * scale)


def test_polygons_finds_a_hole_that_lies_outside():
    with pytest.raises(ShapeError, match="crosses or touches itself") as caught:
        door.polygons("shape", P(SQUARE.exterior.coords, [FAR.exterior.coords]))
    assert shapely.distance(FAR.exterior, Point(caught.value.point)) < 1e-9


BAD = [
    ("polygons", P(), "is empty"),
    ("polygons", [], "is empty"),
    ("polygons", MultiPolygon(), "is empty"),
    ("polygons", "a square", "must be a shapely geometry"),
    ("polygons", [SQUARE, 5], "must be a shapely geometry"),
    ("polygons", None, "must be a shapely geometry"),
    ("polygons", LineString([(0, 0), (1, 1)]), "has no area; close the line"),
    ("polygons", GeometryCollection([SQUARE, Point(1, 1)]), "holds a Point, which has no area"),
    ("polygons", P([(0, 0), (10, 0), (5, 0)]), "has no area, at (0.000, 0.000)"),
    ("polygons", box(3, 4, 3 + 1e-4, 4 + 1e-4), "has no area, at (3.000, 4.000)"),
    ("lines", LineString(), "holds a LineString"),
    ("lines", MultiPoint([(0, 0)]), "holds a Point; a line or a polygon is needed"),
    ("lines", LineString([(2, 3), (2, 3)]), "has no length, at (2.000, 3.000)"),
    ("lines", P([(0, 0), (10, 10), (10, 0), (0, 10)]), "crosses or touches itself"),
    ("lines", [], "is empty"),
    ("polygon", [(0, 0), (5, 5)], "has no area, at (0.000, 0.000)"),
]


@pytest.mark.parametrize(("function", "shape", "message"), BAD)
def test_door_refuses(function, shape, message):
    with pytest.raises((InputError, ShapeError)) as caught:
        getattr(door, function)("shape", shape)
    assert str(caught.value).startswith("shape")
    assert message in str(caught.value)


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
@pytest.mark.parametrize(("function", "kind"), [("polygons", P), ("lines", P), ("lines", LineString)])
def test_door_refuses_coordinates_that_are_not_finite(function, kind, value):
    with np.errstate(invalid="ignore"):
        shape = kind([(0, 0), (10, 0), (value, 5)])
    with pytest.raises(ShapeError, match="shape holds a coordinate that is not finite"):
        getattr(door, function)("shape", shape)
