"""Shapes made exactly symmetrical: halves and quarters averaged, however they differ, and said by how much they did."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from drawn_pictures import drawn
from shapely import Polygon, affinity

import toolpaths as tp
from toolpaths.shapes import door
from toolpaths.shapes.arc_fit import fit
from toolpaths.shapes.curves import nearest_places, places_along
from toolpaths.shapes.mirror_axis import found_lines, principal_angles
from toolpaths.shapes.outline_corners import rings_of

UPRIGHT = ((0.0, 0.0), (0.0, 1.0))
LEVEL = ((0.0, 0.0), (1.0, 0.0))
# Of the reference: area 6100, axis x = 30.
CROWN = Polygon([(0, 0), (60, 0), (80, 40), (50, 90), (30, 60), (10, 90), (-20, 40)])


def crown() -> Polygon:
    """Pointed corners, a hole on the axis and a pair beside it."""
    holes = [tp.circle(10, (30, 40)), tp.circle(8, (10, 45)), tp.circle(8, (50, 45))]
    return affinity.translate(Polygon(CROWN.exterior, [hole.exterior for hole in holes]), -30, 0)


def slit_plate() -> Polygon:
    """A slit down the axis, so narrow that the axis of a skewed one runs beside it, and rounded corners."""
    plate = tp.rectangle(80, 50, corner_radius=8).difference(tp.rectangle(1.5, 20, (0, 20)))
    return plate.difference(shapely.union_all([tp.circle(10, (x, -5)) for x in (-20, 20)]))


def bone() -> Polygon:
    """Two rounds with a neck between them."""
    ends = [tp.circle(40, (0, y)) for y in (-30, 30)]
    return shapely.union_all([*ends, tp.rectangle(6, 50)])


def cover() -> Polygon:
    """Symmetrical in two lines, with holes on one, on both and beside both."""
    holes = [tp.circle(10, (30 * a, 15 * b)) for a in (-1, 1) for b in (-1, 1)]
    holes += [tp.circle(12), *(tp.rectangle(4, 6, (0, y)) for y in (-20, 20))]
    holes += [tp.rectangle(5, 5, (x, 0)) for x in (-40, 40)]
    return tp.rectangle(100, 60, corner_radius=9).difference(shapely.union_all(holes))


def corners_of(shape: Polygon) -> set[tuple[float, float]]:
    rings = (shape.exterior, *shape.interiors)
    return {(x, y) for ring in rings for x, y in door.ring_points(ring).tolist()}


def is_exact(result: tp.Symmetrised) -> bool:
    """Every vertex has its image among them, to the last bit."""
    places = corners_of(result.upright)
    images = {(-x, y) for x, y in places}
    if len(result.lines) == 2:
        return images == places == {(x, -y) for x, y in places}
    return images == places


def off_truth(result: Polygon, truth: Polygon) -> float:
    """The farthest that either outline is from the other, mm."""
    found = []
    for one, other in ((result, truth), (truth, result)):
        for ring in (one.exterior, *one.interiors):
            points = places_along(shapely.get_coordinates(ring), np.asarray(np.linspace(0, ring.length, 400)))
            points = np.vstack([points, shapely.get_coordinates(ring)])
            lines = [shapely.get_coordinates(line) for line in (other.exterior, *other.interiors)]
            off = [np.hypot(*(nearest_places(points, line) - points).T) for line in lines]
            found.append(np.min(off, axis=0).max())
    return float(max(found))


@pytest.mark.parametrize(
    ("shape", "skewed_deg", "most"),
    [
        (crown(), 2, 0.005),
        pytest.param(slit_plate(), 2, 0.03, marks=pytest.mark.long),
        pytest.param(crown(), 4, 0.02, marks=pytest.mark.long),
        pytest.param(slit_plate(), 4, 0.06, marks=pytest.mark.long),
        pytest.param(bone(), 2, 0.03, marks=pytest.mark.long),
        pytest.param(bone(), 4, 0.06, marks=pytest.mark.long),
    ],
)
def test_a_skewed_shape_is_what_it_was_before(shape: Polygon, skewed_deg: float, most: float) -> None:
    """Skew moves either half by as much to the same side; what is left is its square, tan(4 degrees)^2 = 0.005 of an
    arc's radius or less. Its sides were off, and that is said."""
    skewed = affinity.skew(shape, skewed_deg, origin=(0, 0))
    result = tp.symmetrised(skewed, [UPRIGHT], most_off=12, tolerance=0.01)
    assert is_exact(result)
    assert off_truth(result.shape, shape) < most
    assert {side.side for side in result.sides} == {"left", "right"}
    # Twice the skew at the height where it shows most is the most that sides can be off.
    highest = max(abs(shape.bounds[1]), abs(shape.bounds[3]))
    assert 0.3 < result.largest_off / (2 * highest * np.tan(np.radians(skewed_deg))) <= 1.0


def test_quarters_are_averaged() -> None:
    """Of a plate with a hole in its middle, each quarter pulled about otherwise: the mean of four corners."""
    pulled = Polygon([(-40, -25), (40.8, -25), (40, 25.4), (-40, 25)], [tp.circle(10, (0.1, 0)).exterior])
    result = tp.symmetrised(pulled, [UPRIGHT, LEVEL])
    assert is_exact(result)
    assert result.upright.bounds == pytest.approx((-40.2, -25.1, 40.2, 25.1))
    assert off_truth(Polygon(result.shape.interiors[0]), tp.circle(10)) < 0.02


@pytest.mark.sample(0, long=1)
@pytest.mark.parametrize("skewed_deg", [2, 4])
def test_quarters_with_holes_are_averaged(skewed_deg: float) -> None:
    skewed = affinity.skew(cover(), skewed_deg, origin=(0, 0))
    result = tp.symmetrised(skewed, [UPRIGHT, LEVEL], tolerance=0.01)
    assert is_exact(result)
    assert off_truth(result.shape, cover()) < 0.015 * skewed_deg
    assert len(result.shape.interiors) == 9
    assert [side.side for side in result.sides] == ["upper right", "upper left", "lower left", "lower right"]


def test_corners_stay_and_sides_stay_straight() -> None:
    """A corner of both halves is one of the mean, half way between the two; in between stand straight sides."""
    pulled = Polygon([(0, 0), (60, 0), (80, 40), (51, 90.6), (30, 60), (10, 90), (-20.6, 40)])
    result = tp.symmetrised(pulled, [((30, 0), (30, 1))])
    expected = Polygon([(0, 0), (60, 0), (80.3, 40), (50.5, 90.3), (30, 60), (9.5, 90.3), (-20.3, 40)])
    assert len(fit(door.ring_points(result.shape.exterior), True, 0.0025).segments) == 7
    assert off_truth(result.shape, expected) < 1e-9
    left, right = result.sides
    assert left.largest == pytest.approx(1.0, abs=0.2) and right.largest == pytest.approx(1.0, abs=0.2)


def test_one_side_alone_is_off_by_half_of_its_fault() -> None:
    faulty = Polygon([(-40, 0), (40.6, 0), (40.6, 30), (-40, 30)])
    result = tp.symmetrised(faulty, [UPRIGHT])
    assert result.upright.bounds == pytest.approx((-40.3, 0, 40.3, 30))
    for side in result.sides:
        assert side.largest == pytest.approx(0.6)
    assert result.sides[1].place[0] == pytest.approx(40.6)


def test_arcs_leave_as_few_arcs() -> None:
    """An arc over the mirror line is one arc about a centre on it, a round hole two of its radius."""
    plate = Polygon(tp.rectangle(80, 50, corner_radius=8).exterior, [tp.circle(12, (0, 5)).exterior])
    result = tp.symmetrised(plate, [UPRIGHT], tolerance=0.01)
    outside, hole = (fit(points, True, 0.0025).segments for points in door.rings_points(result.shape))
    assert len(outside) == 8 and len(hole) == 2
    radii = sorted(segment.radius for segment in (*outside, *hole) if segment.sweep)
    assert radii == pytest.approx([6, 6, 8, 8, 8, 8], abs=0.002)
    egg = tp.ellipse(80, 50)
    outline = fit(door.ring_points(tp.symmetrised(egg, [UPRIGHT], tolerance=0.02).shape.exterior), True, 0.0025)
    drawn_as = fit(door.ring_points(egg.exterior), True, 0.0025)
    assert len(outline.segments) <= len(drawn_as.segments)
    for before, after in zip(outline.segments, [*outline.segments[1:], outline.segments[0]]):
        assert abs(np.sin(after.heading(0.0) - before.heading(1.0))) < 0.05


def test_lines_are_found() -> None:
    """The reference's polygon turned by 17 degrees and moved: its axis has the normal 17 degrees at 33.904409."""
    turned = affinity.translate(affinity.rotate(CROWN, 17, origin=(0, 0)), 5, -3)
    ((x, y), (x1, y1)), *more = tp.symmetrised(turned).lines
    normal = np.array([np.cos(np.radians(17)), np.sin(np.radians(17))])
    assert not more
    assert np.array([x, y]) @ normal == pytest.approx(33.904409, abs=1e-5)
    assert abs(np.array([x1 - x, y1 - y]) @ normal) < 1e-6
    assert sorted(np.degrees(angle) % 180 for angle in principal_angles(turned)) == pytest.approx([17, 107])


@pytest.mark.long
def test_several_lines_that_are_as_good_are_said() -> None:
    """A square has four lines, a disc any number: the upright one is taken, and that there are others is no secret."""
    for shape in (tp.rectangle(60, 60), tp.circle(50)):
        result = tp.symmetrised(shape)
        (x, _), (x1, _) = result.lines[0]
        assert abs(x1 - x) < 0.05
        assert "other mirror lines would do nearly as well" in result.notes[0]
        assert is_exact(result) and off_truth(result.shape, shape) < 0.02
    lines, others = found_lines(tp.rectangle(100, 60), 2)
    assert not others and [line.along_y for line in lines] == pytest.approx([1, 0], abs=1e-6)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
def test_noise_is_taken_out_and_not_made(seed: int) -> None:
    """Vertices off by 0.02 mm rms every 0.3 mm: within that of the truth away from corners."""
    shape = slit_plate()
    random = np.random.default_rng(seed)
    rings = []
    for ring in (shape.exterior, *shape.interiors):
        count = round(ring.length / 0.3)
        points = shapely.get_coordinates(
            shapely.line_interpolate_point(ring, np.arange(count) / count, normalized=True)
        )
        rings.append(points + random.normal(0, 0.02, points.shape))
    result = tp.symmetrised(Polygon(rings[0], rings[1:]), [UPRIGHT], tolerance=0.1)
    assert is_exact(result)
    assert off_truth(result.shape, shape) < 0.2
    assert result.sides[0].rms < 0.04


def owl() -> Polygon:
    """Pointed corners that turn by 40 to 120 degrees, sides with long bends, and holes."""
    half = tp.Outline((0, 75)).line_to((62, 100)).smooth_through([(60, 60), (74, 0), (48, -85)])
    whole = tp.mirror_half(half.line_to((20, -85)).line_to((0, -70)), "vertical")
    return whole.difference(shapely.union_all([tp.circle(24, place) for place in ((-28, 40), (28, 40), (0, -10))]))


def farthest_from(truth: Polygon, shape: Polygon, away: float) -> float:
    """mm that a shape is off the true one, where that has no corner within `away`."""
    corners = np.array([corner.place for ring in rings_of([truth]) for corner in ring.corners])
    lines = [shapely.get_coordinates(line) for line in (truth.exterior, *truth.interiors)]
    found = []
    for ring in (shape.exterior, *shape.interiors):
        points = places_along(shapely.get_coordinates(ring), np.asarray(np.linspace(0, ring.length, 300)))
        points = points[np.hypot(*(points[:, None] - corners[None]).transpose(2, 0, 1)).min(axis=1) > away]
        found.append(np.min([np.hypot(*(nearest_places(points, line) - points).T) for line in lines], axis=0).max())
    return float(max(found))


@pytest.mark.sample(0, long=2)
@pytest.mark.parametrize("skewed_deg", [0.0, 1.5])
@pytest.mark.parametrize(("blur", "noise"), [(0.0, 0.0), (1.0, 4.0)])
def test_of_a_picture_the_outline_is_symmetrical_and_true(skewed_deg: float, blur: float, noise: float) -> None:
    """Skewed, turned and blurred by up to a pixel: away from corners within 0.3 pixels of what was drawn, its lines
    found; and exactly symmetrical, which what was traced is not."""
    seen = affinity.rotate(affinity.skew(owl(), skewed_deg, origin=(0, 0)), 3, origin=(0, 0))
    pixels = affinity.affine_transform(seen, (2, 0, 0, -2, 210, 240))
    picture = tp.read_picture(drawn(pixels, (420, 480), blur, noise), marks=[(10, 240), (410, 240)], distance=200)
    traced = picture.outlines(least_mm2=20).largest
    result = tp.symmetrised(traced)
    assert is_exact(result)
    # How high the picture's zero lies on the mirror line is no question of the outline.
    highest = owl().bounds[3] - result.upright.bounds[3]
    lifts = np.linspace(highest - 0.2, highest + 0.2, 11)
    off = min(farthest_from(owl(), affinity.translate(result.upright, 0, lift), 3) for lift in lifts)
    assert off < 0.3 * 0.5
    if skewed_deg:
        assert 2 < result.largest_off < 5


def test_what_is_not_symmetrical_is_refused() -> None:
    """With the place where it is not, and the figure; where more is allowed, the figure is on the result."""
    wedge = Polygon([(-30, 0), (30, 0), (30, 40)])
    with pytest.raises(
        tp.ShapeError, match=r"not symmetrical about the line x = 0: .* mm off its mirror image"
    ) as error:
        tp.symmetrised(wedge, [UPRIGHT])
    assert error.value.point is not None
    lonely = Polygon(tp.rectangle(80, 50).exterior, [tp.circle(8, (20, 0)).exterior])
    with pytest.raises(tp.ShapeError, match=r"hole about \(20.00, 0.00\) has no partner"):
        tp.symmetrised(lonely, [UPRIGHT], most_off=100)
    two = shapely.union_all([tp.circle(10, (x, 0)) for x in (-20, 20)])
    with pytest.raises(tp.ShapeError, match="these are 2"):
        tp.symmetrised(two)
    with pytest.raises(tp.InputError, match="square to each other"):
        tp.symmetrised(cover(), [UPRIGHT, ((0, 0), (1, 1))])
    faulty = Polygon([(-40, 0), (44, 0), (44, 30), (-40, 30)])
    assert tp.symmetrised(faulty, [UPRIGHT], most_off=4.1).largest_off == pytest.approx(4)
    with pytest.raises(tp.ShapeError, match=r"more than 3\.9"):
        tp.symmetrised(faulty, [UPRIGHT], most_off=3.9)


@pytest.mark.parametrize("turned", [4.0, 6.0])
def test_of_lines_as_good_the_most_upright_is_taken(turned):
    """A star of five points has five; turned by less than half their distance it does not come out upside down."""
    turns = np.radians(90 + 36 * np.arange(10))
    far = np.where(np.arange(10) % 2, 13.0, 30.0)
    star = shapely.Polygon(np.column_stack([far * np.cos(turns), far * np.sin(turns)]))
    even = tp.symmetrised(tp.rotate(star, turned, (0, 0)))
    assert even.upright.bounds == pytest.approx(star.bounds, abs=0.02)
