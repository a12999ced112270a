"""Faults of drawings: each planted in a sound shape, found at its place, and put right without moving the rest."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, box

from toolpaths.base.errors import InputError, ShapeError
from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, slot
from toolpaths.shapes.repair import repaired
from toolpaths.shapes.shape_faults import shape_faults

SOUND = [
    circle(40, (50, 50)),
    rectangle(60, 30, (50, 50), corner_radius=6),
    ellipse(70, 40, (50, 50)).difference(circle(20, (50, 50))),
    Polygon([(0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)]),
    slot((10, 10), (60, 40), 8),
]
POINTS = [shapely.get_coordinates(shape.exterior)[:-1] for shape in SOUND]


def kinds(shape: object) -> list[str]:
    return [fault.kind for fault in shape_faults(shape)]


@pytest.mark.parametrize("shape", SOUND)
def test_sound_shapes_have_no_fault_and_stay_as_they_are(shape):
    shape = shapely.orient_polygons(shape)
    assert kinds(shape) == []
    assert repaired(shape).shape.equals_exact(shape, 0)
    assert repaired(shape).left == ()


@given(number=st.integers(0, 4), data=st.data())
def test_a_point_doubled_nearly_is_found_and_taken_out(number, data):
    points = POINTS[number]
    at = data.draw(st.integers(0, len(points) - 1))
    off = data.draw(st.floats(1e-4, 6e-3))
    spoilt = Polygon(np.insert(points, at + 1, points[at] + [off, 0], axis=0))
    if not spoilt.is_valid:
        return
    assert "points that coincide" in kinds(spoilt)
    after = repaired(spoilt)
    assert "points that coincide" not in [fault.kind for fault in after.left]
    assert shapely.hausdorff_distance(after.shape, Polygon(points)) <= 0.01


@given(number=st.integers(0, 4), data=st.data(), long=st.floats(1, 30))
def test_a_spike_is_found_at_its_tip_and_cut_off(number, data, long):
    points = POINTS[number]
    at = data.draw(st.integers(0, len(points) - 1))
    middle = points.mean(axis=0) if number != 3 else np.array([10.0, 10.0])
    out = (points[at] - middle) / np.hypot(*(points[at] - middle))
    spoilt = Polygon(np.insert(points, at + 1, [points[at] + out * long, points[at] + [1e-9, 0]], axis=0))
    found = [fault for fault in shape_faults(spoilt) if fault.kind == "spike"]
    assert found
    assert any(np.hypot(*(np.array(fault.place) - points[at] - out * long)) < 1e-6 for fault in found)
    after = repaired(spoilt).shape
    assert shapely.hausdorff_distance(after, Polygon(points)) < 0.02


@given(data=st.data(), gap=st.floats(0, 0.009), twice=st.integers(0, 7))
def test_a_drawing_of_loose_sides_some_drawn_twice_becomes_its_area(data, gap, twice):
    """Eight sides in any order and sense, with gaps, one of them drawn again in part."""
    outline = Polygon([(0, 0), (60, 0), (60, 20), (40, 20), (40, 40), (20, 40), (20, 60), (0, 60)])
    corners = shapely.get_coordinates(outline)
    order = data.draw(st.permutations(range(8)))
    sides = [LineString(corners[i : i + 2] + np.array([[0, 0], [gap / 2, 0]])) for i in order]
    again = shapely.ops.substring(LineString(corners[twice : twice + 2]), 0.2, 0.8, normalized=True)
    drawing = MultiLineString([*sides, again])
    assert "doubled line" in kinds(drawing)
    after = repaired(drawing)
    assert after.left == () or {fault.kind for fault in after.left} <= {"wrong way round"}
    assert isinstance(after.shape, Polygon)
    assert shapely.hausdorff_distance(after.shape, outline) <= gap + 1e-9


def test_crossings_are_all_found():
    """A five-pointed star in one stroke crosses itself five times; filled by even and odd it lacks its middle."""
    turns = np.radians(90 + 144 * np.arange(5))
    star = Polygon(np.column_stack([np.cos(turns), np.sin(turns)]) * 50)
    assert kinds(star) == ["crossing"] * 5
    after = repaired(star)
    assert len(shapely.get_parts(after.shape)) == 5
    assert after.shape.area == pytest.approx(shapely.make_valid(star).area, rel=1e-5)
    bow_tie = Polygon([(0, 0), (40, 40), (40, 0), (0, 40)])
    assert repaired(bow_tie).shape.area == pytest.approx(800)


def test_slivers_wrong_ways_and_what_stays_open():
    assert kinds(MultiPolygon([box(0, 0, 10, 10), box(20, 0, 20.004, 30)])).count("sliver") == 1
    assert repaired(MultiPolygon([box(0, 0, 10, 10), box(20, 0, 20.004, 30)])).shape.area == 100
    clockwise = Polygon([(0, 0), (0, 30), (40, 30), (40, 0)])
    assert kinds(clockwise) == ["wrong way round"]
    assert repaired(clockwise).shape.exterior.is_ccw
    both = MultiLineString([[(0, 0), (10, 0), (10, 10), (0, 0)], [(20, 0), (30, 0)]])
    assert {part.geom_type for part in repaired(both).shape.geoms} == {"Polygon", "LineString"}
    crossing = MultiLineString([[(0, 0), (40, 40)], [(0, 40), (40, 0)]])
    assert [fault.place for fault in shape_faults(crossing)] == [(20, 20)]
    assert [fault.kind for fault in repaired(crossing).left] == ["crossing"]


def test_what_has_nothing_to_look_at_is_refused():
    for shape, message in (
        ("a line", "must be a shapely geometry"),
        (Polygon(), "is empty"),
        (shapely.Point(3, 4), "neither lines nor polygons"),
        (LineString([(0, 0), (np.inf, 1)]), "not finite"),
        (box(0, 0, 0.001, 40), "Nothing is left"),
    ):
        with pytest.raises((InputError, ShapeError), match=message):
            repaired(shape)
