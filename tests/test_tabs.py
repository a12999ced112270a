"""Holding tabs: how many, where, and what wood is really left, measured in the simulated board.

Width at the narrowest and height are read from the wood, not from the path (reference 3.7: a flat
cutter leaves its raised length less its diameter).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from math import ceil, hypot, pi, tan

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import (
    BACKS,
    BOARD,
    FRONT,
    MIDDLE,
    SHAPES,
    SIDES,
    T6,
    axis,
    cells,
    on_circle,
    run_text,
    segments,
)
from shapely import box

import toolpaths as tp
from samples import examples
from toolpaths.making.motion.tabs import places_on
from toolpaths.making.motion.toolpath import CUT
from toolpaths.shapes.track import Segment, Track, circle_track

CELL = 0.2
THROUGH = tp.through(0.3)
# The board of the other tests, with no grain to speak of.
PLAIN = replace(FRONT, board=replace(BOARD, grain_deg="none"))


def bridges(report: tp.Report, shape: shapely.Geometry) -> list[shapely.Geometry]:
    """The pieces of wood left in the kerf round a shape, as areas of whole cells."""
    stock = report.stock
    kerf = shapely.buffer(shape, 5.9) - shapely.buffer(shape, 0.1)
    x, y = np.meshgrid(stock.grid.xs(), stock.grid.ys())
    wood = (stock.thickness() > 0) & cells(stock, kerf)
    squares = shapely.box(x[wood] - CELL / 2, y[wood] - CELL / 2, x[wood] + CELL / 2, y[wood] + CELL / 2)
    # Grown a little, so that cells that touch at a corner are one piece.
    joined = shapely.buffer(shapely.union_all(squares), 0.01)
    return [part for part in getattr(joined, "geoms", [joined]) if part.area > 1]


def width_of(report: tp.Report, line: Callable[[float], tuple[float, float]], height: float = 0.0) -> float:
    """Width of the wood thicker than `height` about the start of a line of lengths, to a cell."""
    stock = report.stock
    steps = np.arange(-45, 45, CELL / 4)
    thickness = stock.thickness()
    wood = np.array([thickness[stock.cell_at(*line(float(s)))] > height for s in steps])
    low = high = len(wood) // 2
    assert wood[low]
    while wood[low - 1]:
        low -= 1
    while wood[high + 1]:
        high += 1
    return (high - low + 1) * CELL / 4


def tab_places(path, top: float) -> list[tuple[float, float]]:
    """Middle of each stretch at the height of a tab's top on the last pass."""
    runs: list[list[Segment]] = []
    last = min(m.z for m in path.moves if m.kind == CUT)
    below = False
    for segment, move, z in segments(path):
        if move.kind != CUT:
            continue
        if abs(z - top) < 1e-6 and abs(move.z - top) < 1e-6 and segment.length > 1e-6:
            if below:
                runs.append([])
            if runs:
                runs[-1].append(segment)
            below = False
        below = below or abs(move.z - last) < 1e-6
    found = []
    for run in runs:
        track = Track(tuple(run), False)
        found.append(track.at(track.length / 2))
    return found


@pytest.mark.sample(1, long=3)
@pytest.mark.parametrize("slope", [90.0, 45.0, 20.0])
@pytest.mark.parametrize("name", ["straight", "arc"])
def test_tabs_leave_wood_as_wide_and_high_as_asked(name, slope):
    """Width at the narrowest to a cell, height exactly; on straight runs and on a circle of radius 45."""
    shape = box(40, 40, 160, 100) if name == "straight" else tp.circle(90, MIDDLE)
    given_ = [(100.0, 37.0), (100.0, 103.0)] if name == "straight" else [on_circle(MIDDLE, 48, a) for a in (0.7, 3.5)]
    tabs = tp.Tabs(width=8, height=4, points=tuple(given_), slope_deg=slope)
    _, report = run_text([tp.contour(shape, T6, depth=THROUGH, entry="ramp", tabs=tabs)], cell=CELL)

    assert report.ok, str(report)
    assert len(bridges(report, shape)) == 2
    for place in given_:
        assert report.stock.thickness()[report.stock.cell_at(*place)] == pytest.approx(4, abs=1e-5)
        angle = np.arctan2(place[1] - 70, place[0] - 100)

        def line(along, place=place, angle=angle):
            return (place[0] + along, place[1]) if name == "straight" else on_circle(MIDDLE, 48, angle + along / 48)

        # The base of a sloped tab is wider by its two slopes.
        base = 8 + (0 if slope == 90 else 2 * 4 / tan(np.radians(slope)))
        assert width_of(report, line, 4 - 1e-4) == pytest.approx(8, abs=CELL + 0.01)
        assert width_of(report, line) == pytest.approx(base, abs=CELL + 0.05)


@pytest.mark.sample(1, long=6)
@pytest.mark.parametrize("count", [1, 3, 4, 6])
@pytest.mark.parametrize("name", ["rounded", "circle", "ellipse", "square"])
def test_tabs_by_count_are_so_many_and_spread_out(name, count):
    """With no grain all sides are alike."""
    shape = SHAPES[name]
    tabs = tp.Tabs(width=6, height=3, count=count)
    op = tp.contour(shape, T6, depth=THROUGH, tabs=tabs)
    (path,) = op.toolpaths(PLAIN)
    _, report = run_text([op], fixture=PLAIN, cell=CELL)

    found = bridges(report, shape)
    assert report.codes() == (("weak-hold",) if count == 1 else ()), str(report)
    assert len(found) == count
    ring = shapely.buffer(shape, 3).exterior
    along = sorted(ring.project(part.centroid) for part in found)
    gaps = np.diff([*along, along[0] + ring.length])
    # Even but for the room that corners and the entry take.
    assert gaps.min() >= min(0.45 * ring.length / count, ring.length)
    assert path.lowest == pytest.approx(-BOARD.thickness - 0.3)


def leans(places: list[tuple[float, float]], shape: shapely.Geometry, grain_deg: float) -> list[float]:
    """Degrees by which the nearest side of a shape leans off the grain at each place."""
    ends = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shape)]
    sides = shapely.linestrings(np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in ends]))
    found = []
    for place in places:
        (ax, ay), (bx, by) = sides[int(shapely.distance(sides, shapely.Point(place)).argmin())].coords
        found.append(abs((np.degrees(np.arctan2(by - ay, bx - ax)) - grain_deg + 90) % 180 - 90))
    return found


STRIP = box(40, 40, 160, 80)
DISC = tp.circle(100, MIDDLE)


@pytest.mark.sample(12)
@pytest.mark.parametrize("face", SIDES)
@pytest.mark.parametrize(
    ("shape", "grain", "count", "most"),
    [
        # All on the sides along the grain, be they long or short; none on the slanting sides of the last.
        (STRIP, 0.0, 4, 1.0), (STRIP, 90.0, 4, 1.0), (STRIP, 20.0, 6, 21.0), (STRIP, -70.0, 4, 21.0),
        (SHAPES["L"], 0.0, 4, 1.0), (SHAPES["L"], 90.0, 4, 1.0), (SHAPES["rounded"], 0.0, 6, 1.0),
        # On curves as near to it as leaves them spread out, never on end grain.
        (DISC, 0.0, 3, 61.0), (DISC, 90.0, 4, 61.0), (DISC, 35.0, 6, 61.0), (SHAPES["ellipse"], 0.0, 6, 61.0),
        # Where the sides along the grain have no room for the count, end grain too.
        (STRIP, 90.0, 7, 91.0),
    ],
)  # fmt: skip
def test_tabs_by_count_stand_along_the_grain_and_on_end_grain_last(shape, grain, count, most, face):
    """The grain is the board's as seen from the front; turned over the same sides of the part are taken."""
    fixture = replace(FRONT, board=replace(BOARD, grain_deg=grain))
    fixture = fixture.turned_over(face) if face in BACKS else fixture
    op = tp.contour(shape, T6, depth=THROUGH, tabs=tp.Tabs(count=count, width=5, height=3))
    (path,) = op.toolpaths(fixture)
    places = tab_places(path, -15)

    assert len(places) == count
    seen = [(p.x, p.y) for p in (fixture.place(shapely.Point(place)) for place in places)]
    off = leans(seen, shape, grain)
    assert max(off) <= most
    assert most < 90 or max(off) > 60


@pytest.mark.parametrize("grain", [0.0, 90.0, 45.0, None])
@pytest.mark.parametrize(
    ("name", "count"),
    [*((name, 3) for name in ("square", "rounded", "circle", "L", "odd")), ("wedge", 2)],
)
def test_tabs_are_never_all_on_one_side(name, count, grain):
    """No stretch of more than three fifths of the way round is without a tab, whatever the grain."""
    fixture = replace(FRONT, board=replace(BOARD, grain_deg=grain))
    # One side of a wedge runs along the grain, with room for both tabs, far enough apart.
    shape = shapely.Polygon([(30, 20), (150, 20), (90, 100)]) if name == "wedge" else SHAPES[name]
    op = tp.contour(shape, T6, depth=THROUGH, tabs=tp.Tabs(count=count, width=5, height=3))
    (path,) = op.toolpaths(fixture)
    ring = shapely.buffer(shape, 3).exterior
    along = sorted(ring.project(shapely.Point(place)) for place in tab_places(path, -15))

    assert len(along) == count
    assert np.diff([*along, along[0] + ring.length]).max() <= 0.61 * ring.length


@pytest.mark.sample(4)
@pytest.mark.parametrize("entry", ["plunge", "ramp", "zigzag"])
@pytest.mark.parametrize(
    ("diameter", "side", "width", "height", "slope", "count"),
    [
        (20, "inside", 5, 3, 45, 2),
        (27, "inside", 7, 4, 45, 1),
        (40, "outside", 8, 3, 30, 1),
        (90, "outside", 6, 5, 20, 3),
    ],
)
def test_sloped_tabs_at_points_of_circles_are_as_meant(diameter, side, width, height, slope, count, entry):
    """The way in keeps clear of them where there is room, and no tab is longer on its wall than may be; both once
    faults: slopes cut into on the way down, and a board said to hang together by tabs as asked for. How many
    stand the part says."""
    turns = 1.0 + 2 * pi / count * np.arange(count)
    places = tuple(on_circle(MIDDLE, diameter / 2, float(turn)) for turn in turns)
    board = replace(BOARD, thickness=9)
    op = tp.contour(tp.circle(diameter, MIDDLE), T6, depth=THROUGH, side=side, entry=entry,
                    tabs=tp.Tabs(width=width, height=height, points=places, slope_deg=slope))  # fmt: skip
    setup = tp.Setup(replace(FRONT, board=board), [op])
    report = tp.simulate(tp.program_text(setup), setup.fixture, setup.cutters, cell=CELL, part=tp.intended_part(setup))

    # One alone holds a small slug and no more.
    assert report.ok or (count == 1 and report.codes() == ("weak-hold",)), str(report)


def test_tabs_at_points_ask_nothing_of_the_grain():
    tabs = tp.Tabs(width=5, height=3, points=((37.0, 60.0), (163.0, 60.0)))
    fixtures = [replace(FRONT, board=replace(BOARD, grain_deg=grain)) for grain in (0, 90, None)]
    texts = [run_text([tp.contour(STRIP, T6, depth=THROUGH, tabs=tabs)], fixture=fixture)[0] for fixture in fixtures]

    assert texts[0] == texts[1] == texts[2]


@pytest.mark.sample(1)
@pytest.mark.parametrize("spacing", [40.0, 75.0, 500.0])
def test_tabs_by_spacing_are_as_many_as_it_takes(spacing):
    shape = SHAPES["rounded"]
    op = tp.contour(shape, T6, depth=THROUGH, tabs=tp.Tabs(width=6, height=3, spacing=spacing))
    _, report = run_text([op], cell=CELL)

    # 2 (82 + 42) + 2 pi 12 along the axis, 3 outside the shape.
    assert len(bridges(report, shape)) == ceil((248 + 24 * pi) / spacing)


@pytest.mark.long
def test_tabs_stand_at_the_same_places_on_every_pass_and_on_the_finish():
    """Tabs higher than several passes: every pass is raised over the same stretches."""
    tabs = tp.Tabs(width=8, height=9, count=4)
    op = tp.contour(SHAPES["rounded"], T6, depth=THROUGH, tabs=tabs, finish=0.4)
    (path,) = op.toolpaths(FRONT)
    _, report = run_text([op], cell=CELL)

    assert len(bridges(report, SHAPES["rounded"])) == 4
    top = -BOARD.thickness + 9
    places = tab_places(path, top)
    assert len(places) >= 4
    below = axis(path)
    below = below[below[:, 2] < top - 1e-6][:, :2]
    for x, y in places:
        assert np.hypot(below[:, 0] - x, below[:, 1] - y).min() >= 7 - 0.25


@pytest.mark.parametrize("face", SIDES)
def test_tabs_keep_clear_of_corners_and_of_the_entry(face):
    """Within the tab's stretch and half a radius the kerf is straight; no tab over the first ramp."""
    op = tp.contour(SHAPES["L"], T6, depth=THROUGH, entry="ramp", tabs=tp.Tabs(width=6, height=3, count=5))
    (path,) = op.toolpaths(SIDES[face])
    corners = shapely.MultiPoint(shapely.get_coordinates(SIDES[face].place(SHAPES["L"])))
    places = tab_places(path, -15)

    assert len(places) == 5
    for place in places:
        assert corners.distance(shapely.Point(place)) >= 6
    first = next(move for _, move, _ in segments(path) if move.kind == CUT and move.z < -0.01)
    assert min(hypot(x - first.x, y - first.y) for x, y in places) > 6


def test_tabs_at_points_come_where_asked_on_either_side_of_the_board():
    for fixture in SIDES.values():
        tabs = tp.Tabs(width=6, height=3, points=((50.0, 20.0), (120.0, 100.0)))
        op = tp.contour(box(40, 25, 150, 95), T6, depth=THROUGH, tabs=tabs, start=(36, 60))
        _, report = run_text([op], fixture=fixture, cell=CELL)
        for x, y in ((50, 22), (120, 98)):
            at = fixture.place(shapely.Point(x, y))
            assert report.stock.thickness()[report.stock.cell_at(at.x, at.y)] == pytest.approx(3, abs=1e-5)


def test_tabs_on_a_blind_cut_stand_on_its_floor():
    tabs = tp.Tabs(width=6, height=2, points=((100.0, 37.0),))
    _, report = run_text([tp.contour(box(40, 40, 160, 100), T6, depth=10, tabs=tabs)], cell=CELL)

    assert report.stock.top[report.stock.cell_at(100, 37)] == pytest.approx(-8, abs=1e-5)
    assert report.stock.top[report.stock.cell_at(120, 37)] == pytest.approx(-10, abs=1e-5)


@pytest.mark.sample(3)
@pytest.mark.parametrize("entry", ["plunge", "zigzag", "ramp"])
@pytest.mark.parametrize("along", [0.0, 3.2, 5.0, 6.5, -4.0])
def test_tabs_at_the_very_start_of_the_path_are_left_whole(along, entry):
    """A path that goes down beside a tab ate into it: more than its radius away, it was not seen (once a fault)."""
    shape = box(40, 40, 160, 100)
    deep = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, spindle_rpm=18000, step_down=20, cutting_length=22)
    tabs = tp.Tabs(width=8, height=10, points=((100.0 + along, 37.0),))
    op = tp.contour(shape, deep, depth=THROUGH, tabs=tabs, start=(100, 37), entry=entry)
    _, report = run_text([op], cell=CELL)

    assert len(bridges(report, shape)) == 1
    assert width_of(report, lambda s: (100 + along + s, 37)) == pytest.approx(8, abs=CELL + 0.01)


@pytest.mark.long
def test_tabs_on_a_ring_shorter_than_a_tab_and_its_slopes_stand_on_every_pass():
    """Long slopes on a small ring: the next pass's tab was taken for the last one's (once a fault)."""
    shape = tp.circle(24, MIDDLE)
    tabs = tp.Tabs(width=4, height=4, slope_deg=10, points=((MIDDLE[0] + 15, MIDDLE[1]),))
    _, report = run_text([tp.contour(shape, T6, depth=THROUGH, tabs=tabs, start=(85, 70))], cell=CELL)

    assert report.stock.thickness()[report.stock.cell_at(114.9, 70)] == pytest.approx(4, abs=1e-5)
    assert len(bridges(report, shape)) == 1


@examples(60)
@given(
    radius=st.floats(10, 200),
    count=st.integers(1, 8),
    width=st.floats(3, 9),
    slope=st.sampled_from([90.0, 60.0, 30.0]),
)
def test_places_on_a_circle_without_grain_are_evenly_spread_and_clear_of_its_start(radius, count, width, slope):
    """To the mm in which places are tried; where there is no room for them, there is none."""
    track = circle_track((0, 0), radius, True)
    tabs = tp.Tabs(width=width, height=3, count=count, slope_deg=slope)
    half = tabs.half_zone(6, 3, radius)
    try:
        places = places_on(track, tabs, 6, 3)
    except tp.DoesNotFitError:
        assert radius < 9 or count * (2 * tabs.half_zone(6, 3, min(radius, 9.0)) + 8) > track.length - 2
        return
    turns = sorted((-np.arctan2(y, x)) % (2 * pi) * radius for x, y in places)
    assert len(places) == count
    assert turns[0] >= half - 1e-6 and turns[-1] + half <= track.length + 1e-6
    gaps = [b - a for a, b in pairwise([*turns, turns[0] + track.length])]
    assert min(gaps) >= 2 * half
    # With no room to spare between tabs, a diameter and a step, the last gap is what the others leave.
    if track.length / count >= 2 * tabs.half_zone(6, 3, min(radius, 9.0)) + 6 + 1:
        assert max(gaps) - min(gaps) <= 2 + 1e-6


@pytest.mark.sample(3)
@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag", "plunge"])
@pytest.mark.parametrize("slope", [90.0, 30.0])
@pytest.mark.parametrize(("diameter", "side", "count"), [(25, "outside", 2), (40, "inside", 3), (100, "outside", 4)])
def test_tabs_may_stand_where_the_cutter_ramps_down(diameter, side, count, slope, entry):
    """Evenly on a circle in wood without grain, whatever part of it the ramp takes: the simulator finds nothing."""
    board = tp.Board(width=200, height=140, thickness=18, grain_deg="none")
    fixture = tp.Fixture(board=board, grips=[board.outline])
    tabs = tp.Tabs(width=6, height=3.5, count=count, slope_deg=slope)
    work = [tp.contour(tp.circle(diameter, MIDDLE), T6, depth=THROUGH, tabs=tabs, side=side, entry=entry)]
    setup = tp.Setup(fixture, work)
    report = tp.simulate(tp.program_text(setup), fixture, setup.cutters, part=tp.intended_part(setup), cell=CELL)
    assert report.ok, report


@pytest.mark.sample(1)
@pytest.mark.parametrize("angle", [3.0, 8.0])
@pytest.mark.parametrize("count", [2, 3])
def test_a_ramp_goes_on_behind_a_sloped_tab_no_steeper_than_over_it(angle, count):
    """The tab's slope leads to where the ramp would be without it (once called a steep ramp); a ramp that goes on
    deeper than that behind the tab is one."""
    gentle = replace(T6, ramp_angle_deg=angle)
    tabs = tp.Tabs(width=6.5, height=3.2, count=count, slope_deg=30)
    inside = tp.contour(box(55, 45, 105, 85), gentle, depth=tp.through(0.3), side="inside", entry="ramp", tabs=tabs)
    setup = tp.Setup(FRONT, [inside])
    text = tp.program_text(setup)
    assert "steep-ramp" not in tp.simulate(text, FRONT, setup.cutters, cell=CELL).codes()
    steep = "G21 G90 G94 G17\nT1 M6\nS18000 M3\nG4 P3\nG0 Z5\nG0 X60 Y70\nG1 Z0 F500\n"
    steep += "G1 X90 Z-{first} F500\n{over}\nG1 X{far} Z-{then}\nG1 X180\nG0 Z5\nM5\nM30\n"
    fall = np.tan(np.radians(angle))
    first = 30 * fall
    # Lifted over the tab, level where the ramp comes to its top just there (once a steep ramp), and level all along a
    # wall, which is no tab.
    for over, far in (("G1 X93 Z-1\nG1 X100", 104), ("G1 X100", 104), ("G1 X160", 164)):
        for share, found in ((0.95, far == 164), (1.3, True)):
            deeper = 14 * fall * share
            text = steep.format(first=f"{first:.3f}", over=over, far=far, then=f"{first + deeper:.3f}")
            codes = tp.simulate(text, FRONT, [gentle], cell=CELL).codes()
            assert ("steep-ramp" in codes) == found, (over, deeper, codes)


def test_tabs_by_spacing_are_as_many_as_the_part_is_to_have():
    """Close together they take more of the wall than a part may be held by unless it says so (once a false alarm)."""
    tabs = tp.Tabs(spacing=30, width=8, height=3)
    setup = tp.Setup(FRONT, [tp.contour(tp.rectangle(100, 60, (100, 70)), T6, depth=THROUGH, finish=0.3, tabs=tabs)])
    part = tp.intended_part(setup)

    report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters, part=part)
    assert report.ok, report
    assert part.front[0].tabs == 12


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("sides", [20, 24, 36, 45, 60, 90, 140, 400])
def test_tabs_on_a_polygon_in_place_of_a_circle_stand_as_on_the_circle(sides, side):
    """Evenly: the largest gap is at most 1.5 times the least."""
    shape = tp.regular_polygon(sides, 2 * 28.65, (100, 60))
    op = tp.contour(shape, T6, depth=THROUGH, side=side, tabs=tp.Tabs(count=3, width=6, height=3))
    (path,) = op.toolpaths(PLAIN)

    turns = sorted(np.arctan2(y - 60, x - 100) for x, y in tab_places(path, -15))
    gaps = np.diff([*turns, turns[0] + 2 * np.pi])
    assert len(turns) == 3
    assert gaps.max() <= 1.5 * gaps.min()


@pytest.mark.parametrize("sides", [6, 8, 12])
def test_tabs_never_stand_on_the_corners_of_a_polygon(sides):
    """Nor does any part of one, wherever the path begins."""
    corners = shapely.get_coordinates(tp.regular_polygon(sides, 110, (100, 60)))
    sharp = Track(tuple(Segment(tuple(a), tuple(b)) for a, b in pairwise(corners.tolist())), True)
    for begin in (0.0, 0.3, 7.0, 20.0):
        places = places_on(sharp.starting_at(begin), tp.Tabs(count=4, width=4, height=3), 6, 3)
        assert len(places) == 4
        assert shapely.distance(shapely.points(corners)[:, None], shapely.points(places)).min() >= 5
