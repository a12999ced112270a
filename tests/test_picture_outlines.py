"""Outlines of pictures: within a fraction of a pixel of the shapes that were drawn, with holes, in few arcs; or refused."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from drawn_pictures import drawn
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from toolpaths.base.errors import ShapeError
from toolpaths.pictures import grey_threshold, level_contours
from toolpaths.shapes import arc_fit

SIZE = (200, 180)
# Pixels as mm, y upwards, in which shapes are drawn: the picture's lower left corner is at (0, 0).
AS_DRAWN = {"marks": [(0.0, SIZE[1] - 1.0), (100.0, SIZE[1] - 1.0)], "distance": 100.0}


def seen(shape: BaseGeometry, blur: float = 0.0, noise: float = 0.0, seed: int = 0) -> tp.Picture:
    """The picture of a shape in mm, a pixel a mm."""
    upside_down = shapely.transform(shape, lambda places: np.column_stack([places[:, 0], SIZE[1] - 1 - places[:, 1]]))
    return tp.read_picture(drawn(upside_down, SIZE, blur, noise, seed), **AS_DRAWN)


def farthest_apart(one: BaseGeometry, other: BaseGeometry, off: list[tuple[float, float]], without: float) -> float:
    """mm that two outlines lie apart at most, but near to corners."""
    around = shapely.buffer(shapely.MultiPoint(off), without) if off else Polygon()
    found = 0.0
    for a, b in ((one, other), (other, one)):
        places = shapely.points(shapely.get_coordinates(shapely.segmentize(a.boundary, 0.25)))
        places = places[~shapely.intersects(places, around)]
        found = max(found, float(shapely.distance(places, b.boundary).max()))
    return found


def corners_of(shape: Polygon) -> list[tuple[float, float]]:
    """Where an outline turns by more than 20 degrees."""
    points = shapely.get_coordinates(shape.exterior)[:-1]
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    return [(float(x), float(y)) for x, y in points[np.abs(turn) > np.radians(20)]]


def guitar_like() -> Polygon:
    """A silhouette with two bouts and a waist, smooth all round."""
    t = np.linspace(0, 2 * pi, 2000, endpoint=False)
    x = np.sin(t) * (50 + 22 * np.cos(2 * t)) * (1 - 0.15 * np.cos(t))
    return Polygon(np.column_stack([100.2 + 1.2 * x, 89.7 + 75 * np.cos(t)]))


PLATE = tp.rotate(tp.rectangle(130, 90, (100.2, 90.7), corner_radius=12), 13)
# Each with how many corners it has.
SHAPES = {
    "circle of radius 60": (tp.circle(120, (100.3, 89.6)), 0),
    "circle of radius 10": (tp.circle(20, (100.3, 89.6)), 0),
    "ellipse": (tp.rotate(tp.ellipse(160, 70, (100.2, 90.7)), 33), 0),
    "rounded by 8": (tp.rotate(tp.rectangle(120, 70, (100.2, 90.7), corner_radius=8), 13), 0),
    "guitar": (guitar_like(), 0),
    "rectangle": (tp.rotate(tp.rectangle(120, 70, (100.2, 90.7)), 13), 4),
    "hexagon": (tp.regular_polygon(6, 120, (100.1, 90.4), angle_deg=7), 6),
    "level square": (tp.rectangle(100, 100, (99.85, 89.65)), 4),
    "L": (tp.rotate(tp.rectangle(120, 100, (100, 90)) - tp.rectangle(80, 60, (120, 110)), 5), 6),
    "wedge of 45 degrees": (Polygon([(30, 40), (160, 40), (160, 170)]), 3),
}


@pytest.mark.parametrize("blur, noise", [(0.0, 0.0), pytest.param(0.5, 4.0, marks=pytest.mark.long), (1.0, 8.0)])
@pytest.mark.parametrize("name", SHAPES)
def test_an_outline_lies_within_three_tenths_of_a_pixel_of_the_edge(name: str, blur: float, noise: float) -> None:
    """For a blur of up to one pixel, away from corners; corners within one pixel, and as many as were drawn."""
    shape, corners = SHAPES[name]
    sharp = corners_of(shape)
    assert len(sharp) == corners

    (found,) = seen(shape, blur, noise).outlines().shapes

    assert found.is_valid
    assert farthest_apart(found, shape, sharp, 2.0) <= (0.4 if name == "rounded by 8" and noise > 4 else 0.3)
    assert farthest_apart(found, shape, [], 0.0) <= 1.0
    assert len(corners_of(found)) == corners


def random_corners(random: np.random.Generator) -> Polygon | None:
    """One with corners as they are said to be kept: edges of 15 pixels or more, turns from 40 to 120 degrees."""
    angles, radii = np.sort(random.uniform(0, 2 * pi, 5)), random.uniform(40, 80, 5)
    points = np.column_stack([100 + radii * np.cos(angles), 90 + radii * np.sin(angles)])
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.abs(np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)))
    fits = np.hypot(*before.T).min() > 15 and turn.min() > np.radians(40) and turn.max() < np.radians(120)
    return Polygon(points) if fits else None


@pytest.mark.long
def test_corners_of_any_polygon() -> None:
    random = np.random.default_rng(3)
    tried = [shape for shape in (random_corners(random) for _ in range(2000)) if shape is not None]
    assert len(tried) > 20
    for seed, shape in enumerate(tried[:60]):
        for blur, noise in ((0, 0), (1, 8)):
            found = seen(shape, blur, noise, seed).outlines().largest
            assert farthest_apart(found, shape, corners_of(shape), 2.0) <= 0.3
            assert farthest_apart(found, shape, [], 0.0) <= 1.0
            assert len(corners_of(found)) == 5


@pytest.mark.long
@pytest.mark.parametrize(
    "radius, blur, noise, most", [(5, 1, 0, 0.3), (5, 0.5, 4, 0.3), (10, 1, 8, 0.3), (25, 1, 8, 0.3), (4, 1, 8, 0.5)]
)
def test_bends_by_their_radius(radius: float, blur: float, noise: float, most: float) -> None:
    random = np.random.default_rng(4)
    for seed in range(12):
        plain = tp.rectangle(*random.uniform(60, 120, 2), random.uniform(90, 102, 2), corner_radius=radius)
        shape = tp.rotate(plain, random.uniform(0, 90))
        assert farthest_apart(seen(shape, blur, noise, seed).outlines().largest, shape, [], 0.0) <= most


@pytest.mark.parametrize("radius", [60.0, 20.0, 10.0, 5.0])
def test_blur_takes_its_square_over_the_diameter_off_a_disc(radius: float) -> None:
    """The half level moves inwards by sigma^2 / 2 R: with sigma 1, by 0.008 at R 60 and 0.1 at R 5 (derived)."""
    (found,) = seen(tp.circle(2 * radius, (100.3, 89.6)), blur=1.0).outlines().shapes

    assert np.sqrt(found.area / pi) == pytest.approx(radius - 1 / (2 * radius), abs=0.025)


MILL = tp.Cutter(1, tp.flat(4), feed_mm_min=1500, spindle_rpm=18000)


@pytest.mark.parametrize(
    "name, most", [("circle of radius 60", 2), ("plate", 16), ("guitar", 24), ("rectangle", 8), ("L", 12)]
)
def test_an_outline_leaves_as_few_lines_and_arcs(name: str, most: int) -> None:
    """The lines and arcs of the outline itself, round which the cutter goes at full depth, all in one program."""
    shape = PLATE if name == "plate" else SHAPES[name][0]
    found = seen(shape, blur=0.7, noise=4).outlines().largest
    fixture = tp.Fixture(board=tp.Board(width=200, height=180, thickness=18))
    text = tp.program_text(tp.Setup(fixture, [tp.contour(found, MILL, depth=2, lead_in=None)]))

    assert len(cutting_moves(text)) <= most


def cutting_moves(text: str) -> list[str]:
    return text.splitlines()
