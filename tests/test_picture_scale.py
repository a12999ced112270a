"""The scale of pictures: by a width, two marks or four corners, straightened, and never guessed."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from drawn_pictures import drawn
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from toolpaths.base.errors import InputError, ShapeError
from toolpaths.pictures.pixel_scale import PixelScale, homography

SIZE = (200, 180)
# Four marks seen aslant, in pixels, and the rectangle in mm that they are the corners of.
MARKS = np.array([(20.0, 160.0), (185.0, 150.0), (160.0, 25.0), (35.0, 15.0)])
SIDES = (110.0, 80.0)


def flipped(shape: BaseGeometry) -> BaseGeometry:
    """A shape in mm, y upwards, as it lies among the pixels, a pixel a mm."""
    return shapely.transform(shape, lambda places: np.column_stack([places[:, 0], SIZE[1] - 1 - places[:, 1]]))


def test_the_reference_homography() -> None:
    """Worked numbers; those of the small one are exact."""
    marks = np.array([(120.0, 80.0), (1010.0, 140.0), (960.0, 720.0), (90.0, 640.0)])
    found = homography(marks, np.array([(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)]))

    expected = [
        [0.3498749654, 0.01874330172, -43.48445998],
        [-0.02356630848, 0.3495669091, -25.13739571],
        [4.602391301e-5, -3.409353206e-5, 1],
    ]
    assert found == pytest.approx(np.array(expected), rel=1e-9)
    scale = PixelScale(found)
    assert scale.to_mm(np.array([(545.0, 395.0), (500.0, 400.0)])) == pytest.approx(
        np.array([(152.825763, 98.948501), (137.659845, 101.950475)]), abs=1e-6
    )
    assert scale.to_pixels(np.array([(150.0, 100.0)])) == pytest.approx(np.array([(536.502776, 397.335448)]), abs=1e-6)
    unit = homography(
        np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]),
        np.array([(0.0, 0.0), (4.0, 0.0), (3.0, 2.0), (1.0, 2.0)]),
    )
    assert unit == pytest.approx(np.array([[4, 2, 0], [0, 4, 0], [0, 1, 1]]), abs=1e-12)
    assert PixelScale(unit).to_mm(np.array([(0.5, 0.5)])) == pytest.approx(np.array([(2, 4 / 3)]))


def test_the_reference_corners_in_a_picture() -> None:
    """As above; y of mm goes up, so that the first corner, the upper left one, is at the rectangle's height."""
    marks = [(120.0, 80.0), (1010.0, 140.0), (960.0, 720.0), (90.0, 640.0)]
    picture = tp.read_picture(np.zeros((800, 1100), np.uint8), corners=marks, rectangle=(300, 200))

    assert picture.to_mm([(545, 395)]) == pytest.approx(np.array([(152.825763, 200 - 98.948501)]), abs=1e-6)
    assert picture.to_pixels([(150, 100)]) == pytest.approx(np.array([(536.502776, 397.335448)]), abs=1e-6)
    moved = tp.read_picture(picture.grey, corners=[(121.0, 80.0), *marks[1:]], rectangle=(300, 200))
    assert np.hypot(*(moved.to_mm([(545, 395)]) - picture.to_mm([(545, 395)])).T) <= 0.168


@pytest.mark.parametrize("turned, clockwise", [pytest.param(0, False, marks=pytest.mark.long), (3, True)])
def test_four_corners_take_perspective_out(turned: int, clockwise: bool) -> None:
    """A plate with a hole, seen aslant, comes out at its size, whichever corner is first and whichever way round."""
    plate = tp.rectangle(60, 40, (55, 40)).difference(tp.circle(16, (60, 42)))
    aslant = PixelScale(homography(np.array([(0.0, 0.0), (110.0, 0.0), (110.0, 80.0), (0.0, 80.0)]), MARKS))
    greys = drawn(shapely.transform(shapely.segmentize(plate, 1.0), aslant.to_mm), SIZE, blur=0.6)
    order = np.roll(MARKS, -turned, axis=0)
    order = order[[1, 0, 3, 2]] if clockwise else order
    sides = SIDES if turned % 2 == 0 else SIDES[::-1]

    found = tp.read_picture(greys, corners=order, rectangle=sides).outlines().largest

    assert found.bounds == pytest.approx(plate.bounds, abs=0.2)
    (hole,) = found.interiors
    assert (Polygon(hole).centroid.x, Polygon(hole).centroid.y) == pytest.approx((60, 42), abs=0.1)
    assert Polygon(hole).area == pytest.approx(pi * 64, rel=0.01)
    assert found.area == pytest.approx(plate.area, rel=0.004)


def test_what_lies_beyond_the_horizon_is_refused() -> None:
    """Corners that are wrong put the horizon across the picture, and a thing on both sides of it."""
    corners = [(90.0, 170.0), (110.0, 170.0), (102.0, 100.0), (98.0, 100.0)]
    greys = drawn(tp.rectangle(20, 150, (100, 90)), SIZE)
    with pytest.raises(ShapeError, match="corners as it is seen"):
        tp.read_picture(greys, corners=corners, rectangle=(100, 100)).outlines()


def test_two_marks_give_scale_and_level() -> None:
    """A line marked at an angle lies level; what was turned with it stands straight."""
    shape = tp.rotate(tp.rectangle(120, 60, (100, 90)), 8)
    marks = list(flipped(tp.rotate(shapely.LineString([(40, 60), (160, 60)]), 8, about=(100, 90))).coords)
    picture = tp.read_picture(drawn(flipped(shape), SIZE, blur=0.5), marks=marks, distance=60)

    assert picture.outlines().largest.bounds == pytest.approx((0, 0, 60, 30), abs=0.12)
    assert picture.mm_per_pixel == pytest.approx(0.5)
    assert picture.to_pixels([(0, 0)]) == pytest.approx(np.array(marks[:1]))
    upright = tp.read_picture(picture.grey, marks=[marks[0], (marks[0][0], 40.0)], distance=60)
    assert upright.to_mm([(marks[0][0], 40.0)])[0, 0] == pytest.approx(0)


@pytest.mark.parametrize(
    "turn", [-31.0, pytest.param(4.0, marks=pytest.mark.long), pytest.param(40.0, marks=pytest.mark.long)]
)
def test_a_straight_edge_that_is_found_lies_level(turn: float) -> None:
    """A plate of which one side is askew, so that its box is none of its own; its width is that of it once level."""
    plate = tp.rotate(Polygon([(50, 60), (150, 60), (140, 110), (65, 120)]), turn)
    picture = tp.read_picture(drawn(flipped(plate), SIZE, blur=0.8, noise=5), width=50, level="longest edge")

    assert picture.outlines().largest.bounds == pytest.approx((0, 0, 50, 30), abs=0.1)


def test_a_given_line_lies_level() -> None:
    shape = tp.rotate(tp.ellipse(150, 60, (100, 90)), 21)
    line = flipped(tp.rotate(shapely.LineString([(30, 90), (170, 90)]), 21, about=(100, 90)))
    greys = drawn(flipped(shape), SIZE, blur=0.8, noise=4)
    picture = tp.read_picture(greys, width=45.5, level=list(line.coords))
    left, low, right, high = picture.outlines().largest.bounds

    assert (left, low, right) == pytest.approx((0, 0, 45.5), abs=0.05)
    assert high == pytest.approx(45.5 * 60 / 150, abs=0.1)
    with pytest.raises(ShapeError, match="no straight edge"):
        tp.read_picture(greys, width=45.5, level="longest edge")


DISC = drawn(tp.circle(90, (80, 90)), SIZE)


@pytest.mark.parametrize(
    "scale, message",
    [
        ({}, "exactly one"),
        ({"width": 10, "marks": [(0, 0), (9, 0)], "distance": 5}, "exactly one"),
        ({"width": 10, "corners": [(0, 0), (90, 0), (90, 90), (0, 90)], "rectangle": (10, 10)}, "exactly one"),
        ({"marks": [(0, 0), (9, 0)]}, "go together"),
        ({"rectangle": (10, 10)}, "go together"),
        ({"marks": [(3, 3), (3, 3.5)], "distance": 5}, "no scale"),
        ({"marks": [(3, 3)], "distance": 5}, "marks"),
        ({"marks": [(3, 3), (300, 3)], "distance": 5}, "not in the picture"),
        ({"corners": [(0, 0), (50, 50), (100, 100), (0, 90)], "rectangle": (10, 10)}, "in a line"),
        ({"corners": [(0, 0), (90, 90), (90, 0), (0, 90)], "rectangle": (10, 10)}, "cross"),
        ({"corners": [(0, 0), (90, 0), (90, 90)], "rectangle": (10, 10)}, "4"),
        ({"width": float("nan")}, "width"),
        ({"width": 90, "threshold": 300}, "threshold"),
        ({"width": 90, "threshold": 10}, "parts nothing"),
        ({"width": 90, "level": "shortest edge"}, "level"),
        ({"width": 90, "level": [(5, 5), (5, 5.5)]}, "no direction"),
        ({"width": 90, "level": [(5, 5), (5, -5)]}, "not in the picture"),
    ],
)
def test_what_gives_no_scale_is_refused(scale: dict[str, object], message: str) -> None:
    with pytest.raises((InputError, ShapeError), match=message):
        tp.read_picture(DISC, **scale)


def test_what_is_smaller_than_asked_for_is_no_outline() -> None:
    with pytest.raises(ShapeError, match="as large"):
        tp.read_picture(DISC, width=90).outlines(least_mm2=1e6)
