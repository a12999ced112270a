"""Places told by a shape, its sizes read back, and lines joined end to end."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box

from toolpaths.base.errors import DoesNotFitError, ShapeError
from toolpaths.shapes.joining import join_lines
from toolpaths.shapes.measures import measures
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.places import place_from_corner, place_from_wall
from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, slot
from toolpaths.shapes.round_shapes import ring, slot_along
from toolpaths.shapes.transform import rotate

L = shapely.union_all([box(0, 0, 60, 20), box(0, 0, 20, 60)])


@given(along=st.floats(0, 60), outside=st.floats(-5, 40), turn=st.floats(0, 360))
def test_a_place_from_a_corner_turns_with_the_shape(along, outside, turn):
    """25 from the corner, 9 outside the wall: at (25, -9) of the L as drawn, and turned with it."""

    def turned(x: float, y: float) -> tuple[float, float]:
        place = rotate(Point(x, y), turn, (0, 0))
        return place.x, place.y

    shape = rotate(L, turn, (0, 0))
    found = place_from_corner(shape, turned(0, 0), turned(60, -3), along, outside)
    assert found == pytest.approx(turned(along, -outside), abs=1e-9)
    other = place_from_corner(shape, turned(0, 0), turned(-3, 60), along, outside)
    assert other == pytest.approx(turned(-outside, along), abs=1e-9)


def test_places_from_walls():
    assert place_from_wall(L, (40, 25), 7) == pytest.approx((40, 27))
    assert place_from_wall(L, (40, 15), -7) == pytest.approx((40, 13))
    plate = box(0, 0, 100, 100).difference(circle(40, (50, 50)))
    assert place_from_wall(plate, (64, 50), 6) == pytest.approx((64, 50), abs=2e-3)
    with pytest.raises(DoesNotFitError, match=r"60\.000 mm"):
        place_from_corner(L, (0, 0), (60, 0), 61)
    with pytest.raises(ShapeError, match="as much to the one wall"):
        place_from_corner(L, (0, 0), (30, 30), 6)


@pytest.mark.sample(3)
@pytest.mark.parametrize(
    ("shape", "radius", "neck", "widest", "cutter"),
    [
        (rectangle(60, 40, corner_radius=6), 6, None, 40, 12),
        (rectangle(60, 40), 0, None, 40, 0),
        (circle(50), 25, None, 50, 50),
        (ring(60, 40), 20, None, 10, 10),
        (slot((0, 0), (40, 20), 7), 3.5, None, 7, 7),
        (shapely.union_all([circle(30), circle(30, (40, 0)), rectangle(40, 8, (20, 0))]), 15, 8, 30, 8),
        (slot_along(Outline((0, 0)).smooth_through([(20, 15), (40, 0), (60, 20)]), 6), 3, None, 6, 6),
        (ellipse(60, 30), 7.5, None, 30, 15),
    ],
    ids=["rounded", "sharp", "circle", "ring", "slot", "neck", "bent slot", "ellipse"],
)
def test_sizes_are_read_back(shape, radius, neck, widest, cutter):
    """The ellipse's least radius is b^2/a; of the arcs that follow it within the tolerance, a little more."""
    found = measures(shape)
    loose = 0.03 * radius if radius == 7.5 else 0.005
    assert found.least_inner_radius == pytest.approx(min(radius, widest / 2), abs=loose)
    assert (found.narrowest_neck or inf) == pytest.approx(neck or inf, abs=0.005)
    assert found.widest == pytest.approx(widest, abs=0.01)
    assert found.largest_cutter == pytest.approx(cutter, abs=2 * loose)
    assert (found.width, found.height) == pytest.approx((np.ptp(shape.bounds[::2]), np.ptp(shape.bounds[1::2])))
    assert (found.area_mm2, found.outline) == pytest.approx((shape.area, shape.length))


@given(data=st.data(), gap=st.floats(0, 0.05))
def test_a_shuffled_outline_is_joined_again(data, gap):
    """Sides of a polygon in any order and sense, their ends pulled apart by less than the gap allowed."""
    corners = shapely.get_coordinates(L)
    order = data.draw(st.permutations(range(len(corners) - 1)))
    flips = data.draw(st.lists(st.booleans(), min_size=len(order), max_size=len(order)))
    sides = []
    for i, flip in zip(order, flips, strict=True):
        ends = corners[i : i + 2] + np.array([[0, 0], [gap / 2, gap / 2]])
        sides.append(LineString(ends[::-1] if flip else ends))
    joined = join_lines(sides, gap=0.06)
    assert joined.open_lines == ()
    (outline,) = joined.outlines
    assert shapely.hausdorff_distance(outline, L) <= gap
    assert len(joined.gaps) == (len(sides) if gap > 2e-6 else len(joined.gaps))
    assert all(each.width == pytest.approx(gap * 0.5**0.5, abs=1e-9) for each in joined.gaps)


def test_what_stays_open_is_said_with_its_ends():
    joined = join_lines([LineString([(0, 0), (40, 0)]), LineString([(40.2, 0), (70, 0)])], gap=0.1)
    assert len(joined.open_lines) == 2
    assert "open from (40.200, 0.000) to (70.000, 0.000)" in str(joined)
    assert join_lines([LineString([(0, 0), (9, 0), (9, 9), (0, 0)])]).gaps == ()


def test_an_open_outline_closes_straight_or_with_a_heading():
    u = Outline((0, 0), heading_deg=0).line_to((30, 0)).arc_to((30, 20), centre=(30, 10))
    assert u.close_straight().area == pytest.approx(30 * 20 - 0 + np.pi * 50 - 30 * 10, abs=0.05)
    smooth = u.close_smoothly(arrival_deg=0)
    assert smooth.area > u.close_straight().area
    corners = shapely.get_coordinates(smooth)
    steps = np.diff(np.vstack([corners, corners[1:2]]), axis=0)
    turns = np.degrees(np.angle(np.exp(1j * np.diff(np.arctan2(steps[:, 1], steps[:, 0])))))
    assert np.abs(turns).max() < 10
    with pytest.raises(ShapeError, match="close_straight"):
        u.close()


def test_a_narrow_place_beside_a_hole_is_a_neck():
    """A hole of 40 off the middle of a disc of 100 by 25 leaves 50 - 25 - 20; two of 20 that are 23 apart leave 3."""
    beside = circle(100).difference(circle(40, (25, 0)))
    assert measures(beside).largest_cutter == pytest.approx(5, abs=0.01)
    between = rectangle(100, 60, corner_radius=10).difference(circle(20, (-11.5, 0)) | circle(20, (11.5, 0)))
    assert measures(between).narrowest_neck == pytest.approx(3, abs=0.02)
