"""Outlines drawn in chords: taken for the curves they stand for, offset as lines and arcs, and their corners kept."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
import shapely
import shapely.affinity
from pathcheck import T3, T6
from shapely import Polygon

import toolpaths as tp
from toolpaths.judging.reader.motions import ARC, RAPID
from toolpaths.judging.reader.read import read
from toolpaths.shapes import door, offset
from toolpaths.shapes.drawn_area import drawn_area
from toolpaths.shapes.tolerance_shares import DRAWN, FLATTEN, REDRAWN
from toolpaths.shapes.track import Track, turn_between

TOLERANCE = 0.01
MIDDLE = (100.0, 100.0)
FIXTURE = tp.Fixture(board=tp.Board(width=240, height=240, thickness=12))


def curve(radius: float, sides: int, wave: float = 0.0, noise: float = 0.0) -> Polygon:
    """A wavy circle in so many chords; a regular polygon without waves."""
    turns = 0.3 + np.arange(sides) * 2 * pi / sides
    far = radius * (1 + wave * np.sin(3 * turns))
    places = np.column_stack([far * np.cos(turns), far * np.sin(turns)]) + MIDDLE
    return Polygon(places + np.random.default_rng(sides).uniform(-noise, noise, places.shape))


def arm(sides: int) -> Polygon:
    """A spiral arm, each wall in so many chords."""
    turns = np.linspace(0, 2.2 * pi, sides)
    rays = np.column_stack([np.cos(turns), np.sin(turns)])
    near, far = (rays * (20 + 8 * turns + off)[:, None] + MIDDLE for off in (-5, 6))
    return Polygon(np.vstack([far, near[::-1]]))


def moved(shape: Polygon, distance: float) -> Track:
    """The track of the cutter's axis round a shape, so far outside it."""
    drawn = drawn_area(shape, distance, TOLERANCE)
    return drawn.ring(door.ring_points(offset.wall(drawn.area, distance, TOLERANCE, slim=False).exterior))


def lengths(text: str) -> np.ndarray:
    """Of all moves at feed that go over the board, mm."""
    motions = read(text).motions
    over = np.hypot(*(motions.end - motions.start)[:, :2].T)
    arc = motions.kind == ARC
    rays = np.hypot(*(motions.start - motions.centre)[:, :2].T)
    over = np.where(arc, np.abs(motions.sweep) * rays, over)
    found: np.ndarray = over[(motions.kind != RAPID) & (over > 0)]
    return found


@pytest.mark.parametrize("distance", [3.0, -3.0, 1.5875, -6.0])
@pytest.mark.parametrize(("radius", "sides"), [(28.65, 120), (28.65, 180), (28.65, 240), (61.0, 190), (11.0, 75)])
def test_a_polygon_as_fine_as_the_tolerance_is_a_circle(radius, sides, distance):
    """It lies half way between corners and middles of sides, R (1 - cos(pi / n)) / 2 inside the corners (derived)."""
    track = moved(curve(radius, sides), distance)

    assert len(track.segments) == 2
    inside = radius * (1 - cos(pi / sides)) / 2
    assert [segment.radius for segment in track.segments] == pytest.approx([radius - inside + distance] * 2, abs=0.001)


@pytest.mark.parametrize(("sides", "distance"), [(90, 3.0), (90, -3.0), (60, 1.5), (40, -6.0)])
def test_a_coarser_polygon_keeps_its_sides_and_has_no_arcs_about_corners_that_hardly_bend(sides, distance):
    track = moved(curve(28.65, sides), distance)

    assert len(track.segments) == sides
    assert all(segment.sweep == 0 for segment in track.segments)


@pytest.mark.parametrize("distance", [3.0, 1.5875])
def test_sides_and_arcs_of_an_offset_outwards_touch_where_those_of_the_outline_do(distance):
    """Just beside those places, but for the whole numbers of the engine."""
    track = moved(tp.rectangle(60, 44, (100, 100), corner_radius=9), distance)

    ends = np.abs(np.array([segment.start for segment in track.segments]) - MIDDLE)
    touching = np.array([(21, 22 + distance), (30 + distance, 13)])
    assert len(ends) == 8
    assert np.abs(ends[:, None] - touching).max(axis=2).min(axis=1).max() < 1e-4


@pytest.mark.parametrize("sides", [6, 12, 24])
def test_corners_are_rounded_still(sides):
    track = moved(curve(28.65, sides), 3.0)

    arcs = [segment for segment in track.segments if segment.sweep]
    assert len(arcs) == len(track.segments) / 2 == sides
    assert [segment.radius for segment in arcs] == pytest.approx([3.0] * sides, abs=0.001)


@pytest.mark.sample(3)
@pytest.mark.parametrize("noise", [0.0, 0.001, 0.003])
@pytest.mark.parametrize("sides", [240, 500, 2000])
@pytest.mark.parametrize("distance", [3.0, -3.0])
def test_an_offset_has_as_many_segments_as_the_outline_and_none_too_short(sides, noise, distance):
    shape = curve(45, sides, 0.1, noise)
    track = moved(shape, distance)

    assert len(track.segments) <= sum(len(each.segments) for each in drawn_area(shape, distance, TOLERANCE).tracks) + 1
    assert min(segment.length for segment in track.segments) > 0.12
    for before, after in pairwise([*track.segments, track.segments[0]]):
        assert before.end == after.start
        if not noise:
            assert turn_between(before, after) < np.radians(0.5)


@pytest.mark.sample(3, long=9)
@pytest.mark.parametrize("noise", [0.0, 0.002, 0.006])
@pytest.mark.parametrize("sides", [17, 66, 140, 333, 1500])
def test_an_area_drawn_again_stays_within_its_shares(sides, noise):
    """Distances of close points on either outline from the other."""
    for shape in (curve(45, sides, 0.1, noise), curve(20, sides, 0.0, noise), arm(sides)):
        again = drawn_area(shape, 0.0, TOLERANCE).area
        for one, other in ((shape, again), (again, shape)):
            places = shapely.points(shapely.get_coordinates(shapely.segmentize(one.boundary, 0.1)))
            assert shapely.distance(other.boundary, places).max() <= (DRAWN + FLATTEN + REDRAWN) * TOLERANCE


@pytest.mark.sample(3)
@pytest.mark.parametrize("cutter", [T6, T3])
@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize(
    "shape",
    [curve(28.65, 90), curve(28.65, 180), curve(45, 110, 0.1), curve(45, 300, 0.1), arm(150), arm(771)],
    ids=["90 sides", "180 sides", "coarse wave", "wave", "coarse arm", "arm"],
)
def test_a_contour_of_chords_has_no_short_moves_and_room_for_its_tabs(shape, side, cutter):
    op = tp.contour(shape, cutter, depth=tp.through(0.3), side=side, tabs=tp.Tabs(count=3, width=6, height=3))
    found = lengths(tp.program_text(tp.Setup(FIXTURE, work=(op,))))

    assert np.count_nonzero(found < 0.06) <= 0.02 * len(found)
    assert np.count_nonzero(found < 0.12) <= 0.03 * len(found)


def test_chords_of_a_drawing_come_to_as_few_lines_as_the_curve_itself():
    """A circle in 150 sides, and the circle."""
    texts = [
        tp.program_text(tp.Setup(FIXTURE, work=(tp.contour(shape, T6, depth=tp.through(0.3)),)))
        for shape in (curve(30, 150), tp.circle(60, MIDDLE))
    ]
    few, many = sorted(len(text.splitlines()) for text in texts)
    assert many <= few + 2


@pytest.mark.sample(3, long=18)
@pytest.mark.parametrize("turned", [0.0, 13.0])
@pytest.mark.parametrize("width", [22.5, 40.0, 90.0])
@pytest.mark.parametrize("sweeps", [(20, 40), (40, 40), (40, 84), (54, 40), (54, 84)])
def test_a_contour_in_sharp_corners_is_the_arcs_of_the_outline(sweeps, width, turned):
    """Two arcs that meet at 30 to 69 degrees: inside, each at its own radius less that of the cutter, from corner to
    corner and nothing else."""
    rises = [width / 2 * tan(radians(sweep) / 4) for sweep in sweeps]
    left, right = (100 - width / 2, 100), (100 + width / 2, 100)
    lens = tp.Outline(left).arc_through((100, 100 - rises[0]), right).arc_through((100, 100 + rises[1]), left).close()
    shape = shapely.affinity.rotate(lens, turned, (100, 100))
    if sum(rises) < 2 * T6.radius + 0.5:
        return
    drawn = drawn_area(shape, -T6.radius, TOLERANCE)
    found = drawn.ring(door.ring_points(offset.reach(drawn.area, T6.radius, TOLERANCE, slim=False).exterior))
    radii = sorted(width / 2 / sin(radians(sweep) / 2) - T6.radius for sweep in sweeps)
    assert sorted(segment.radius for segment in found.segments) == pytest.approx(radii, abs=0.002)


@pytest.mark.sample(3)
@pytest.mark.parametrize("wider", [0.0, 0.001, 0.004])
@pytest.mark.parametrize("sides", [8, 32])
@pytest.mark.parametrize("room", [0.0, 20.0])
def test_a_bent_slot_as_wide_as_the_cutter_is_cut_to_its_end(sides, wider, room):
    """With or without a room at its other end; its walls are drawn in chords by shapely."""
    turns = np.linspace(0, 3, 60)
    way = np.column_stack([60 + 35 * turns, 100 + 20 * np.sin(2 * turns)])
    bent = shapely.buffer(shapely.LineString(way), T6.radius + wider, quad_segs=sides)
    if room:
        bent = shapely.union(bent, shapely.Point(way[0]).buffer(room, quad_segs=sides))
    text = tp.program_text(tp.Setup(FIXTURE, work=(tp.contour(bent, T6, depth=2, side="inside"),)))
    motions = read(text).motions
    low = motions.end[motions.end[:, 2] < -1.9][:, :2]

    assert np.hypot(*(low - way[-1]).T).min() < 0.2
