"""Contours: where the axis goes, which way round, how deep, and what is refused.

Distances are measured with shapely's exact distance from densely sampled places of the axis; true
offsets come from a pyclipper far finer than the library's.
"""

from __future__ import annotations

from dataclasses import replace
from math import acos, pi, radians, tan

import numpy as np
import pyclipper
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from pathcheck import (
    BOARD,
    DRILL3,
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
    straight_down,
    swept,
    turning,
)  # fmt: skip
from shapely import LinearRing, Polygon, box

import toolpaths as tp
from samples import examples

TOLERANCE = 0.01
# The tips of these come closer than 6 mm to each other.
TOO_TIGHT = {("two holes", "outside")}
COMBINATIONS = [
    (name, side, face, entry)
    for name in SHAPES
    for side in ("outside", "inside")
    for face, entry in zip(SIDES, ("plunge", "ramp", "zigzag"))
    if (name, side) not in TOO_TIGHT
]


def true_offset(shape: shapely.Geometry, distance: float) -> list[LinearRing]:
    """Rings at a distance from a shape, by an engine with chords 0.0002 mm true."""
    engine = pyclipper.PyclipperOffset(2.0, 0.0002 * 1e6)
    for part in getattr(shape, "geoms", [shape]):
        for ring in (part.exterior, *part.interiors):
            engine.AddPath(
                np.rint(np.array(ring.coords[:-1]) * 1e6).astype(np.int64).tolist(),
                pyclipper.JT_ROUND,
                pyclipper.ET_CLOSEDPOLYGON,
            )
    return [LinearRing(np.array(path) / 1e6) for path in engine.Execute(distance * 1e6)]


def sampled(ring: LinearRing, spacing: float = 0.5) -> np.ndarray:
    return shapely.line_interpolate_point(ring, np.arange(0, ring.length, spacing))


@pytest.mark.sample(16)
@pytest.mark.parametrize(("name", "side", "face", "entry"), COMBINATIONS)
def test_contour_keeps_the_cutters_radius_from_the_part_and_no_more(name, side, face, entry):
    """Radius less tolerance at the least: no gouge; radius plus tolerance at the most: no step left.

    Only to go straight down, and to lift after it, the axis is a millimetre farther off on arcs of 3 mm, and
    a little more where the way from one to the other cuts a corner.
    """
    fixture = SIDES[face]
    lay = fixture.place(SHAPES[name])
    (path,) = tp.contour(SHAPES[name], T6, depth=5, side=side, entry=entry).toolpaths(fixture, TOLERANCE)

    away = distances(path, lay if side == "outside" else shapely.difference(box(-50, -50, 300, 300), lay))
    assert away.min() >= T6.radius - TOLERANCE
    assert away.max() <= T6.radius + (2.5 if entry == "plunge" else 0.0) + TOLERANCE
    off = (away > T6.radius + TOLERANCE).sum() * 0.2
    assert off <= 12 * len(straight_down(path)) if entry == "plunge" else off == 0
    for _, move in straight_down(path):
        if move.z < 0:
            assert lay.boundary.distance(shapely.Point(move.x, move.y)) >= T6.radius + 0.2
    check_motion(path)


@pytest.mark.sample(6)
@pytest.mark.parametrize(("name", "side"), sorted({(name, side) for name, side, *_ in COMBINATIONS}))
def test_contour_goes_the_whole_way_along_the_true_offset(name, side):
    """Nothing of the offset is left out: every point of pyclipper's has the path within the tolerance."""
    (path,) = tp.contour(SHAPES[name], T6, depth=3, side=side).toolpaths(FRONT, TOLERANCE)

    places = axis(path, 0.05)
    line = shapely.MultiPoint(places[places[:, 2] < -3 + 1e-6][:, :2])
    shapely.prepare(line)
    rings = true_offset(SHAPES[name], T6.radius if side == "outside" else -T6.radius)
    assert rings
    for ring in rings:
        # Half the spacing of the samples, 0.025, aside of a path 0.01 away: hypot(0.025, 0.01).
        assert shapely.distance(line, sampled(ring)).max() <= 0.027


def test_contour_length_round_a_rectangle_is_the_formulas():
    """Steiner: L + 2 pi r outside, L - 8 r inside (reference 2.1); 100 x 60, r = 3."""
    shape = tp.rectangle(100, 60, MIDDLE)
    for side, exact in (("outside", 320 + 6 * pi), ("inside", 320 - 24)):
        (path,) = tp.contour(shape, T6, depth=1, side=side, entry="plunge").toolpaths(FRONT, TOLERANCE)
        length = sum(segment.length for segment, move, _ in segments(path) if move.kind == "cut")
        # An arc of the cutter's radius on to the wall and one off it, a millimetre high, and 1 mm cut twice.
        assert length == pytest.approx(exact + 2 * 3 * acos(1 - 1 / 3) + 1, abs=TOLERANCE)


@pytest.mark.parametrize("face", SIDES)
@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_contour_runs_the_way_asked_on_parts_openings_and_holes(face, direction):
    """Climb: clockwise round a part, anticlockwise inside an opening (reference 3.7, derived)."""
    turn = 1 if direction == "climb" else -1
    part, hole = tp.circle(90, (95, 68)), tp.circle(40, (90, 70))
    around, inside = pi * 48**2, pi * 17**2

    def area(shape, side):
        (path,) = tp.contour(shape, T6, depth=2, side=side, direction=direction, entry="plunge").toolpaths(SIDES[face])
        return turning(path, -2)

    # The ways on to the wall and off it take a strip from the corner of the board along.
    assert area(part, "outside") == pytest.approx(-turn * around, rel=0.1)
    assert area(hole, "inside") == pytest.approx(turn * inside, rel=0.5)
    assert area(shapely.difference(part, hole), "outside") == pytest.approx(turn * (inside - around), rel=0.1)


@pytest.mark.sample(5)
@pytest.mark.parametrize("entry", ["auto", "plunge", "ramp", "zigzag"])
@pytest.mark.parametrize("name", ["rounded", "star", "two pieces"])
def test_contour_in_any_entry_leaves_the_whole_kerf_at_the_floor(name, entry):
    """Each pass takes step_down at most, ramps keep their angle, and no wedge of a ramp is left."""
    (path,) = tp.contour(SHAPES[name], T6, depth=8, entry=entry).toolpaths(FRONT)
    wood = Wood()

    assert max(depth for _, depth, _ in wood.cut(path)) <= T6.running.step_down + 1e-9
    kerf = shapely.difference(shapely.buffer(SHAPES[name], 6), SHAPES[name])
    x, y = np.meshgrid(wood.xs, wood.ys)
    inner = shapely.contains_xy(shapely.buffer(kerf, -0.6), x, y)
    assert inner.sum() > 1000
    # The kerf's outer corners are round, its inner ones reach the shape's own.
    assert (np.abs(wood.top[inner] + 8) < 1e-9).mean() > (0.98 if name == "star" else 0.9999)
    steepest = max((down / length for length, down, _ in falls(path) if length > 1e-9), default=0.0)
    assert steepest <= tan(radians(T6.running.ramp_angle_deg)) * (1 + 1e-9)


@examples(40)
@given(depth=st.floats(0.1, 30), step=st.floats(0.3, 12))
def test_contour_passes_are_equal_and_never_deeper_than_step_down(depth, step):
    # All of the board's depth is said as through().
    assume(not BOARD.thickness - 0.01 < depth <= BOARD.thickness + FRONT.spoilboard_depth)
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, spindle_rpm=18000, step_down=step)
    (path,) = tp.contour(box(50, 50, 150, 100), cutter, depth=depth, entry="plunge").toolpaths(FRONT)

    floors = sorted({round(move.z, 9) for _, move, _ in segments(path) if move.kind == "cut" and move.z < 0})
    steps = -np.diff([0.0, *floors[::-1]])
    assert floors[0] == pytest.approx(-depth)
    assert steps.max() <= step + 1e-8 and np.ptp(steps) <= 1e-8
    assert len(steps) == max(1, int(np.ceil(depth / step - 1e-9)))


def test_contour_through_goes_the_measured_thickness_and_beyond():
    (path,) = tp.contour(SHAPES["circle"], T6, depth=tp.through(0.4)).toolpaths(FRONT)

    assert path.lowest == -BOARD.thickness - 0.4


@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag"])
@pytest.mark.parametrize("shape", [SHAPES["rounded"], tp.circle(20, MIDDLE)])
def test_contour_with_a_cutter_dead_at_its_centre_never_goes_straight_down(entry, shape):
    (path,) = tp.contour(shape, INSERT, depth=6, entry=entry).toolpaths(FRONT)

    assert falls(path)
    assert all(move.z >= 0 for _, move in straight_down(path))


def test_contour_plunging_a_cutter_dead_at_its_centre_says_what_to_do():
    with pytest.raises(tp.DoesNotFitError, match=r"T7 flat 8 does not cut at its centre .* entry='ramp'"):
        tp.contour(SHAPES["circle"], INSERT, depth=3, entry="plunge")


def test_contour_finish_leaves_its_wood_until_one_round_at_full_depth():
    (path,) = tp.contour(SHAPES["rounded"], T6, depth=8, finish=0.4).toolpaths(FRONT)

    places = axis(path)
    away = shapely.distance(SHAPES["rounded"], shapely.points(places[:, :2]))
    assert away[(places[:, 2] < 0) & (places[:, 2] > -8 + 1e-6)].min() >= 3.4 - TOLERANCE
    last = away[away < 3.2]
    assert len(last) * 0.2 >= 0.9 * (260 + 6 * pi)
    assert np.abs(last - 3.0).max() < 0.2
    assert max(depth for _, depth, _ in Wood().cut(path)) <= 8


def test_contour_finish_too_thick_for_one_round_is_refused():
    """A last round of more than a quarter of the cutter at full depth would be a slot (once a fault)."""
    with pytest.raises(tp.InputError, match=r"finish=4 .* Leave 1\.5 or less"):
        tp.contour(SHAPES["circle"], T6, depth=10, finish=4)


def test_contour_begins_where_asked_as_seen_from_the_front():
    for fixture in SIDES.values():
        (path,) = tp.contour(SHAPES["square"], T6, depth=2, start=(70, 20), entry="plunge").toolpaths(fixture)
        at = fixture.place(shapely.Point(70, 27))
        wall = next(move for segment, move, _ in segments(path) if move.kind == "cut" and segment.length > 0.1)
        assert (wall.x, wall.y) == pytest.approx((at.x, at.y), abs=TOLERANCE)


@pytest.mark.parametrize(
    ("shape", "side"),
    [
        (SHAPES["two holes"], "outside"),
        (shapely.union_all([box(40, 40, 80, 80), box(85, 40, 120, 80)]), "outside"),
        (shapely.union_all([box(40, 40, 80, 80), box(79, 58, 121, 62), box(120, 40, 160, 80)]), "inside"),
        (tp.circle(5, MIDDLE), "inside"),
    ],
    ids=["star hole", "parts too close", "neck", "tiny opening"],
)
def test_contour_that_cannot_get_round_says_where_and_how_wide(shape, side):
    """Never a piece left out in silence; parts closer than the cutter were merged into one (once a fault)."""
    with pytest.raises(
        tp.DoesNotFitError, match=r"T1 flat 6 does not get round the shape .* narrower than 6 mm"
    ) as caught:
        tp.contour(shape, T6, depth=3, side=side).toolpaths(FRONT)
    assert caught.value.point is not None
    assert shapely.distance(shape, shapely.Point(caught.value.point)) < 3


def test_contour_enters_a_slot_exactly_as_wide_as_the_cutter():
    (path,) = tp.contour(tp.slot((50, 70), (120, 75), 6), T6, depth=2, side="inside").toolpaths(FRONT)

    exact = tp.slot((50, 70), (120, 75), 6, tolerance=0.001)
    assert swept(path, -1.9).symmetric_difference(exact).area < 0.01 * exact.length


def test_contour_notes_the_wood_that_a_round_cutter_leaves_in_corners():
    """Four square corners, r^2 (1 - pi/4) each (reference 2.1): 4 x 0.214602 x 9 = 7.7257."""
    (path,) = tp.contour(SHAPES["square"], T6, depth=2, side="inside").toolpaths(FRONT)
    (note,) = path.notes

    assert "in 4 corners" in note
    # Less what lies within the tolerance of the cutter.
    assert float(note.split("leaves ")[1].split()[0]) == pytest.approx(7.7257, abs=0.25)
    assert not tp.contour(SHAPES["circle"], T6, depth=2, side="inside").toolpaths(FRONT)[0].notes


def test_contour_notes_a_slit_that_the_cutter_only_passes_by():
    """4 x 30 mm of wood, less the two quarter circles that the cutter reaches into its mouth."""
    slit = shapely.difference(box(40, 40, 80, 80), box(58, 30, 62, 70))
    (path,) = tp.contour(slit, T6, depth=2).toolpaths(FRONT)
    (note,) = path.notes

    assert float(note.split("leaves ")[1].split()[0]) == pytest.approx(4 * 30, rel=0.05)


def test_contour_with_a_drill_is_refused():
    """A drill cuts at its point only (once a fault: it was milled with)."""
    drill = tp.Cutter(9, tp.drill_point(6), feed_mm_min=500, spindle_rpm=8000)
    for make in (tp.contour, tp.pocket, tp.groove):
        with pytest.raises(tp.InputError, match="does not cut sideways"):
            make(SHAPES["circle"], drill, depth=2)


def test_contour_opening_simulated_is_as_large_as_drawn():
    """A circle of 30 opened: pi 15^2 through the board, to half a cell along its edge; nothing holds the slug."""
    text, report = run_text([tp.contour(tp.circle(30, MIDDLE), T6, depth=tp.through(0.3), side="inside")])

    assert report.codes() == ("loose-piece",), str(report)
    ring = pi * (30 - 6) * 6
    assert report.stock.removed() == pytest.approx(ring * BOARD.thickness, rel=0.005)
    assert text.count("M3 S") == 1


@pytest.mark.sample(2)
@pytest.mark.parametrize("face", SIDES)
@pytest.mark.parametrize("entry", ["plunge", "ramp", "zigzag"])
@pytest.mark.parametrize(("name", "side"), [("rounded", "outside"), ("circle", "inside"), ("ring", "outside")])
def test_contour_skin_stands_over_the_whole_cut_and_holds(name, side, entry, face):
    """0.4 mm above the underside all over the kerf, openings in the part too; nothing loose, nothing left over."""
    fixture, shape = SIDES[face], SIDES[face].place(SHAPES[name])
    op = tp.contour(SHAPES[name], T6, depth=tp.through(0.3), side=side, skin=0.4, entry=entry,
                    finish=0.3 if entry == "ramp" else 0.0)  # fmt: skip
    setup = tp.Setup(fixture, [op])
    report = tp.simulate(tp.program_text(setup), fixture, setup.cutters, cell=0.25, part=tp.intended_part(setup))

    assert report.ok, str(report)
    edge = shapely.buffer(shape.boundary, 0.3)
    kerf = shapely.buffer(shape, 6) - shape if side == "outside" else shape - shapely.buffer(shape, -6)
    inner = cells(report.stock, shapely.buffer(kerf, -0.3) - edge)
    assert inner.sum() > 1000
    assert report.stock.thickness()[inner] == pytest.approx(0.4, abs=1e-5)
    assert setup.notes == (f"contour {side}: a skin of 0.4 mm stays under the whole cut: cut it with a knife, "
                           "then sand the edge.",)  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"skin": 0.4, "tabs": tp.Tabs(count=2, width=6, height=3)}, "give one of them"),
        ({"skin": 0.4, "depth": 12}, r"give it with depth=through\(\)"),
        ({"skin": 0.4, "side": "on"}, "left outside or inside a shape"),
        ({"skin": 0.1}, r"skin=0\.1 must lie between 0\.3 mm.* and 2 mm"),
        ({"skin": 3}, r"skin=3 must lie between 0\.3 mm.* and 2 mm"),
        ({"skin": -0.4}, "skin=-0.4 must not be negative"),
        ({"skin": float("nan")}, "skin=nan"),
    ],
    ids=["and tabs", "blind", "on the line", "too thin", "too thick", "negative", "nan"],
)
def test_contour_skin_that_makes_no_sense_is_refused(wrong, message):
    with pytest.raises(tp.InputError, match=message):
        tp.contour(SHAPES["circle"], T6, **{"depth": tp.through(0.3), **wrong})


def test_contour_skin_as_thick_as_the_wood_is_refused():
    op = tp.contour(SHAPES["circle"], T6, depth=tp.through(0.3), skin=1.5, from_depth=16.5)
    with pytest.raises(tp.DoesNotFitError, match=r"as thick as the 1\.5 mm of wood .* take 0\.3 mm"):
        op.toolpaths(FRONT)
    tp.contour(SHAPES["circle"], T6, depth=tp.through(0.3), skin=0.3, from_depth=16.5).toolpaths(FRONT)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf"), "3", True])
def test_contour_depth_that_is_none_is_refused(bad):
    with pytest.raises(tp.InputError):
        tp.contour(SHAPES["circle"], T6, depth=bad)


@pytest.mark.parametrize(
    "wrong",
    [
        {"side": "left"},
        {"direction": "up"},
        {"entry": "helix"},
        {"from_depth": -1.0},
        {"finish": -0.1},
        {"name": "(x)"},
    ],
)
def test_contour_wrong_choice_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.contour(SHAPES["circle"], T6, **{"depth": 3, **wrong})


@pytest.mark.parametrize("side", ["outside", "inside", "on"])
def test_contour_of_a_shape_inside_another_is_refused(side):
    """United with what it lies in, its line would be gone; subtracted, it is a line of its own."""
    plate, hole = tp.rectangle(120, 80, MIDDLE), tp.circle(31, MIDDLE)
    with pytest.raises(tp.ShapeError, match=r"inside another.*plate - hole") as caught:
        tp.contour([plate, hole], T6, depth=3, side=side)
    assert shapely.distance(shapely.Point(caught.value.point), shapely.Point(MIDDLE)) < 15.5
    (path,) = tp.contour(plate - hole, T6, depth=3, side=side).toolpaths(FRONT)
    assert shapely.distance(hole.boundary, shapely.MultiPoint(axis(path, 0.5)[:, :2])) <= T6.radius + TOLERANCE
    # A pocket clears their union, so that nothing is lost.
    tp.pocket([plate, hole], T6, depth=3)


def test_contour_of_a_tighter_cutter_reaches_a_subset():
    """What a larger cutter opens, a smaller one opens too (reference 2.1: opening is monotone)."""
    kerfs = []
    for cutter in (T6, T3, T2):
        (path,) = tp.contour(SHAPES["comb"], cutter, depth=1, side="inside").toolpaths(FRONT)
        away = distances(path, shapely.difference(box(0, 0, 200, 140), SHAPES["comb"]))
        assert away.min() >= cutter.radius - TOLERANCE
        kerfs.append(turning(path, -1))
    assert abs(kerfs[0]) < abs(kerfs[1]) < abs(kerfs[2])


def test_contour_goes_down_through_wood_that_is_gone():
    """Where a drilled hole, a pocket or a rough cut left room all the way down, no ramp is cut (judged by the text)."""
    shape = box(50, 40, 150, 100)
    fat = tp.Cutter(9, tp.drill_point(8), feed_mm_min=400, spindle_rpm=8000, cutting_length=30)
    cut = tp.contour(shape, INSERT, depth=9)
    earlier = {
        "hole": (tp.drill([(100, 37)], fat, depth=9, depth_of="full diameter"), tp.contour(shape, T6, depth=9)),
        "rough": (tp.contour(tp.offset(shape, 0.4), T6, depth=9), tp.contour(shape, T6, depth=9)),
        "pocket": (tp.pocket(box(30, 20, 49.5, 120), T6, depth=9), cut),
    }
    for name, work in earlier.items():
        setup = tp.Setup(FRONT, work)
        report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters)
        assert "plunge" not in {finding.code for finding in report.findings}, report
        last = setup.steps[-1].path
        assert max(length for length, down, _ in falls(last) if down > 1e-9) < 1e-9, name
    alone = tp.Setup(FRONT, [cut]).steps[-1].path
    assert max(length for length, down, _ in falls(alone) if down > 1e-9) > 1


def test_contour_going_down_in_a_hole_beside_a_corner_comes_back_to_it_round_the_corner():
    """Straight back to the next way down it cut 0.04 mm into the tip (once a fault)."""
    cutter, shape = replace(T3, step_down=2.0), SHAPES["star"]
    for fixture in SIDES.values():
        lay, hole = fixture.place(shape), tp.bore([(147.5, 77.57)], 5, replace(T3, number=8), depth=tp.through(0.3))
        for direction in ("climb", "conventional"):
            cut = tp.contour(shape, cutter, depth=tp.through(0.3), direction=direction)
            path = tp.Setup(fixture, [hole, cut]).steps[-1].path
            assert max(length for length, down, _ in falls(path) if down > 1e-9) < 1e-9
            assert distances(path, lay).min() >= cutter.radius - TOLERANCE


def test_contour_goes_on_to_its_last_round_over_the_top_where_straight_would_cut_the_part():
    """A screw beside the corner leaves the arc on to the wall no room before the other side of it: straight there the
    cutter went 0.06 mm into the part (once a fault)."""
    screw = tp.Screw(x=78.5, y=120.7, head_diameter=8, height=3)
    cut = tp.contour(SHAPES["L"], T6, depth=6, finish=0.5, start=(76.4, 111.1), entry="zigzag", direction="climb")
    (path,) = cut.toolpaths(replace(FRONT, screws=(screw,)))
    assert distances(path, SHAPES["L"]).min() >= T6.radius - TOLERANCE
    assert distances(path, shapely.Point(screw.x, screw.y)).min() >= 3 + 4
    check_motion(path, safe=8.0)
    # Down again only where the passes left the wood open.
    assert [z for z, _ in straight_down(path)][-1] == pytest.approx(2.0)


@pytest.mark.sample(3)
@pytest.mark.parametrize(("side", "y"), [("outside", 29.5), ("inside", 50.5)])
@pytest.mark.parametrize("kind", ["pin", "screw", "screw driven later", "clamp"])
def test_contour_comes_and_goes_clear_of_what_stands_on_the_board(kind, side, y):
    """The wall passes it half a millimetre off: an arc of 1 mm ran into a dowel pin, and inside an opening into
    anything (once a fault). A grip, which holds from below, is no reason to begin elsewhere."""
    round_it = {"depth": 5, "side": side, "entry": "plunge", "start": (100, 40)}
    shape, at, back = tp.rectangle(80, 60, (100, 70)), (100.0, y), FRONT.turned_over("left to right")
    grips = replace(back, grips=(shapely.Point(at).buffer(4),))
    held = {
        "pin": lambda high: replace(
            FRONT, dowels=tuple(tp.Dowel(x=100, y=each, diameter=8, depth=7, standing=high) for each in (y, 120))
        ).turned_over("left to right"),
        "screw": lambda high: replace(back, screws=(tp.Screw(x=100, y=y, head_diameter=8, height=high),)),
        "screw driven later": lambda high: replace(
            back, screws=(tp.Screw(x=100, y=y, head_diameter=8, height=high, driven_at="drive it"),)
        ),
        "clamp": lambda high: replace(back, clamps=(tp.Clamp(area=shapely.Point(at).buffer(4), height=high),)),
    }[kind]
    for high in (0, 2, 10):
        (path,) = tp.contour(shape, T6, **round_it).toolpaths(replace(held(high), safe_height=20))
        low = axis(path, 0.05)
        away = shapely.distance(shapely.Point(at), shapely.points(low[low[:, 2] < high][:, :2]))
        assert away.min() == pytest.approx(4 + 3 + 0.5, abs=0.02)
    gripped, bare = (tp.contour(shape, T6, **round_it).toolpaths(on)[0] for on in (grips, back))
    assert gripped == bare
    assert len(straight_down(path)) == len(straight_down(bare))


@pytest.mark.sample(3)
@pytest.mark.parametrize("entry", ["auto", "plunge"])
@pytest.mark.parametrize("drilled", [False, True])
@pytest.mark.parametrize("finish", [0.0, 0.5])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_nothing_is_found_where_a_blind_contour_comes_and_goes_in_its_waste(side, finish, drilled, entry):
    """Nor is it hidden if the cut is wider on the side of the part, or wider in the waste than that takes."""
    shape, out = SHAPES["rounded"], side == "outside"
    before = [tp.drill([shape.buffer(5 if out else -5).exterior.coords[9]], DRILL3, depth=8)] * drilled
    taped = replace(FRONT, grips=(FRONT.board.outline,))
    setup = tp.Setup(taped, [*before, tp.contour(shape, T6, depth=4, side=side, finish=finish, entry=entry)])
    part, sides = tp.intended_part(setup), [(tp.program_text(setup), taped)]
    report = tp.verify(sides, setup.cutters, part=part)
    assert not report.findings, [str(finding) for finding in report.findings]
    for away in (-0.2, 4.0):
        off = tp.contour(shape.buffer(away if out else -away), T6, depth=4, side=side)
        wrong = tp.Setup(taped, [*before, off])
        judged = tp.verify([(tp.program_text(wrong), taped)], wrong.cutters, part=part)
        assert "gouge" in {each.finding.code for each in judged.findings}


@pytest.mark.long
def test_waste_about_a_long_rough_outline_is_that_in_one_piece():
    """GEOS takes the square of the vertices within reach in memory: a hundred thousand were more than 9 GB."""
    turns = np.linspace(0, 2 * np.pi, 6001)[:-1]
    far = 60 + np.random.default_rng(3).uniform(-0.2, 0.2, len(turns))
    area = Polygon(np.column_stack([far * np.cos(turns), far * np.sin(turns)]) + 80)
    mill = tp.Cutter(1, tp.flat(6), 1500, 18000)
    waste = tp.contour(area, mill, depth=3)._waste(area)
    whole = area.buffer(3 * mill.radius, quad_segs=8) - area
    assert waste.symmetric_difference(whole).area < 1e-3 * whole.area
