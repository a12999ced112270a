"""Courses over loops, rows and spirals: every leg once, each beside one that is done, and nothing left between."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from pathcheck import FRONT, SHAPES, T3, T6, Wood, check_motion, distances, segments, swept
from shapely import Polygon, box

import toolpaths as tp
from samples import examples
from toolpaths.making.operations import rings
from toolpaths.making.operations.clearing.course_choice import PATTERNS, CourseTerms, _seconds, soonest_courses
from toolpaths.making.operations.clearing.loop_order import Leg, inside_out, loop_trees, outside_in
from toolpaths.making.operations.clearing.loops import Room, polygons_of
from toolpaths.making.operations.clearing.parallel_rows import least_rows, parallel
from toolpaths.making.operations.clearing.section_entry import entry_into
from toolpaths.making.operations.clearing.spiral import shortest_spiral, spiral
from toolpaths.shapes.drawn_area import DrawnArea
from toolpaths.shapes.track import Segment, Track

TOLERANCE = 0.01
RADIUS = 3.0
WORLD = box(-50, -50, 300, 250)
ROUND_ISLANDS = box(20, 20, 140, 90) - shapely.Point(50, 45).buffer(9) - shapely.Point(96, 60).buffer(13)
NESTED = ["square", "circle", "ellipse", "rounded"]


def room_of(shape: Polygon, step: float = 2.4, climb: bool = True) -> Room:
    (centres,) = polygons_of(shapely.buffer(shape, -RADIUS, quad_segs=64))
    return Room(centres, shape, Polygon(), Polygon(), RADIUS, RADIUS, step, climb, DrawnArea(shape, (), TOLERANCE))


def opened(shape: shapely.Geometry) -> shapely.Geometry:
    return shapely.buffer(shapely.buffer(shape, -RADIUS, quad_segs=200), RADIUS, quad_segs=200)


@pytest.mark.parametrize(("width", "kind"), [(10, "helix"), (9.1, "helix"), (8.9, "stroke"), (6.2, "stroke")], ids=str)
def test_a_row_too_short_to_go_down_along_is_entered_by_a_helix_or_to_and_fro(width, kind):
    """A helix of half the cutter's radius needs a room a diameter and a half wide; the row stands far from its widest
    place, and across its corridor."""
    room = room_of(box(20, 20, 200, 20 + width) | tp.circle(40, (40, 30)))
    row = Track((Segment((170.0, 23.05), (171.0, 23.1)),), False)
    leg = Leg(row, rings.as_chords(row), room.centres, False)

    entry, begun = entry_into(leg, room, T6, "auto")

    assert entry.kind == kind
    assert begun == row
    track = entry.helix or entry.stroke
    assert room.inside(track.segments)
    assert track.length >= T6.diameter / 2
    last = (*track.segments[-1:], *entry.lead)[-1]
    assert shapely.Point(last.end if kind == "helix" else track.start).distance(shapely.Point(row.start)) < 1e-6


@pytest.mark.long
def test_no_pocket_of_rows_between_the_arms_of_a_spiral_is_entered_straight_down():
    """Once a cutter of 8 mm went 4 mm straight down into wood there."""
    turns = [(100 + a / 20 * np.cos(np.radians(a)), 85 + a / 20 * np.sin(np.radians(a))) for a in range(60, 780, 6)]
    shape = box(40, 40, 160, 130) - shapely.buffer(shapely.LineString(turns), 2)
    cutter = tp.Cutter(1, tp.flat(8), feed_mm_min=1400, spindle_rpm=18000)
    (path,) = tp.pocket(shape, cutter, depth=4, pattern="parallel").toolpaths(FRONT, TOLERANCE)
    wood = Wood(0.25)
    assert max(deep for move, deep, length in wood.cut(path) if length < 1e-9) < 0.1


@pytest.mark.parametrize("course", [inside_out, outside_in])
@pytest.mark.parametrize("name", ["square", "L", "star", "odd", "ring", "two holes", "comb", "round islands"])
def test_walk_visits_every_loop_once_each_beside_one_before(name, course):
    """Swaths of a leg and of the one that it is beside touch: no farther apart than the cutter is wide."""
    (tree,) = loop_trees(room_of(ROUND_ISLANDS if name == "round islands" else SHAPES[name]))
    legs = course(tree)

    assert {id(leg.track) for leg in legs} == {id(loop.track) for loop in tree.loops}
    assert len(legs) == len(tree.loops)
    assert legs[0].neighbour is None
    for number, leg in enumerate(legs[1:], start=1):
        assert leg.neighbour is not None and leg.neighbour < number
        assert shapely.distance(leg.line, legs[leg.neighbour].line) <= 2 * RADIUS


def test_a_room_too_tight_for_rows_is_cleared_along_its_walls():
    (path,) = tp.pocket(box(40, 40, 48, 48), T6, depth=2, pattern="parallel").toolpaths(FRONT, TOLERANCE)
    assert shapely.difference(opened(box(40, 40, 48, 48)), swept(path, -1.99)).area < TOLERANCE * 32


def test_links_between_loops_about_round_islands_are_short():
    """Were branches cleared one by one, links would come to 8 % of the loops."""
    (tree,) = loop_trees(room_of(ROUND_ISLANDS))
    legs = inside_out(tree)
    place, links = shapely.Point(legs[0].line.coords[0]), 0.0
    for leg in legs[1:]:
        begun = leg.line.interpolate(leg.line.project(place))
        links, place = links + place.distance(begun), begun

    assert links < 0.065 * sum(leg.line.length for leg in legs)


@pytest.mark.parametrize("name", ["square", "L", "star", "rounded"])
def test_walk_from_the_inside_out_ends_at_the_wall_and_from_the_outside_in_begins_there(name):
    (tree,) = loop_trees(room_of(SHAPES[name]))

    assert inside_out(tree)[-1].wall and not inside_out(tree)[0].wall
    assert outside_in(tree)[0].wall and not outside_in(tree)[-1].wall


@pytest.mark.sample(3)
@pytest.mark.parametrize("climb", [True, False])
@pytest.mark.parametrize("name", NESTED)
def test_spiral_is_one_stroke_that_covers_all_and_is_no_shorter_than_told(name, climb):
    room = room_of(SHAPES[name], climb=climb)
    (tree,) = loop_trees(room)
    (leg,) = spiral(tree, room)

    left = shapely.difference(opened(SHAPES[name]), shapely.buffer(leg.line, RADIUS, quad_segs=64))
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty
    assert shortest_spiral(tree) * 0.99 <= leg.track.length
    for a, b in zip(leg.track.segments, leg.track.segments[1:]):
        assert a.end == b.start


@pytest.mark.parametrize("name", ["L", "ring", "two holes", "odd"])
def test_spiral_is_none_where_loops_do_not_lie_one_in_one(name):
    room = room_of(SHAPES[name])
    found = loop_trees(room)

    assert found and all(spiral(tree, room) is None for tree in found)


@pytest.mark.sample(2, long=20)
@pytest.mark.parametrize("angle", [0.0, 30.0, 90.0])
@pytest.mark.parametrize("step", [0.6, 2.4, 3.0])
@pytest.mark.parametrize("name", ["square", "circle", "star", "odd", "two holes", "comb"])
def test_rows_leave_no_island_at_any_angle_and_step(name, step, angle):
    room = room_of(SHAPES[name], step)
    legs = parallel(room, angle)

    assert legs is not None
    lines = shapely.union_all([shapely.buffer(leg.line, RADIUS, quad_segs=64) for leg in legs])
    assert shapely.buffer(shapely.difference(opened(SHAPES[name]), lines), -2 * TOLERANCE).is_empty
    least = least_rows(room, angle)
    assert least.length * 0.97 <= sum(leg.track.length for leg in legs)
    assert least.rows <= sum(not leg.wall for leg in legs)
    for leg in legs:
        if not leg.wall:
            (x0, y0), (x1, y1) = leg.track.start, leg.track.segments[-1].end
            off = np.degrees(np.arctan2(y1 - y0, x1 - x0)) - angle
            assert abs((off + 90) % 180 - 90) < 1e-6


@pytest.mark.parametrize("name", NESTED)
def test_spiral_and_rows_that_come_to_more_than_is_wanted_are_not_made(name):
    room = room_of(SHAPES[name])
    (tree,) = loop_trees(room)
    for make in (lambda longest: spiral(tree, room, longest), lambda longest: parallel(room, 30.0, longest)):
        long = sum(leg.line.length for leg in make(float("inf")))
        assert make(long * 0.99) is None
        assert make(long * 1.01) is not None


@pytest.mark.sample(2)
@pytest.mark.parametrize("name", ["square", "L", "star", "two holes", "comb"])
def test_plan_of_its_own_choice_is_no_slower_than_any_that_is_asked_for(name):
    shape = SHAPES[name]

    def seconds(pattern: str) -> float:
        terms = CourseTerms(T6, FRONT.machine, pattern, "auto", 0.0, 4.0)
        return sum(_seconds(course, terms) for course in soonest_courses(room_of(shape), terms))

    own = seconds("auto")
    assert own > 0
    for pattern in ("inside out", "outside in", "parallel"):
        assert own <= seconds(pattern) / 0.98 + 1e-9


@pytest.mark.sample(3, long=5)
@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("name", ["square", "star", "two holes", "comb"])
def test_pocket_of_every_pattern_stays_inside_clears_all_and_goes_down_in_air_only(name, pattern, direction):
    shape = SHAPES[name]
    if pattern == "spiral" and name == "two holes":
        with pytest.raises(tp.DoesNotFitError, match="no spiral clears them"):
            tp.pocket(shape, T6, depth=4, pattern=pattern).toolpaths(FRONT, TOLERANCE)
        return
    (path,) = tp.pocket(shape, T6, depth=4, pattern=pattern, direction=direction).toolpaths(FRONT, TOLERANCE)

    check_motion(path)
    assert distances(path, shapely.difference(WORLD, shape)).min() >= RADIUS - TOLERANCE
    left = shapely.difference(opened(shape), swept(path, -4 + 1e-6))
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty
    down = [depth for move, depth, length in Wood().cut(path) if length < 1e-9 and move.z < 0]
    assert max(down, default=0.0) <= 1e-9


@pytest.mark.parametrize("pattern", ["inside out", "outside in", "auto"])
@pytest.mark.parametrize("name", ["square", "circle", "star", "L"])
def test_pocket_whose_loops_hang_together_is_entered_once_and_left_once(name, pattern):
    (path,) = tp.pocket(SHAPES[name], T6, depth=9, pattern=pattern).toolpaths(FRONT, TOLERANCE)

    lifts = [move for _, move, z in segments(path) if z < 0 < move.z]
    assert len(lifts) == 1


def test_pocket_leaves_the_wall_before_it_lifts():
    """The last cut before going up ends off the wall, and comes off it without a corner."""
    (path,) = tp.pocket(SHAPES["square"], [T6, T3], depth=3).toolpaths(FRONT, TOLERANCE)[:1]
    wall = SHAPES["square"].boundary
    moves = list(segments(path))
    last = [segment.end for (segment, move, _), (_, after, _) in zip(moves, moves[1:]) if move.z < 0 < after.z]
    assert last
    assert shapely.distance(wall, shapely.points(last)).min() > RADIUS + 0.3


def test_line_of_a_stroke_lies_along_its_track():
    """Within the tolerance at the wall; inner loops are fitted to a fiftieth of the radius."""
    (tree,) = loop_trees(room_of(SHAPES["L"]))
    legs = inside_out(tree)
    assert len(legs) > 3
    for leg in legs:
        places = [segment.at(share) for segment in leg.track.segments for share in np.linspace(0, 1, 20)]
        away = shapely.distance(leg.line, shapely.points(places)).max()
        assert away <= (TOLERANCE if leg.wall else RADIUS / 50)


blobs = st.lists(
    st.tuples(st.floats(50, 150), st.floats(45, 95), st.floats(4, 22), st.booleans()), min_size=1, max_size=4
).map(
    lambda found: shapely.union_all(
        [shapely.Point(x, y).buffer(r) if round_ else box(x - r, y - 4, x + r, y + 4) for x, y, r, round_ in found]
    )
)


@examples(12)
@given(
    shape=blobs,
    island=st.tuples(st.floats(50, 150), st.floats(45, 95), st.floats(1, 9)),
    pattern=st.sampled_from(("auto", "inside out", "outside in", "parallel")),
    stepover=st.sampled_from((0.15, 0.4, 0.5)),
    profile=st.sampled_from((tp.flat(6), tp.bull_nose(6, 1))),
)
def test_pocket_of_any_blobs_is_cleared_by_every_pattern_with_nothing_found(shape, island, pattern, stepover, profile):
    """Simulated against just what the finest cutter can reach: no gouge, nothing left, no rapid in wood."""
    x, y, r = island
    shape = shape - shapely.Point(x, y).buffer(r)
    room = shapely.union_all([part for part in polygons_of(shape) if not shapely.buffer(part, -3.02).is_empty])
    cutter = tp.Cutter(1, profile, feed_mm_min=1800, spindle_rpm=16000, cutting_length=20)
    assume(not room.is_empty)
    work = [tp.pocket(room, [cutter, T3], depth=4, pattern=pattern, stepover=stepover)]
    setup = tp.Setup(FRONT, work)
    reach = shapely.buffer(shapely.buffer(room, -1.5, quad_segs=128), 1.5, quad_segs=128)
    part = tp.Part(board=FRONT.board, front=[tp.Recess(area=reach, depth=4, corners=1.5)])
    report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters, cell=0.4, part=part)

    assert report.ok, str(report)
