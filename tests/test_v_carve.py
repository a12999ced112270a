"""V-carving: volumes and depths of known shapes, letters judged on both sides, limits, floors, notes, refusals."""

from __future__ import annotations

from math import radians, tan

import pytest
from carved_shapes import KNOWN, star
from open_fonts import DEJAVU_SANS
from shapely import affinity, box

import toolpaths as tp

BOARD = tp.Board(width=120, height=100, thickness=18, name="board")
FRONT = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
BACK = FRONT.turned_over("left to right")
V90 = tp.Cutter(6, tp.v_point(25, 90), feed_mm_min=1200, spindle_rpm=16000)
V60 = tp.Cutter(7, tp.v_point(22, 60), feed_mm_min=1200, spindle_rpm=16000)
BLUNT = tp.Cutter(8, tp.v_point(25, 90, 0.5), feed_mm_min=1200, spindle_rpm=16000)
BLUNT_60 = tp.Cutter(9, tp.v_point(22, 60, 0.5), feed_mm_min=1200, spindle_rpm=16000)
T3 = tp.Cutter(3, tp.flat(3), feed_mm_min=1500, spindle_rpm=18000)


def laid(shape):
    return affinity.translate(shape, 40, 30)


def carved(operation, fixture=FRONT, cell=0.2):
    """(mm3 taken, mm deep, the setup): by the simulator, and by the text's own heights."""
    setup = tp.Setup(fixture, [operation])
    text = tp.program_text(setup)
    report = tp.simulate(text, fixture, operation.cutters, cell=cell, part=tp.intended_part(setup))
    assert report.ok, report
    top = report.stock.top if fixture.side == "front" else report.stock.bottom
    lowest = min(step.path.lowest for step in setup.steps)
    taken = -float(report.stock.top.sum() if fixture.side == "front" else top.sum()) * report.stock.cell**2
    return taken, -lowest, setup


@pytest.mark.parametrize("cutter", [V90, V60])
@pytest.mark.parametrize(
    "name", [name if name == "L" else pytest.param(name, marks=pytest.mark.long) for name in KNOWN]
)
def test_volume_and_depth_of_known_shapes(name, cutter):
    shape, deepest, volume = KNOWN[name]
    steep = 1 / tan(radians(cutter.profile.angle_deg / 2))
    taken, deep, _ = carved(tp.v_carve(laid(shape), cutter))
    assert deep == pytest.approx(deepest * steep, abs=0.01)
    assert taken == pytest.approx(volume * steep, rel=0.003)


# Reference: the integral of the insets stopped at the limit, and the flat floor by the limit; a flat tip opens it.
@pytest.mark.parametrize(
    ("name", "cutters", "limit", "volume"),
    [
        ("rectangle", [T3, V90], 3, 786.0),
        pytest.param("rectangle", [T3, V60], 3, 952.192379, marks=pytest.mark.long),
        pytest.param("rectangle", [T3, BLUNT_60], 3, 952.031427, marks=pytest.mark.long),
        ("rectangle", [BLUNT_60], 3, 952.031427),
        ("rectangle", [BLUNT], None, 914.515994),
        pytest.param("square", [T3, V90], 4, 1045.333333, marks=pytest.mark.long),
        pytest.param("disc", [T3, V90], 4, 821.002880, marks=pytest.mark.long),
        pytest.param("triangle", [T3, V90], 4, 1568.0, marks=pytest.mark.long),
    ],
)
def test_volume_with_a_limit_and_with_a_flat_tip(name, cutters, limit, volume):
    taken, deep, _ = carved(tp.v_carve(laid(KNOWN[name].shape), cutters, depth_limit=limit))
    assert taken == pytest.approx(volume, rel=0.003)
    assert limit is None or deep == limit


@pytest.mark.parametrize("fixture", [FRONT, pytest.param(BACK, marks=pytest.mark.long)], ids=["front", "back"])
def test_letters_with_counters_are_sound_on_either_side(fixture):
    word = tp.letters("R&", DEJAVU_SANS.with_name("DejaVuSerif.ttf"), 14)
    word = tp.centre_on(word, (60, 50))
    carved(tp.v_carve(word, V60), fixture)


def test_a_sharp_corner_comes_up_to_the_surface():
    shape = laid(star(5, 10, 4))
    (path,) = tp.v_carve(shape, V90).toolpaths(FRONT)
    up = {(round(move.x, 6), round(move.y, 6)) for move in path.moves if move.kind == "cut" and abs(move.z) < 1e-9}
    corners = {(round(x, 6), round(y, 6)) for x, y in shape.exterior.coords[:-1:2]}
    assert corners <= up


@pytest.mark.long
def test_it_is_said_beforehand_where_forks_go_deeper():
    """Reference: a crossing of strokes 6 wide is 6 / sqrt(2) deep at 90 degrees, the strokes 3."""
    setup = tp.Setup(FRONT, [tp.v_carve(laid(KNOWN["plus"].shape), V90)])
    (note,) = setup.notes
    assert "deepest 4.24 mm near X55.0 Y45.0" in note and "depth_limit=3.00" in note
    _, deep, again = carved(tp.v_carve(laid(KNOWN["plus"].shape), V90, depth_limit=3))
    assert "goes deeper" not in again.notes[0] and deep == 3


def test_a_deep_stroke_is_cut_in_passes_the_cutter_bears():
    careful = tp.Cutter(6, tp.v_point(25, 90), feed_mm_min=1200, spindle_rpm=16000, step_down=2)
    taken, _, setup = carved(tp.v_carve(laid(KNOWN["square"].shape), careful))
    assert taken == pytest.approx(1333.333333, rel=0.003)
    assert {round(move.z, 6) for move in setup.steps[0].path.moves} >= {-2.0, -4.0, -6.0, -8.0}


def test_a_user_s_ramp_angle_is_kept():
    careful = tp.Cutter(6, tp.v_point(25, 90), feed_mm_min=1200, spindle_rpm=16000, ramp_angle_deg=10)
    carved(tp.v_carve(laid(KNOWN["L"].shape), careful))


@pytest.mark.parametrize(("profile", "codes"), [(tp.v_point(40, 30), set()), (tp.flat(40), {"steep-ramp"})])
def test_down_round_a_bend_a_cone_bores_only_where_it_is_as_wide_in_the_wood(profile, codes):
    """A quarter turn of radius 5 that falls 8 mm: 32 in a turn, and a pass is 5. The cone is 2.1 mm in radius there."""
    cutter = tp.Cutter(1, profile, 1200, 16000, step_down=5, cutting_length=80)
    text = "G21 G17 G90 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X60 Y50\nZ1\nG1 Z0 F300\nG3 X55 Y55 Z-8 I-5 J0 F400\n"
    report = tp.simulate(text + "G0 Z20\nM5\nM30\n", FRONT, [cutter], cell=0.5)
    assert {found.code for found in report.findings} & {"steep-ramp"} == codes


def test_a_ring_leaves_arcs():
    (path,) = tp.v_carve(laid(KNOWN["ring"].shape), V90).toolpaths(FRONT)
    assert sum(move.sweep != 0 for move in path.moves) >= 2 and len(path.moves) < 40


def test_what_is_narrower_than_the_tip_is_said():
    shape = laid(box(0, 0, 20, 6) | box(19, 2.9, 40, 3.1))
    setup = tp.Setup(FRONT, [tp.v_carve(shape, BLUNT)])
    assert len(setup.notes) == 2 and "leaves 4.00 mm2 narrower than its tip" in setup.notes[1]
    assert len(tp.Setup(FRONT, [tp.v_carve(laid(KNOWN["L"].shape), BLUNT)]).notes) == 1


@pytest.mark.long
def test_a_carving_in_the_floor_of_a_recess_counts_from_there():
    """And where no wood stands up to where it begins it is refused: it would be narrower than drawn."""
    work = tp.pocket(tp.rectangle(60, 40, (60, 40)), T3, depth=2)
    carving = tp.v_carve(laid(KNOWN["L"].shape), V90, from_depth=2)
    setup = tp.Setup(FRONT, [work, carving])
    assert min(step.path.lowest for step in setup.steps) == pytest.approx(-2 - 3.514719, abs=0.01)
    text = tp.program_text(setup)
    assert tp.simulate(text, FRONT, [T3, V90], cell=0.25, part=tp.intended_part(setup)).ok
    with pytest.raises(tp.DoesNotFitError, match="from_depth=2"):
        tp.Setup(FRONT, [work, tp.v_carve(laid(KNOWN["L"].shape), V90)])


@pytest.mark.parametrize(
    ("shape", "cutters", "more", "said"),
    [
        (box(0, 0, 40, 30), V90, {}, "depth_limit=12.5"),
        (box(0, 0, 30, 0.4), BLUNT, {}, "0.40 mm wide at most"),
        (box(0, 0, 40, 10), V90, {"depth_limit": 3}, "floor of 136.0 mm2, up to 4.0 mm wide"),
        (box(0, 0, 40, 10), [T3, V90], {"depth_limit": 6}, "5.00 mm deep at most"),
        (box(0, 0, 40, 10), [T3, V90], {"depth_limit": 4}, "of 2 mm or less"),
    ],
)
def test_what_cannot_be_carved_says_what_would_do(shape, cutters, more, said):
    with pytest.raises(tp.DoesNotFitError, match=said):
        tp.v_carve(laid(shape), cutters, **more)


@pytest.mark.parametrize("cutters", [T3, [V90, T3], [V60, V90], [], [T3, V90]])
def test_cutters_that_do_not_go_together_are_refused(cutters):
    with pytest.raises(tp.InputError):
        tp.v_carve(laid(box(0, 0, 40, 10)), cutters)


def test_the_tip_stays_above_the_lower_face():
    thin = tp.Fixture(board=tp.Board(width=120, height=100, thickness=6, name="thin"))
    with pytest.raises(tp.DoesNotFitError, match=r"10\.00 mm deep at .* depth_limit=5 keeps"):
        tp.Setup(thin, [tp.v_carve(laid(KNOWN["square"].shape), V90)])


def test_a_carving_in_absurdly_many_passes_is_refused():
    shallow = tp.Cutter(6, tp.v_point(25, 90), feed_mm_min=1200, spindle_rpm=16000, step_down=0.002)
    with pytest.raises(tp.InputError, match=r"at 0\.002 a pass are more than 1000 passes"):
        tp.program_text(tp.Setup(FRONT, [tp.v_carve(laid(KNOWN["square"].shape), shallow)]))
