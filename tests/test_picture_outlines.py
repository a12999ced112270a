"""Outlines of pictures: near the shapes that were drawn, with holes, in few arcs; where there are none, it is said."""

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
        places = shapely.points(shapely.get_coordinates(shapely.segmentize(a.boundary, 0.5)))
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


# Each with how many corners it has.
SHAPES = {
    "circle of radius 60": (tp.circle(120, (100.3, 89.6)), 0),
    "circle of radius 10": (tp.circle(20, (100.3, 89.6)), 0),
    "ellipse": (tp.rotate(tp.ellipse(160, 70, (100.2, 90.7)), 33), 0),
    "rounded by 8": (tp.rotate(tp.rectangle(120, 70, (100.2, 90.7), corner_radius=8), 13), 0),
    "plate": (tp.rotate(tp.rectangle(130, 90, (100.2, 90.7), corner_radius=12), 13), 0),
    "guitar": (guitar_like(), 0),
    "rectangle": (tp.rotate(tp.rectangle(120, 70, (100.2, 90.7)), 13), 4),
    "hexagon": (tp.regular_polygon(6, 120, (100.1, 90.4), angle_deg=7), 6),
    "level square": (tp.rectangle(100, 100, (99.85, 89.65)), 4),
    "L": (tp.rotate(tp.rectangle(120, 100, (100, 90)) - tp.rectangle(80, 60, (120, 110)), 5), 6),
    "wedge of 45 degrees": (Polygon([(30, 40), (160, 40), (160, 170)]), 3),
}


# Those that are tried on every run, at the most blur and noise.
USUAL = {"plate", "L", "circle of radius 10"}
CASES = [
    pytest.param(name, blur, noise, marks=() if name in USUAL and noise > 4 else pytest.mark.long)
    for name in SHAPES
    for blur, noise in ((0.0, 0.0), (0.5, 4.0), (1.0, 8.0))
]


@pytest.mark.parametrize("name, blur, noise", CASES)
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
    """One with corners as they are said to be kept: edges of 20 pixels or more, turns from 60 to 120 degrees."""
    angles, radii = np.sort(random.uniform(0, 2 * pi, 5)), random.uniform(40, 80, 5)
    points = np.column_stack([100 + radii * np.cos(angles), 90 + radii * np.sin(angles)])
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.abs(np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)))
    fits = np.hypot(*before.T).min() > 20 and turn.min() > np.radians(60) and turn.max() < np.radians(120)
    return Polygon(points) if fits else None


@pytest.mark.long
def test_corners_of_any_polygon() -> None:
    random = np.random.default_rng(3)
    tried = [shape for shape in (random_corners(random) for _ in range(12_000)) if shape is not None]
    assert len(tried) > 20
    for seed, shape in enumerate(tried[:40]):
        for blur, noise in ((0, 0), (1, 8)):
            found = seen(shape, blur, noise, seed).outlines().largest
            assert farthest_apart(found, shape, corners_of(shape), 2.0) <= 0.3
            assert farthest_apart(found, shape, [], 0.0) <= 1.0
            assert len(corners_of(found)) == 5


@pytest.mark.sample(0, long=4)
@pytest.mark.parametrize(
    "radius, blur, noise, most", [(5, 1, 0, 0.3), (5, 0.5, 4, 0.3), (10, 1, 8, 0.3), (25, 1, 8, 0.3), (4, 0.5, 4, 0.3)]
)
def test_bends_by_their_radius(radius: float, blur: float, noise: float, most: float) -> None:
    random = np.random.default_rng(4)
    for seed in range(12):
        plain = tp.rectangle(*random.uniform(60, 120, 2), random.uniform(90, 102, 2), corner_radius=radius)
        shape = tp.rotate(plain, random.uniform(0, 90))
        assert farthest_apart(seen(shape, blur, noise, seed).outlines().largest, shape, [], 0.0) <= most


@pytest.mark.parametrize("radius", [60.0, 10.0])
def test_blur_takes_its_square_over_the_diameter_off_a_disc(radius: float) -> None:
    """The half level moves inwards by sigma^2 / 2 R: with sigma 1, by 0.008 at R 60 and 0.05 at R 10 (derived)."""
    (found,) = seen(tp.circle(2 * radius, (100.3, 89.6)), blur=1.0).outlines().shapes

    assert np.sqrt(found.area / pi) == pytest.approx(radius - 1 / (2 * radius), abs=0.025)


MILL = tp.Cutter(1, tp.flat(4), feed_mm_min=1500, spindle_rpm=18000)


@pytest.mark.long
@pytest.mark.parametrize(
    "name, lines, arcs",
    [
        ("circle of radius 60", 0, 2),
        ("guitar", 2, 26),
        ("rectangle", 4, 0),
        ("L", 6, 0),
        ("rounded by 8", 4, 4),
        ("plate", 4, 4),
    ],
)
def test_an_outline_is_few_lines_and_arcs_and_leaves_as_such(name: str, lines: int, arcs: int) -> None:
    """Each arc of it as one arc of the cutter at its own radius; those about corners and of leads come on top."""
    found = seen(SHAPES[name][0], blur=0.7, noise=4).outlines().largest
    segments = arc_fit.fit(shapely.get_coordinates(found.exterior)[:-1], True, 0.01).segments
    assert sum(segment.sweep == 0 for segment in segments) <= lines
    assert sum(segment.sweep != 0 for segment in segments) <= arcs

    fixture = tp.Fixture(board=tp.Board(width=200, height=180, thickness=18))
    text = tp.program_text(tp.Setup(fixture, [tp.contour(found, MILL, depth=2)]))
    moves = text[text.index("(contour outside)") :].splitlines()
    assert sum(" I" in move or " J" in move for move in moves) <= len(segments) + 6
    assert len(moves) <= len(segments) + 22


def test_shapes_have_their_holes_and_islands_are_shapes() -> None:
    ring = tp.ring(140, 100, (100, 90)).union(tp.circle(40, (100, 90))).difference(tp.rectangle(12, 9, (97, 92)))
    found = seen(ring, blur=0.6).outlines()

    assert [len(shape.interiors) for shape in found.shapes] == [1, 1]
    assert sum(shape.area for shape in found.shapes) == pytest.approx(ring.area, rel=0.002)
    assert found.notes == ()


def test_bright_things_are_found_as_dark_ones_are() -> None:
    greys = drawn(tp.circle(90, (80, 90)), SIZE, blur=0.7)
    dark, bright = tp.read_picture(greys, width=90), tp.read_picture(255 - greys, width=90, dark=False)

    assert farthest_apart(dark.outlines().largest, bright.outlines().largest, [], 0.0) < 0.01
    assert dark.threshold is not None
    assert bright.threshold == pytest.approx(255 - dark.threshold, abs=0.5)


def test_specks_are_left_out_and_said() -> None:
    found = seen(tp.circle(90, (80, 90)).union(tp.circle(2.5, (20, 30)))).outlines(least_mm2=20)

    assert len(found.shapes) == 1
    assert found.notes == ("Left out, smaller than 20 mm2: 1 specks or holes, at (20.0, 30.0).",)


def test_what_reaches_the_edge_is_closed_there_and_said() -> None:
    found = seen(tp.rectangle(100, 60, (0, 90))).outlines()

    assert found.largest.bounds == pytest.approx((-0.5, 60.0, 50.0, 120.0), abs=0.02)
    assert found.largest.area == pytest.approx(50.5 * 60, rel=1e-3)
    assert "edge of the picture" in found.notes[0]


@pytest.mark.long
def test_walls_of_a_pixel_do_not_cross() -> None:
    """Many holes with hardly anything between them, of which smoothing alone would make some meet."""
    plate = tp.rectangle(170, 150, (100, 90))
    for x in range(30, 171, 14):
        for y in range(30, 151, 14):
            plate = plate.difference(tp.rotate(tp.rectangle(12.6, 12.6, (x, y)), 3.0 * x))
    found = seen(plate, blur=0.5, noise=8).outlines()

    assert all(shape.is_valid for shape in found.shapes)
    assert not any(a.intersects(b) for a in found.shapes for b in found.shapes if a is not b)
    assert sum(shape.area for shape in found.shapes) == pytest.approx(plate.area, rel=0.1)


@pytest.mark.sample(0, long=15)
@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_seen_comes_as_sound_shapes_that_do_not_meet(seed: int) -> None:
    """Blurred noise, of few greys or many, with a threshold that may be a grey of it."""
    random = np.random.default_rng(seed)
    greys = random.normal(128, 40, random.integers(8, 110, 2))
    for _ in range(random.integers(0, 5)):
        greys = (greys + sum(np.roll(greys, by, axis) for by in (1, -1) for axis in (0, 1))) / 5
    greys = np.clip((greys - greys.mean()) * random.uniform(1, 20) + 128, 0, 255)
    greys = np.round(greys / 64) * 63.75 if seed % 3 == 0 else greys
    threshold = float(random.choice([127.5, np.median(greys), random.uniform(90, 160)]))
    picture = tp.read_picture(greys, marks=[(0, 0), (7, 7)], distance=10, threshold=threshold, dark=seed % 2 == 0)
    found = picture.outlines(least_mm2=float(random.choice([0, 1])))

    assert all(shape.is_valid and shape.area > 0 for shape in found.shapes)
    one, other = shapely.STRtree(found.shapes).query(found.shapes, predicate="intersects")
    assert (one == other).all()


# Pictures that no threshold parts


def unclear_pictures() -> dict[str, np.ndarray]:
    y, x = np.mgrid[: SIZE[1], : SIZE[0]]
    slope, disc = x * 255 / 200, np.hypot(x - 100, y - 90) < 50
    found = {
        "slope": slope, "grain": 128 + 60 * np.sin(x / 7 + np.sin(y / 19)), "one grey": np.full(x.shape, 77.0),
        "noise": np.random.default_rng(1).normal(128, 30, x.shape), "disc on a slope": slope * 0.7 + 30 * disc,
    }  # fmt: skip
    return {name: np.clip(greys, 0, 255) for name, greys in found.items()}


@pytest.mark.parametrize("name", unclear_pictures())
def test_a_picture_that_no_threshold_parts_says_so(name: str) -> None:
    """With marks it has a scale and can be looked at under a grid; it has no outlines, and by width no scale."""
    greys = unclear_pictures()[name]
    picture = tp.read_picture(greys, **AS_DRAWN)

    assert picture.threshold is None
    assert "grid of millimetres" in picture.notes[0]
    for refused in (
        picture.outlines,
        lambda: tp.read_picture(greys, width=50),
        lambda: tp.read_picture(greys, **AS_DRAWN, level="longest edge"),
    ):
        with pytest.raises(ShapeError, match=r"No threshold .* grid of millimetres"):
            refused()


def test_a_faint_picture_is_parted() -> None:
    y, x = np.mgrid[: SIZE[1], : SIZE[0]]
    noise = np.random.default_rng(1).normal(0, 1, x.shape)
    picture = tp.read_picture(np.where(np.hypot(x - 100, y - 90) < 50, 90.0, 120.0) + noise, **AS_DRAWN)
    assert picture.outlines().largest.area == pytest.approx(pi * 2500, rel=0.01)


def test_a_given_threshold_parts_what_none_was_found_for() -> None:
    slope = tp.read_picture(unclear_pictures()["slope"], **AS_DRAWN, threshold=100)
    left, _, right, _ = slope.outlines().largest.bounds
    assert (left, right) == pytest.approx((-0.5, 100 / 255 * 200), abs=0.1)


def test_noise_is_refused_before_it_is_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(level_contours, "_MOST_CROSSINGS", 1000)
    noise = np.random.default_rng(1).integers(0, 2, (180, 200)) * 255
    with pytest.raises(ShapeError, match="noise"):
        tp.read_picture(noise, width=50)


def test_the_greatest_variance_between_two_classes() -> None:
    """Two greys are parted half way; four with these counts between 12 and 200."""
    two = grey_threshold.best_parting(np.repeat([50.0, 200.0], 32).reshape(8, 8))
    assert two.threshold == pytest.approx(125)
    four = grey_threshold.best_parting(np.repeat([10.0, 12.0, 200.0, 210.0], [50, 50, 60, 40]).reshape(10, 20))
    assert (four.dark, four.bright) == (11, 200)
