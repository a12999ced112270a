"""Pockets: what is cleared, what stays, where finer cutters go, and how deep each cut bites.

Areas are compared with the opening of the pocket by a disc (reference 2.1), computed by GEOS far
finer than the library's paths; wood is followed by the plain cells of pathcheck.
"""

from __future__ import annotations

from math import hypot, pi, radians, tan

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import (
    BOARD,
    FRONT,
    INSERT,
    MIDDLE,
    SHAPES,
    SIDES,
    T2,
    T3,
    T6,
    Wood,
    axis,
    cells,
    check_motion,
    distances,
    falls,
    run_text,
    segments,
    star,
    straight_down,
    swept,
    turning,
)  # fmt: skip
from shapely import box

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import FEED
from toolpaths.judging.wood.raster import covered
from toolpaths.making.motion.removed import Removed
from toolpaths.making.operations.operation import Site

TOLERANCE = 0.01
WORLD = box(-50, -50, 300, 250)
ISLANDS = [tp.circle(20, (80, 70)), tp.rectangle(12, 30, (125, 75))]
# Cutters, islands and entries, cycled over the shapes.
WAYS = [((T6,), "auto"), ((T6, T3), "auto"), ((T6,), "zigzag"), ((T6, T3, T2), "plunge"), ((T6, T2), "zigzag")]
CASES = [(name, *WAYS[(i + 2 * j) % len(WAYS)], face) for j, face in enumerate(SIDES) for i, name in enumerate(SHAPES)]


def opened(shape: shapely.Geometry, radius: float) -> shapely.Geometry:
    """What a round cutter reaches: the shape eroded and dilated again."""
    return shapely.buffer(shapely.buffer(shape, -radius, quad_segs=200), radius, quad_segs=200)


@pytest.mark.sample(1, long=5)
@pytest.mark.parametrize(("name", "cutters", "entry", "face"), CASES)
def test_pocket_stays_inside_and_bites_no_deeper_than_a_pass(name, cutters, entry, face):
    """Axis at least the radius from the wall; every cut takes step_down at most; ramps keep their angle."""
    fixture = SIDES[face]
    paths = tp.pocket(SHAPES[name], cutters, depth=7, entry=entry).toolpaths(fixture, TOLERANCE)
    outside = shapely.difference(WORLD, fixture.place(SHAPES[name]))
    wood, gone = Wood(), shapely.Polygon()

    for path in paths:
        assert distances(path, outside).min() >= path.cutter.radius - TOLERANCE
        check_motion(path, gone=gone, floor=-7)
        gone = shapely.union(gone, swept(path, -7 + 1e-6))
        assert max(depth for _, depth, _ in wood.cut(path)) <= path.cutter.running.step_down + 1e-9
        fall = max((down / length for length, down, _ in falls(path) if length > 1e-9), default=0.0)
        assert fall <= tan(radians(path.cutter.running.ramp_angle_deg)) * (1 + 1e-6)


@pytest.mark.sample(3, long=14)
@pytest.mark.parametrize("cutters", [(T6,), (T6, T3), (T3,)], ids=["6", "6 3", "3"])
@pytest.mark.parametrize("name", SHAPES)
def test_pocket_clears_the_opening_of_its_shape_and_nothing_else(name, cutters):
    """No island, no sliver: what the paths sweep at the floor is the opening, to a tolerance along its edge."""
    shape = SHAPES[name]
    paths = tp.pocket(shape, cutters, depth=2).toolpaths(FRONT, TOLERANCE)

    reached = shapely.union_all([swept(path, -2 + 1e-6) for path in paths])
    exact = opened(shape, cutters[-1].radius)
    assert shapely.difference(reached, exact).area <= 1.1 * TOLERANCE * exact.length
    left = shapely.difference(exact, reached)
    assert left.area <= 1.1 * TOLERANCE * exact.length
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty


@pytest.mark.sample(3)
@pytest.mark.parametrize("name", ["square", "L", "circle", "star", "comb", "long thin", "odd"])
def test_pocket_simulated_volume_is_opened_area_times_depth(name):
    """Opening area x depth, derived (reference 2.3); error at most half a cell of 0.25 along the edge."""
    _, report = run_text([tp.pocket(SHAPES[name], [T6, T3], depth=6)])
    exact = opened(SHAPES[name], 1.5)

    assert report.ok, str(report)
    assert report.stock.removed() == pytest.approx(exact.area * 6, abs=0.125 * exact.length * 6)
    floor = cells(report.stock, shapely.buffer(exact, -0.05))
    assert floor.sum() > 10_000
    assert report.stock.top[floor].max() == pytest.approx(-6, abs=1e-5)
    assert report.stock.top[~cells(report.stock, shapely.buffer(exact, 0.02))].min() == 0


def test_pocket_of_the_reference_has_its_published_area():
    """100 x 60 opened by r = 3: 5992.274334 mm2; by R = 6: 5969.097336 (reference 2.1)."""
    twelve = tp.Cutter(8, tp.flat(12), feed_mm_min=1800, spindle_rpm=16000)
    coarse, fine = tp.pocket(box(50, 40, 150, 100), [twelve, T6], depth=2).toolpaths(FRONT, TOLERANCE)

    first, second = swept(coarse, -1.9), swept(fine, -1.9)
    assert first.area == pytest.approx(5969.097336, abs=TOLERANCE * 320)
    assert shapely.union(first, second).area == pytest.approx(5992.274334, abs=TOLERANCE * 320)
    assert shapely.difference(second, first).area == pytest.approx(23.176998, rel=0.05)


def test_pocket_islands_stand_and_touch_walls_as_drawn():
    """Two islands inside and one that runs into the wall: all stand to the top, the rest is cleared."""
    shape = tp.rectangle(100, 80, MIDDLE)
    islands = [*ISLANDS, box(60, 20, 70, 50)]
    _, report = run_text([tp.pocket(shape, [T6, T3], depth=5, islands=islands)])
    keep = shapely.union_all(islands)

    assert report.ok, str(report)
    assert report.stock.top[cells(report.stock, shapely.buffer(keep, -0.02))].min() == 0
    reach = opened(shapely.difference(shape, keep), 1.5)
    assert report.stock.top[cells(report.stock, shapely.buffer(reach, -0.05))].max() == pytest.approx(-5, abs=1e-5)


@pytest.mark.sample(3)
@pytest.mark.parametrize("stepover", [0.02, 0.1, 0.33, 0.5])
@pytest.mark.parametrize("shape", [star(5, 30, 12), star(3, 34, 10), tp.ellipse(60, 30, MIDDLE)])
def test_pocket_stepover_up_to_half_leaves_no_island(shape, stepover):
    """Loops at most a radius apart cover every corner (reference 2.1: s <= r)."""
    (path,) = tp.pocket(shape, T6, depth=1, stepover=stepover).toolpaths(FRONT, TOLERANCE)

    left = shapely.difference(opened(shape, 3), swept(path, -1 + 1e-6))
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty


@pytest.mark.parametrize("face", SIDES)
@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_pocket_runs_the_way_asked_along_walls_and_round_islands(face, direction):
    """Climb: anticlockwise along the wall, clockwise round an island (reference 3.7, derived)."""
    fixture = SIDES[face]
    turn = 1 if direction == "climb" else -1
    shape, island = tp.circle(80, (90, 65)), tp.circle(30, (90, 65))
    (path,) = tp.pocket(shape, T6, depth=2, islands=island, direction=direction).toolpaths(fixture)
    middle = fixture.place(shapely.Point(90, 65))

    def area(low, high):
        found = 0.0
        for segment, move, z in segments(path):
            away = [middle.distance(shapely.Point(p)) for p in (segment.start, segment.end)]
            if move.kind == "cut" and move.z == z == -2 and low < min(away) and max(away) < high:
                (x0, y0), (x1, y1) = segment.start, segment.end
                found += ((x0 - middle.x) * (y1 - middle.y) - (x1 - middle.x) * (y0 - middle.y)) / 2
                found += segment.radius**2 * (segment.sweep - np.sin(segment.sweep)) / 2
        return found

    assert area(36.9, 37.1) == pytest.approx(turn * pi * 37**2, rel=0.01)
    assert area(17.9, 18.1) == pytest.approx(-turn * pi * 18**2, rel=0.01)


@pytest.mark.sample(2)
@pytest.mark.parametrize("name", ["L", "star", "odd", "rounded"])
def test_pocket_finer_cutter_goes_only_where_wood_was_left(name):
    """At least 95 % of its cutting at the floor lies within its radius of what the coarse one left."""
    shape = tp.rectangle(80, 50, MIDDLE, corner_radius=2) if name == "rounded" else SHAPES[name]
    coarse, fine = tp.pocket(shape, [T6, T3], depth=3).toolpaths(FRONT, TOLERANCE)
    left = shapely.difference(shape, opened(shape, 3))
    assert (coarse.cutter, fine.cutter) == (T6, T3)

    length, near, down = 0.0, 0.0, False
    for segment, move, z in segments(fine):
        if move.kind == "cut" and move.z == z == -3 and not down:
            away = [left.distance(shapely.Point(segment.at(share))) for share in np.linspace(0, 1, 20)]
            length += segment.length
            near += segment.length * float(np.mean(np.array(away) <= 1.5 + TOLERANCE))
        # The way in from air, a millimetre or so after a plunge, cannot be near wood all along.
        down = segment.length < 1e-9 and move.z < z
    assert length > 5
    assert near >= 0.95 * length


@pytest.mark.parametrize("fine", [T3, T2], ids=str)
@pytest.mark.parametrize("coarse", [T6, tp.Cutter(8, tp.flat(12), feed_mm_min=1800, spindle_rpm=16000)], ids=str)
def test_pocket_cleans_the_corners_of_a_rectangle_in_a_short_way_beside_the_wood(coarse, fine):
    """At most 6 R at feed for a corner and a level, R the coarse cutter's radius, ways in and out included; and no
    more than a twentieth of it with the rim farther than the fine cutter's radius from what the coarse one left."""
    shape, levels = box(40, 30, 150, 100), 4
    _, path = tp.pocket(shape, [coarse, fine], depth=levels * fine.running.step_down).toolpaths(FRONT, TOLERANCE)
    left = shapely.difference(shape, opened(shape, coarse.radius))

    length = away = 0.0
    for segment, move, z in segments(path):
        if move.kind == "cut":
            long = float(np.hypot(segment.length, move.z - z))
            far = [left.distance(shapely.Point(segment.at(share))) for share in np.linspace(0, 1, 20)]
            length += long
            away += long * float(np.mean(np.array(far) > 2 * fine.radius))
    assert length <= 6 * coarse.radius * 4 * levels
    assert away <= 0.05 * length


def test_pocket_finer_cutter_with_nothing_left_makes_no_path():
    paths = tp.pocket(tp.circle(60, MIDDLE), [T6, T3], depth=3).toolpaths(FRONT)

    assert [path.cutter for path in paths] == [T6]


@pytest.mark.parametrize("shape", [tp.circle(57, MIDDLE), tp.slot((50, 60), (140, 90), 14)])
@pytest.mark.parametrize("how", [{}, {"direction": "climb", "stepover": 0.2}, {"finish_floor": 0.2}])
def test_pocket_finer_cutter_with_nothing_left_is_soon_done(shape, how, monkeypatch):
    """What the coarser ones swept is not even looked at; but with wood left on the floor the finest has work."""
    three = tp.pocket(shape, [T6, T3, T2], depth=5, **how)
    site = Site(FRONT, TOLERANCE)
    site = site.after(three.toolpath(T6, site))
    assert bool(three.toolpath(T2, site.after(three.toolpath(T3, site))).moves) is ("finish_floor" in how)
    with monkeypatch.context() as patch:
        patch.setattr(Removed, "cut_down_to", lambda *_: pytest.fail("looked at what was swept"))
        for cutter in (T3,) if "finish_floor" in how else (T3, T2):
            path = three.toolpath(cutter, site)
            assert not path.moves and "finds no wood left to take" in path.notes[0]


def test_pocket_cleared_area_is_not_cut_again():
    """An opening cut from the other side: only the ring round it is milled, from inside the opening."""
    shape, hole = tp.circle(92, MIDDLE), tp.circle(80, MIDDLE)
    (path,) = tp.pocket(shape, T6, depth=9, cleared=hole).toolpaths(FRONT, TOLERANCE)
    (whole,) = tp.pocket(shape, T6, depth=9).toolpaths(FRONT, TOLERANCE)

    def cutting(p):
        return sum(segment.length for segment, move, z in segments(p) if move.kind == "cut")

    assert cutting(path) < cutting(whole) / 4
    assert shapely.difference(shapely.difference(opened(shape, 3), hole), swept(path, -8.99)).area < TOLERANCE * 290
    # It goes down through air only.
    assert all(hole.contains(shapely.Point(m.x, m.y).buffer(3)) for z, m in straight_down(path) if m.z < 0)


@pytest.mark.parametrize("cutters", [(T6,), (T6, T3)])
def test_pocket_finish_leaves_its_wood_to_one_last_round_at_full_depth(cutters):
    shape = box(60, 40, 140, 95)
    *_, last = tp.pocket(shape, cutters, depth=9, finish=0.3).toolpaths(FRONT, TOLERANCE)
    r = last.cutter.radius
    walls = shapely.difference(WORLD, shape)

    places = axis(last)
    away = shapely.distance(walls, shapely.points(places[:, :2]))
    assert away[(places[:, 2] < 0) & (places[:, 2] > -9 + 1e-6)].min() >= r
    around = np.abs(away - r) <= TOLERANCE
    assert around.sum() * 0.2 >= 0.95 * (270 - 8 * r)
    assert abs(turning(last, -9)) > 0.9 * (80 - 2 * r) * (55 - 2 * r)


@pytest.mark.parametrize("cutters", [(T6,), (T6, T3)])
def test_pocket_floor_allowance_is_left_to_one_pass_of_the_finest_over_all_of_it(cutters):
    shape = box(60, 40, 140, 95)
    *coarse, last = tp.pocket(shape, cutters, depth=5, finish_floor=0.4).toolpaths(FRONT, TOLERANCE)

    assert all(path.lowest == pytest.approx(-4.6) for path in coarse)
    left = shapely.difference(opened(shape, last.cutter.radius), swept(last, -5 + 1e-6))
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty
    wood = Wood()
    for path in (*coarse, last):
        for move, depth, _ in wood.cut(path):
            assert (
                depth <= (0.4 if move.z < -4.6 - 1e-9 and len(cutters) == 1 else path.cutter.running.step_down) + 1e-9
            )


def test_pocket_finish_that_would_slot_a_neck_at_full_depth_is_refused():
    """The passes leave a neck 6.2 wide alone, 0.3 from either wall; the last round may not be the first there."""
    shape = shapely.union_all([box(40, 40, 80, 80), box(79, 56.9, 121, 63.1), box(120, 40, 160, 80)])
    tp.pocket(shape, T6, depth=9).toolpaths(FRONT)
    with pytest.raises(
        tp.DoesNotFitError, match=r"last round does not get through near .* finish=0, or a finer"
    ) as caught:
        tp.pocket(shape, T6, depth=9, finish=0.3).toolpaths(FRONT)
    assert box(75, 55, 125, 65).contains(shapely.Point(caught.value.point))
    tp.pocket(shape, [T6, T3], depth=9, finish=0.3).toolpaths(FRONT)


def test_pocket_slot_exactly_as_wide_as_the_cutter_is_cut():
    shape = tp.slot((40, 60), (160, 80), 6)
    (path,) = tp.pocket(shape, T6, depth=4).toolpaths(FRONT, TOLERANCE)

    assert swept(path, -3.99).symmetric_difference(tp.slot((40, 60), (160, 80), 6, tolerance=0.001)).area < 2.5


@pytest.mark.sample(3)
@pytest.mark.parametrize(
    "line",
    [[(30, 30), (120, 52)], [(100 + 45 * np.cos(t), 30 + 45 * np.sin(t)) for t in np.linspace(0.2, 2.6, 120)]],
    ids=["straight", "bent"],
)
@pytest.mark.parametrize("entry", ["auto", "plunge", "ramp", "zigzag"])
def test_pocket_slot_of_the_cutters_width_is_gone_along_once_a_level(line, entry):
    """Level from one end to the other, once for each pass, and back on the next."""
    middle = shapely.LineString(line)
    (path,) = tp.pocket(shapely.buffer(middle, 3, quad_segs=64), T6, depth=9, entry=entry).toolpaths(FRONT)

    level = sum(
        s.length for s, move, z in segments(path) if move.kind == "cut" and abs(move.z - z) < 1e-9 and z < -1e-9
    )
    assert level == pytest.approx(3 * middle.length, rel=0.005)
    assert len([move for _, move, z in segments(path) if z < 0 < move.z]) == 1


def test_pocket_in_pieces_clears_each():
    shape = shapely.union_all([tp.circle(30, (50, 50)), tp.circle(25, (150, 90)), box(80, 100, 110, 120)])
    (path,) = tp.pocket(shape, T6, depth=4).toolpaths(FRONT, TOLERANCE)

    assert shapely.difference(opened(shape, 3), swept(path, -3.99)).area < TOLERANCE * shape.length


@pytest.mark.parametrize(
    ("shape", "cutters", "how", "message"),
    [
        (tp.circle(5, MIDDLE), (T6,), {}, r"T1 flat 6 fits nowhere .*\(100\.0, 70\..\).* smaller"),
        (shapely.union_all([box(40, 40, 80, 80), box(120, 40, 124, 80)]), (T6,), {}, r"does not fit into .* a finer"),
        (box(40, 40, 80, 80), (T6,), {"islands": [box(30, 30, 90, 90)]}, "islands cover the whole pocket"),
        (tp.circle(5, MIDDLE), (T6,), {}, r"smaller one, of 4\.9 mm or less|of 5 mm or less"),
        (box(4, 4, 80, 10.4), (T6,), {"finish": 0.3}, r"nowhere .* finish=0\.20, or a smaller .* 5\.\d mm or less"),
        (box(40, 40, 80, 80), (T6,), {"finish_floor": 3.0}, "leaves nothing to the passes .* leave less than 3"),
        (box(40, 40, 80, 47), (T6,), {"entry": "helix"}, r"helix finds no room .* entry='ramp'"),
    ],
    ids=["nowhere", "not in one piece", "covered", "a number", "allowance", "floor", "helix"],
)  # fmt: skip
def test_pocket_that_does_not_fit_says_what_would(shape, cutters, how, message):
    with pytest.raises(tp.DoesNotFitError, match=message):
        tp.pocket(shape, cutters, depth=3, **how).toolpaths(FRONT)


@pytest.mark.parametrize(
    "wrong",
    [
        {"stepover": 0.51},
        {"stepover": 0.0},
        {"finish": 2.0},
        {"finish": -1},
        {"finish_floor": -1},
        {"finish_floor": 3.1},
        {"pattern": "zigzag"},
        {"depth": -3},
        {"direction": "up"},
        {"cutters": ()},
        {"cutters": (T3, T6)},
        {"cutters": (T6, T6)},
    ],
)
def test_pocket_wrong_number_is_refused(wrong):
    given_ = {"cutters": T6, "depth": 3, **wrong}
    with pytest.raises(tp.InputError):
        tp.pocket(SHAPES["square"], given_.pop("cutters"), **given_)


@pytest.mark.sample(2)
@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag", "helix"])
def test_pocket_with_a_cutter_dead_at_its_centre_never_goes_straight_down_into_wood(entry):
    (path,) = tp.pocket(SHAPES["square"], INSERT, depth=9, entry=entry).toolpaths(FRONT)
    wood = Wood()

    found = wood.cut(path)
    vertical = [depth for move, depth, length in found if length < 1e-9]
    assert vertical and max(vertical) <= 1e-9
    assert wood.top.min() == -9


def test_pocket_helix_finds_room_in_a_circle():
    """The innermost loop of a round pocket is a dot; the room for the helix is the pocket's (once a fault)."""
    (path,) = tp.pocket(tp.circle(70, MIDDLE), T6, depth=5, entry="helix").toolpaths(FRONT)

    assert not [m for _, m in straight_down(path) if m.z < 0]
    auto = tp.pocket(tp.circle(70, MIDDLE), T6, depth=5).toolpaths(FRONT)
    assert auto[0].moves == path.moves


def test_pocket_helix_never_leads_across_a_wall():
    """A finer cutter's open runs in the corners of a comb lie far from its widest place (once a gouge)."""
    with pytest.raises(tp.DoesNotFitError, match="helix finds no room for T2"):
        tp.pocket(SHAPES["comb"], [T6, T3], depth=3, entry="helix").toolpaths(FRONT)


polygons = st.lists(st.tuples(st.floats(0, 2 * pi), st.floats(9, 45)), min_size=4, max_size=9).map(
    lambda corners: shapely.Polygon([(100 + r * np.cos(a), 70 + r * np.sin(a)) for a, r in sorted(corners)])
)


@examples(25)
@given(shape=polygons.filter(lambda p: p.is_valid and p.area > 50 and p.exterior.is_simple))
def test_pocket_of_any_polygon_clears_its_opening_or_says_why_not(shape):
    try:
        paths = tp.pocket(shape, [T6, T2], depth=2).toolpaths(FRONT, TOLERANCE)
    except tp.DoesNotFitError:
        assert shapely.buffer(shape, -3.01).is_empty
        return
    for path in paths:
        assert distances(path, shapely.difference(WORLD, shape)).min() >= path.cutter.radius - TOLERANCE
    reached = shapely.union_all([swept(path, -2 + 1e-6) for path in paths])
    left = shapely.difference(opened(shape, 1), reached)
    assert shapely.buffer(left, -2 * TOLERANCE).is_empty


def test_pocket_through_the_board_goes_as_deep_as_asked():
    (path,) = tp.pocket(tp.circle(12, MIDDLE), T6, depth=tp.through(0.3)).toolpaths(FRONT)

    assert path.lowest == pytest.approx(-BOARD.thickness - 0.3)


def test_pocket_below_a_levelled_face_counts_from_there():
    (path,) = tp.pocket(SHAPES["square"], T6, depth=5.5, from_depth=1.5).toolpaths(FRONT)

    assert path.lowest == -5.5


@pytest.mark.parametrize("profile", [tp.bull_nose(6, 1), tp.bull_nose(6, 2)], ids=str)
def test_floor_between_loops_that_meet_is_level_with_a_tip_that_is_not(profile):
    """Loops round an island and along the wall met with a ridge 0.2 high between them."""
    fixture = tp.Fixture(board=tp.Board(width=200, height=160, thickness=18))
    cutter = tp.Cutter(1, profile, feed_mm_min=1500, spindle_rpm=18000)
    ring = shapely.difference(tp.circle(70, (80, 80)), tp.circle(14, (80, 80)))
    setup = tp.Setup(fixture, [tp.pocket(ring, cutter, depth=6)])
    stock = tp.simulate(tp.program_text(setup), fixture, setup.cutters, cell=0.5).stock
    foot = cutter.radius - profile.flat_radius
    floor = covered(shapely.buffer(ring, -foot - 0.02), stock.grid)
    assert floor.sum() > 10_000
    assert np.abs(stock.top[floor] + 6).max() < 1e-4


@pytest.mark.sample(3)
@pytest.mark.parametrize("name", ["circle", "square", "rounded", "L"])
@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag"])
def test_pocket_right_through_lets_no_core_come_loose(name, entry):
    """Whatever is soonest: a course that cuts the walls first would free what lies within them (once a fault)."""
    slow = tp.Cutter(1, tp.bull_nose(6, 1), feed_mm_min=1900, spindle_rpm=16000, cutting_length=25)
    shape = shapely.affinity.scale(SHAPES[name], 0.45, 0.45)
    _, report = run_text([tp.pocket(shape, slow, depth=tp.through(0.2), entry=entry, stepover=0.3)], cell=0.5)

    assert report.ok, report
    core = tp.pocket(shape, slow, depth=tp.through(0.2), entry=entry, stepover=0.3, pattern="outside in")
    assert "loose-piece" in run_text([core], cell=0.5)[1].codes()


@pytest.mark.parametrize("diameter", [6.0, 6.5, 8.0])
def test_pocket_goes_down_a_drilled_hole_of_the_right_size(diameter):
    """No helix where a hole as deep as the pocket is there, even one of just the cutter's diameter."""
    bit = tp.Cutter(9, tp.drill_point(diameter), feed_mm_min=400, spindle_rpm=8000, cutting_length=30)
    hole = tp.drill([MIDDLE], bit, depth=6, depth_of="full diameter")
    setup = tp.Setup(FRONT, [hole, tp.pocket(tp.circle(50, MIDDLE), T6, depth=6)])
    path = setup.steps[-1].path

    slopes = [length for length, _, move in falls(path) if length > 1e-9 and move.z < 0]
    assert not slopes
    assert all(hypot(m.x - MIDDLE[0], m.y - MIDDLE[1]) <= (diameter - 6) / 2 + 0.03 for _, m in straight_down(path))
    report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters)
    assert report.ok, report


@pytest.mark.parametrize("corner_radius", [0, 8])
def test_sides_of_round_measures_are_followed_at_round_measures(corner_radius):
    """A stepover of 0.45 of 6 mm is 2.7 and a wall loop stands 3 off: what runs along an axis does so at tenths.

    Whoever reads the program knows the tray again in it.
    """
    board = tp.Board(width=120, height=90, thickness=18)
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    tray = tp.rectangle(70, 50, (60, 45), corner_radius=corner_radius)
    made = tp.pocket(tray, cutter, depth=4, stepover=0.45, pattern="inside out", finish=0.0)
    motions = tp.read(tp.program_text(tp.Setup(tp.Fixture(board=board), [made]))).motions
    level = (motions.start[:, 2] == motions.end[:, 2]) & (motions.start[:, 2] < 0) & (motions.kind == FEED)
    start, end = motions.start[level, :2], motions.end[level, :2]
    along = np.hypot(*(end - start).T) > 6  # and no link from loop to loop
    places = start[along][start[along] == end[along]]
    assert len(places) > 10
    assert places * 10 == pytest.approx(np.round(places * 10), abs=1e-6)
