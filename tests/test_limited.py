"""Limited engagement: the angle is kept, everything is reached, nothing beyond; measured by tests/engagement.py."""

from __future__ import annotations

from math import acos, cos, degrees, hypot, pi, radians, sin

import numpy as np
import pytest
import shapely
from engagement import Step, measured
from hypothesis import given, settings
from hypothesis import strategies as st
from pathcheck import SHAPES
from shapely import LineString, Polygon, box

from toolpaths.geometry import offset
from toolpaths.geometry.track import Piece, circle_track
from toolpaths.operations.limited.fronts import advance
from toolpaths.operations.limited.strokes import strokes
from toolpaths.operations.limited.ways import way

TOLERANCE = 0.01


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
        steps = [Step(piece, 1e-4, 0.0) for piece in circle_track((x, y), far, False).pieces]
        steps.append(Step(Piece((x, y), (x, y)), 1e-4, 0.0))
    else:
        point = free.representative_point()
        here = (point.x, point.y)
    found = strokes(
        centres, free, here, radius=radius, limit_deg=limit, widest=radius, climb=climb, tolerance=TOLERANCE
    )
    for stroke in found:
        for to in stroke.way:
            if not (stroke.lifted and to == stroke.way[0]):
                steps.append(Step(Piece(here, to), 0.0, 0.0))
            here = to
        steps += [Step(piece, 0.0, 0.0) for piece in stroke.track.pieces]
        here = stroke.track.pieces[-1].end
    return steps, shapely.buffer(centres, radius, quad_segs=128), found


def swept(steps, radius):
    lines = [
        LineString([step.piece.at(share) for share in np.linspace(0, 1, 2 + int(abs(step.piece.sweep) / 0.02))])
        for step in steps
        if step.piece.length
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


@pytest.mark.parametrize("limit", [40, 60, 90, 120])
@pytest.mark.parametrize("rho", [0.01, 0.5, 3, 30, 3000])
def test_advance_is_the_largest_that_keeps_the_limit_where_an_arc_is_moved_forward(rho, limit):
    """A circle of the axis moved on by the advance: the widest angle round it, found by trying, is the limit."""
    radius = 3.0
    step = advance(rho, radius, radians(limit))

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
        q = advance(1e9, 3.0, radians(limit)) / 6.0
        assert degrees(acos(1 - 2 * q)) == pytest.approx(limit, abs=1e-3)


CASES = [
    (name, radius, limit, climb)
    for name, radius, limit, climb in [
        ("square", 6.0, 40, False), ("circle", 6.0, 60, True), ("ellipse", 6.0, 90, True), ("L", 3.0, 90, True),
        ("star", 3.0, 60, False), ("comb", 3.0, 120, True), ("long thin", 3.0, 60, True),
        ("rounded", 6.0, 60, False), ("two holes", 6.0, 90, True), ("ring", 6.0, 40, True), ("odd", 3.0, 120, True),
    ]
]  # fmt: skip


@pytest.mark.parametrize(("name", "radius", "limit", "climb"), CASES)
def test_pockets_are_cleared_within_the_limit(name, radius, limit, climb):
    """99 % of the cutting within the limit, the rest within 1.2 times; all wood within reach gone, none beyond."""
    check(SHAPES[name], radius, limit, climb=climb)


@pytest.mark.parametrize("limit", [40, 60, 90, 120])
@pytest.mark.parametrize("times", [1.2, 1.5, 2, 3])
def test_slots_wider_than_the_cutter_are_cleared_within_the_limit(times, limit):
    """Straight and bent, 1.2 to 3 cutters wide."""
    radius = {40: 1.5, 60: 3.0, 90: 4.0, 120: 6.0}[limit]
    check(slot(times, radius), radius, limit)
    check(slot(times, radius, bend=20.0), radius, limit, climb=False)


@settings(max_examples=3, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    limit=st.sampled_from([45, 70, 100]),
    radius=st.sampled_from([2.0, 3.0, 5.0]),
    climb=st.booleans(),
)
def test_any_smooth_room_is_cleared_within_the_limit(seed, limit, radius, climb):
    """Rooms that no one drew with this in mind."""
    centres = offset.reach(blob(seed), radius, TOLERANCE)
    if centres.geom_type == "Polygon":
        check(blob(seed), radius, limit, climb=climb)


def test_a_finer_cutter_takes_only_corners_within_the_limit():
    """After a 12 mm cutter one of 4 mm has only corners to do, and goes into no other wood."""
    room = box(0, 0, 60, 40)
    coarse = shapely.buffer(shapely.buffer(room, -6), 6, quad_segs=64)
    free = shapely.buffer(coarse, -2, quad_segs=64)
    result, found = check(room, 2.0, 60, free=free)

    assert 0 < result.length < 200
    for stroke in found:
        away = shapely.distance(coarse.boundary, shapely.points([piece.end for piece in stroke.track.pieces]))
        assert away.max() < 4.5


def test_strokes_have_the_wood_on_the_side_asked_for():
    """Climb has the wood on the right of the travel: fronts go round the free room anticlockwise."""
    for climb, sign in ((True, 1), (False, -1)):
        _, _, found = cleared(box(0, 0, 50, 50), 3.0, 60, climb=climb)
        first = found[2].track
        points = np.array([first.at(share * first.length) for share in np.linspace(0, 1, 50)])
        around = np.unwrap(np.arctan2(points[:, 1] - 25, points[:, 0] - 25))
        assert sign * (around[-1] - around[0]) > pi


def test_ways_lead_round_corners_and_no_longer_than_asked():
    """In an L the way from end to end bends once at the inner corner; its length is that of two straight lines."""
    area = Polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 40), (0, 40)])
    a, b = (39.0, 9.0), (9.0, 39.0)

    found = way(area, a, b, 100.0, 0.005)
    assert found is not None and found[-1] == b
    line = LineString([a, *found])
    assert shapely.covers(shapely.buffer(area, 0.01), line)
    assert hypot(29, 1) * 2 <= line.length < hypot(29, 1) * 2 + 1
    assert way(area, a, b, 50.0, 0.005) is None
    assert way(area, (1.0, 1.0), (39.0, 9.0), 1.0, 0.005) == ((39.0, 9.0),)
