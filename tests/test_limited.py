"""Limited engagement: the angle is kept, everything is reached, nothing beyond; measured by tests/engagement.py."""

from __future__ import annotations

from dataclasses import replace
from math import acos, cos, degrees, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
import shapely
from engagement import Step, measured
from hypothesis import assume, given
from hypothesis import strategies as st
from pathcheck import FRONT, INSERT, MIDDLE, SHAPES, T3, T6, straight_down
from shapely import LineString, Polygon, box

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.read import read
from toolpaths.making.operations.clearing.limited.advance import Limit
from toolpaths.making.operations.clearing.limited.strokes import strokes as find_strokes
from toolpaths.making.operations.clearing.limited.wall_discs import wall_places
from toolpaths.making.operations.clearing.shortest_path import shortest_path
from toolpaths.shapes import offset
from toolpaths.shapes.track import Segment, circle_track

TOLERANCE = 0.01


def opened(shape: shapely.Geometry, radius: float) -> shapely.Geometry:
    """What a round cutter reaches: the shape eroded and dilated again."""
    return shapely.buffer(shapely.buffer(shape, -radius, quad_segs=200), radius, quad_segs=200)


def slot(times: float, radius: float, bend: float = 0.0) -> Polygon:
    """A slot 30 mm long with round ends, so many cutters wide; bent to an arc of that radius if given."""
    turns = np.linspace(0, 30 / bend, 200) if bend else np.array([0.0, 1.0])
    points = np.column_stack([np.cos(turns), np.sin(turns)]) * bend if bend else turns[:, None] * (30, 10)
    return shapely.buffer(LineString(points), times * radius, quad_segs=64)


def blob(seed: int) -> Polygon:
    """A smooth closed curve about 50 mm across."""
    rng = np.random.default_rng(seed)
    turns = np.linspace(0, 2 * pi, 400, endpoint=False)
    out = 25 + sum(rng.uniform(-6, 6) / k * np.cos(k * turns + rng.uniform(0, 6)) for k in range(2, 7))
    return Polygon(np.column_stack([np.cos(turns), np.sin(turns)]) * out[:, None])


def cleared(room, radius, limit, *, climb=True, free=None):
    """(steps at height 0, reach, strokes) of one room, entered by a disc in its widest place or where it is free."""
    centres = offset.reach(room, radius, TOLERANCE)
    assert centres.geom_type == "Polygon"
    steps = []
    if free is None:
        widest = shapely.maximum_inscribed_circle(centres, 0.01)
        (x, y), far = widest.coords[0], min(0.9 * radius, 0.99 * widest.length)
        free, here = shapely.Point(x, y).buffer(far, quad_segs=64), (x + far, y)
        steps = [Step(segment, 1e-4, 0.0) for segment in circle_track((x, y), far, False).segments]
        steps.append(Step(Segment((x, y), (x, y)), 1e-4, 0.0))
    else:
        point = free.representative_point()
        here = (point.x, point.y)
    found = find_strokes(
        centres, free, here, radius=radius, limit_deg=limit, widest=radius, climb=climb, tolerance=TOLERANCE
    )
    for stroke in found:
        for to in stroke.approach:
            if not (stroke.kind == "lifted" and to == stroke.approach[0]):
                steps.append(Step(Segment(here, to), 0.0, 0.0))
            here = to
        steps += [Step(segment, 0.0, 0.0) for segment in stroke.track.segments]
        here = stroke.track.segments[-1].end
    return steps, shapely.buffer(centres, radius, quad_segs=128), found


def swept(steps, radius):
    lines = [
        LineString([step.segment.at(share) for share in np.linspace(0, 1, 2 + int(abs(step.segment.sweep) / 0.02))])
        for step in steps
        if step.segment.length
    ]
    return shapely.union_all([shapely.buffer(line, radius, quad_segs=64) for line in lines])


def check(room, radius, limit, **how):
    steps, reach, found = cleared(room, radius, limit, **how)
    taken = swept(steps, radius)
    wood = reach
    if "free" in how:
        wood = shapely.difference(reach, how["free"].buffer(radius, quad_segs=64))
        taken = shapely.union(taken, how["free"].buffer(radius, quad_segs=64))
    result = measured(steps, 0.0, radius, wood, limit)
    assert result.keeps_the_limit(), result
    assert shapely.buffer(shapely.difference(taken, reach), -TOLERANCE / 2).is_empty, "beyond the room"
    left = shapely.difference(reach, taken)
    assert shapely.buffer(left, -TOLERANCE).is_empty, "wood stands"
    return result, found


@pytest.mark.sample(5)
@pytest.mark.parametrize("limit", [40, 60, 90, 120])
@pytest.mark.parametrize("rho", [0.01, 0.5, 3, 30, 3000])
def test_advance_is_the_largest_that_keeps_the_limit_where_an_arc_is_moved_forward(rho, limit):
    """A circle of the axis moved on by the advance: the widest angle round it, found by trying, is the limit."""
    radius = 3.0
    step = Limit(radius, radians(limit), 1e9).advance(rho)

    widest = 0.0
    for turn in np.linspace(-pi, pi, 721):
        # Rim points p + r u with |p + r u| > rho + r, u at beta from the outward normal towards the travel.
        beta = np.linspace(0, pi, 1801)
        x = step + rho * cos(turn) + radius * np.cos(turn + beta)
        y = rho * sin(turn) + radius * np.sin(turn + beta)
        wood = np.hypot(x, y) > rho + radius + 1e-12
        widest = max(widest, degrees(beta[wood].max(initial=0.0)))
    assert widest == pytest.approx(limit, abs=0.3)


def test_advance_in_a_straight_front_is_the_published_stepover():
    """phi = acos(1 - 2 q), q = a_e / D (reference 2.4), for a front without curvature."""
    for limit in (40, 60, 90, 120):
        q = Limit(3.0, radians(limit), 1e9).advance(1e9) / 6.0
        assert degrees(acos(1 - 2 * q)) == pytest.approx(limit, abs=1e-3)


CASES = [
    (name, radius, limit, climb)
    for name, radius, limit, climb in [
        ("square", 6.0, 40, False), ("circle", 6.0, 60, True), ("L", 3.0, 90, True),
        ("star", 3.0, 60, False), ("comb", 3.0, 120, True), ("long thin", 3.0, 60, True),
        ("rounded", 6.0, 60, False), ("two holes", 6.0, 90, True), ("ring", 6.0, 40, True), ("odd", 3.0, 120, True),
    ]
]  # fmt: skip


@pytest.mark.sample(1, long=1)
@pytest.mark.parametrize(("name", "radius", "limit", "climb"), CASES)
def test_pockets_are_cleared_within_the_limit(name, radius, limit, climb):
    """99 % of the cutting within the limit, the rest within 1.2 times; all wood within reach gone, none beyond."""
    check(SHAPES[name], radius, limit, climb=climb)


@pytest.mark.sample(1, long=1)
@pytest.mark.parametrize(
    ("times", "radius", "limit", "bend"),
    [
        (1.2, 3.0, 60, 0.0), (1.2, 6.0, 120, 20.0), (1.5, 1.5, 40, 20.0), (1.5, 4.0, 90, 0.0),
        (2, 4.0, 90, 20.0), (2, 3.0, 40, 0.0), (3, 3.0, 60, 20.0), (3, 6.0, 120, 0.0),
    ],
)  # fmt: skip
def test_slots_wider_than_the_cutter_are_cleared_within_the_limit(times, radius, limit, bend):
    """Straight and bent, 1.2 to 3 cutters wide."""
    check(slot(times, radius, bend), radius, limit, climb=bend == 0)


@pytest.mark.long
@examples(3)
@given(
    seed=st.integers(0, 10_000),
    limit=st.sampled_from([45, 70, 100]),
    radius=st.sampled_from([2.0, 3.0, 5.0]),
    climb=st.booleans(),
)
def test_any_smooth_room_is_cleared_within_the_limit(seed, limit, radius, climb):
    """Rooms that no one drew with this in mind."""
    centres = offset.reach(blob(seed), radius, TOLERANCE)
    assume(centres.geom_type == "Polygon" and not centres.is_empty)
    check(blob(seed), radius, limit, climb=climb)


def test_each_place_of_a_wall_has_its_largest_disc():
    """Round in chords, as many places on the island as it has corners: the discs go from wall to wall."""
    room = offset.reach(tp.circle(90) - tp.circle(50), 3.0, TOLERANCE)
    rings = wall_places(room, Limit(3.0, radians(60), 3.0), TOLERANCE / 4)
    assert [len(places.along) > 100 for places in rings] == [True, True]
    for places in rings:
        away = shapely.distance(room.boundary, shapely.points(places.centres))
        assert np.abs(places.radii - away).max() < 1e-9 and np.median(places.radii) == pytest.approx(7.0, abs=0.01)


@pytest.mark.parametrize(("times", "bend"), [(1.1, 0.0), (1.5, 20.0), (1.83, 0.0), (2.2, 0.0), (2.0, 20.0)])
def test_a_slot_takes_no_more_strokes_than_its_length_in_steps(times, bend):
    """Each stroke a step on from the one before, by the law of cosines of the step; some more at the ends alone."""
    radius, step_deg = 3.0, 59.8
    _, _, found = cleared(slot(times, radius, bend), radius, 60)
    # Of larger discs less than 0.3 mm is left to the lap along the wall.
    widest = (times - 1) * radius
    size = widest if widest < 1.5 else max(widest - 0.3, 1.5)
    step = size + radius - sqrt(size**2 + radius**2 + 2 * size * radius * cos(radians(step_deg)))
    length = 30 * (1 if bend else hypot(1, 1 / 3))

    assert 0.7 * length / step < len(found) < 1.1 * length / step + 12


@pytest.mark.long
@pytest.mark.parametrize("shape", [box(40, 40, 100, 80), box(40, 40, 100, 60) | box(40, 40, 60, 90)])
def test_a_finer_cutter_does_not_cross_the_room_at_feed(shape):
    """From corner to corner it goes by rapid, and down beside its first stroke."""
    (_, path) = tp.pocket(shape, [T6, T3], depth=1, engagement_deg=60).toolpaths(FRONT)
    x, y, z = path.moves[0].x, path.moves[0].y, path.moves[0].z
    level = []
    for move in path.moves:
        if move.kind == "cut" and move.z == z == path.lowest and move.sweep == 0:
            level.append(hypot(move.x - x, move.y - y))
        x, y, z = move.x, move.y, move.z
    assert len(level) > 10 and max(level) < 6.0


@pytest.mark.long
def test_a_finer_cutter_takes_only_corners_within_the_limit():
    """After a 12 mm cutter one of 4 mm has only corners to do, and goes into no other wood."""
    room = box(0, 0, 60, 40)
    coarse = shapely.buffer(shapely.buffer(room, -6), 6, quad_segs=64)
    free = shapely.buffer(coarse, -2, quad_segs=64)
    result, found = check(room, 2.0, 60, free=free)

    assert 0 < result.length < 200
    for stroke in found:
        away = shapely.distance(coarse.boundary, shapely.points([segment.end for segment in stroke.track.segments]))
        assert away.max() < 4.5


@pytest.mark.long
def test_strokes_have_the_wood_on_the_side_asked_for():
    """Climb has the wood on the right of the travel: fronts go round the free room anticlockwise."""
    for climb, sign in ((True, 1), (False, -1)):
        _, _, found = cleared(box(0, 0, 36, 36), 3.0, 60, climb=climb)
        first = found[0].track
        points = np.array([first.at(share * first.length) for share in np.linspace(0, 1, 50)])
        around = np.unwrap(np.arctan2(points[:, 1] - 18, points[:, 0] - 18))
        assert sign * (around[-1] - around[0]) > pi


def test_ways_lead_round_corners_and_no_longer_than_asked():
    """In an L the way from end to end bends once at the inner corner; its length is that of two straight lines."""
    area = Polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 40), (0, 40)])
    a, b = (39.0, 9.0), (9.0, 39.0)

    found = shortest_path(area, a, b, 100.0, 0.005)
    assert found is not None and found[-1] == b
    line = LineString([a, *found])
    assert shapely.covers(shapely.buffer(area, 0.01), line)
    assert hypot(29, 1) * 2 <= line.length < hypot(29, 1) * 2 + 1
    assert shortest_path(area, a, b, 50.0, 0.005) is None
    assert shortest_path(area, (1.0, 1.0), (39.0, 9.0), 1.0, 0.005) == ((39.0, 9.0),)


def level_steps(text: str, tool: int) -> list[Step]:
    """All that a tool does below the top of the board, as read from the text."""
    motions = read(text).motions
    found = []
    for i in np.flatnonzero((motions.tool == tool) & (np.maximum(motions.start[:, 2], motions.end[:, 2]) < 1.0)):
        (x0, y0, z0), (x1, y1, z1) = motions.start[i].tolist(), motions.end[i].tolist()
        centre = (float(motions.centre[i, 0]), float(motions.centre[i, 1]))
        found.append(Step(Segment((x0, y0), (x1, y1), centre, float(motions.sweep[i])), z0, z1))
    return found


def judged(work: tp.Operation) -> str:
    """The text of one piece of work, in which the simulator found nothing."""
    setup = tp.Setup(FRONT, work=[work])
    text = tp.program_text(setup)
    report = tp.simulate(text, FRONT, setup.cutters, cell=0.25, part=tp.intended_part(setup))
    assert report.ok and not report.findings, str(report)
    return text


@pytest.mark.long
def test_a_pocket_as_written_keeps_the_limit_at_every_level():
    """Text read back: two passes, each entered by a helix; only the helix is in solid wood."""
    shape = tp.rectangle(46, 34, MIDDLE, corner_radius=5)
    island = tp.circle(9, (95, 72))
    text = judged(tp.pocket(shape, T6, depth=5, islands=island, engagement_deg=60, direction="climb"))

    steps = level_steps(text, 1)
    reach = opened(shapely.difference(shape, island), 3.0)
    for z in (-2.5, -5.0):
        result = measured(steps, z, 3.0, reach, 60)
        assert result.keeps_the_limit() and result.length > 500, result


@pytest.mark.long
def test_a_loop_that_lies_unevenly_from_the_one_before_is_reached_within_the_limit():
    """Circles grown from the helix here end in a loop along the walls, near the room before it in some places only."""
    cutter = tp.Cutter(1, tp.bull_nose(12, 1.2), 1800, 16000, cutting_length=40)
    shape = tp.rectangle(115.17, 60, MIDDLE)
    text = judged(tp.pocket(shape, cutter, depth=6, engagement_deg=60, stepover=0.3, entry="helix", direction="climb"))

    result = measured(level_steps(text, 1), -6.0, 6.0, opened(shape, 6.0), 60)
    assert result.keeps_the_limit() and result.length > 3000, result


@pytest.mark.long
def test_a_finer_cutter_and_the_last_round_keep_the_limit():
    """6 mm, then 3 mm in the corners, then 0.3 mm off all walls at full depth; conventional."""
    shape = Polygon([(40, 30), (80, 30), (80, 44), (58, 44), (58, 66), (40, 66)])
    text = judged(tp.pocket(shape, [T6, T3], depth=3, engagement_deg=70, finish=0.3))

    coarse = opened(shapely.buffer(shape, -0.3, join_style="mitre"), 3.0)
    wood = shapely.difference(opened(shape, 1.5), shapely.buffer(coarse, 0.005))
    assert measured(level_steps(text, 1), -3.0, 3.0, coarse, 70).keeps_the_limit()
    result = measured(level_steps(text, 2), -3.0, 1.5, wood, 70)
    assert result.keeps_the_limit() and result.length > shape.length * 0.9, result


@pytest.mark.long
def test_a_slot_as_wide_as_the_cutter_cannot_be_kept_and_the_numbers_offered_work():
    """The error names a finer cutter and 180 degrees; both make a path. 180 is no limit at all."""
    shape = tp.slot((60, 60), (90, 60), 6.2)
    with pytest.raises(
        tp.DoesNotFitError, match=r"6\.20 mm wide.*engagement_deg=180, or a cutter of at most 5\.90 mm"
    ) as at:
        tp.pocket(shape, T6, depth=2, engagement_deg=60).toolpaths(FRONT)
    assert at.value.point is not None and shapely.Point(at.value.point).within(shape)

    fine = replace(T6, profile=tp.flat(5.9))
    (path,) = tp.pocket(shape, fine, depth=2, engagement_deg=60).toolpaths(FRONT)
    assert path.lowest == -2
    slots = [tp.pocket(shape, T6, depth=2, engagement_deg=limit).toolpaths(FRONT) for limit in (180, None)]
    assert slots[0] == slots[1]


@pytest.mark.parametrize("wrong", [0, 9.9, 181, float("nan"), "60", True])
def test_engagement_out_of_range_is_an_error(wrong):
    """10 to 180 degrees."""
    with pytest.raises(tp.InputError, match="engagement_deg"):
        tp.pocket(box(40, 40, 80, 80), T6, depth=2, engagement_deg=wrong)


def test_ways_in_that_cut_a_slot_are_an_error():
    """A ramp along the path would meet wood on half of its rim."""
    with pytest.raises(tp.InputError, match="entry='ramp' cuts a slot"):
        tp.pocket(box(40, 40, 80, 80), T6, depth=2, engagement_deg=60, entry="ramp")
    with pytest.raises(tp.InputError, match="pattern='parallel' keeps to no engagement"):
        tp.pocket(box(40, 40, 80, 80), T6, depth=2, engagement_deg=60, pattern="parallel")


def test_a_cutter_dead_at_its_centre_needs_room_for_its_helix():
    """8 mm, dead at its centre: a slot of 10 mm is too narrow to go in; one of 16 mm is not."""
    with pytest.raises(
        tp.DoesNotFitError, match=r"in a hole of 12 mm, and finds one of 1\.98 .* at least 8\.5 mm there"
    ):
        tp.pocket(tp.slot((60, 60), (90, 60), 10), INSERT, depth=2, engagement_deg=60).toolpaths(FRONT)
    (path,) = tp.pocket(tp.slot((60, 60), (90, 60), 16), INSERT, depth=2, engagement_deg=60).toolpaths(FRONT)
    assert not straight_down(path) or all(z >= 0 for z, _ in straight_down(path))
