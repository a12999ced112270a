"""What cutter and nut meet between the centres of cells: scratches of rapids, exact to hundredths at any cell size."""

from __future__ import annotations

import pytest
from planted_load import HOLLOW, judge

from toolpaths import Board, Cutter, Fixture, ball, drill_point, flat, simulate, v_point

BOARD = Board(width=200, height=120, thickness=18)
CELLS = [0.25, 0.5, 1.0, 2.0]
PROFILES = [v_point(6, 30), v_point(12, 90), ball(1), drill_point(2), flat(1), flat(6)]
HEAD = "G21 G90 G17 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X{x} Y{y}\nG0 Z1\n"
TAIL = "G0 Z20\nM5\nM30\n"


def codes(body, profile, cell, x=30, y=30.125, rack=()):
    cutter = Cutter(1, profile, 1200, 16000, deepest_pass=30, plunge_mm_min=1200, centre_cutting=True)
    text = HEAD.format(x=x, y=y) + body.strip() + "\n" + TAIL
    return simulate(text, Fixture(board=BOARD), [cutter, *rack], cell=cell).codes()


@pytest.mark.sample(24)
@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize("profile", PROFILES, ids=str)
@pytest.mark.parametrize("y", [30.0, 30.125, 30.99])
def test_a_rapid_that_scratches_the_top_is_found(profile, cell, y):
    """2 mm long and 0.05 deep, wherever that lies between the cells."""
    scratch = "G0 Z5\nG0 X{x} Y{y}\nG0 Z{z}\nG0 X{to}"
    assert codes(scratch.format(x=40.2, y=y, z=-0.05, to=42.2), profile, cell) == ("rapid-in-wood",)
    assert "rapid-in-wood" not in codes(scratch.format(x=40.2, y=y, z=0.05, to=42.2), profile, cell)


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize("profile", [p for p in PROFILES if p.kind != "drill"], ids=str)
def test_back_along_the_own_slot_is_sound_and_beside_it_is_found(profile, cell):
    """A rapid back through the slot just cut, and one 0.1 mm aside over 2 mm."""
    slot = "G1 Z-2 F300\nG1 X60 F1200\nG0 X30\nG0 X60\nG1 X61\nG0 X30"
    assert codes(slot, profile, cell) == ()
    beside = "G1 Z-2 F300\nG1 X60 F1200\nG0 Z5\nG0 X50 Y30.225\nG0 Z-1.99\nG0 X52"
    assert codes(beside, profile, cell) == ("rapid-in-wood",)
    within = "G1 Z-2 F300\nG1 X60 F1200\nG0 Z5\nG0 X50 Y30.13\nG0 Z-1.99\nG0 X52"
    assert codes(within, profile, cell) == (), "0.005 aside is what rounding gives"


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize("profile", [flat(6), flat(1), ball(1)], ids=str)
def test_round_holes_and_round_slots_of_the_cutters_own_size_are_sound(profile, cell):
    ring = "G1 Z-2 F300\nG3 X30 Y30.125 I4.5 J0 F900\nG0 Z3\nG0 Z-2\nG0 Z3\nG0 X39\nG0 Z-1.99\nG1 Z-2\n"
    ring += "G3 X39 Y30.125 I-4.5 J0"
    assert codes(ring, profile, cell) == ()


@pytest.mark.parametrize("cell", CELLS)
def test_a_rapid_down_beside_the_hole_of_a_drill_is_found(cell):
    hole = "G1 Z-6 F300\nG0 Z1\nG0 X{}\nG0 Z-5"
    assert codes(hole.format(30), drill_point(2), cell) == ()
    assert codes(hole.format(30.1), drill_point(2), cell) == ("rapid-in-wood",)


@pytest.mark.parametrize("cell", CELLS)
def test_a_cutter_that_cannot_plunge_is_found_between_cells_too(cell):
    small = Cutter(2, flat(1), 1200, 16000, centre_cutting=False, deepest_pass=30, cutting_length=10)
    body = "G1 Z-2 F300\nG1 X60 F1200\nG0 Z20\nM5\nT2 M6\nM3 S16000\nG4 P2\nG0 X50 Y{}\nG0 Z-1.9\nG1 Z-2.5 F300\nG1 X51"
    rack = (small,)
    assert "plunge" in codes(body.format(30.125), flat(6), cell, rack=rack)


@pytest.mark.parametrize(("x", "ok"), [(70.45, True), (70.55, False)])
def test_nut_is_exact_in_reach(x, ok):
    """A wall at 80 from a centre at 60; the nut's radius is 9.5."""
    report = judge(HOLLOW.replace("G1 X66 F1200\nG1 Y66", f"G1 X{x} F1200\nG1 X66"))
    assert report.ok is ok, str(report)


@pytest.mark.parametrize(("z", "ok"), [(-14.0, True), (-14.05, False)])
def test_nut_is_exact_in_height(z, ok):
    """It sits 14 mm above the tip."""
    text = HOLLOW.replace("G0 Z-14\nG0 Y60\n", f"G0 Z{z}\nG0 X74.5 Y60\n")
    report = judge(text)
    assert report.ok is ok, str(report)
    if not ok:
        (finding,) = report.findings
        assert (finding.code, finding.severity) == ("nut-in-wood", "danger")
        assert finding.amount == pytest.approx(-z - 14, abs=1e-6)


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize(("x", "ok"), [(74.9, True), (75.1, False)])
def test_a_thick_shank_is_exact_beside_a_wall(x, ok, cell):
    """A hollow of 40 about X60, 16 deep; flutes of 8 on a shank of 10: it has room up to X75."""
    slim = Cutter(7, flat(3), 900, 20000, cutting_length=8, stick_out=30, shank_diameter=10)
    wide = Cutter(8, flat(40), 1500, 9000, cutting_length=20)
    text = HOLLOW.replace("G1 X66 F1200\nG1 Y66", f"G1 X{x} F900\nG1 X66").replace("Z-17", "Z-16.5")
    report = simulate(text, Fixture(board=BOARD), [slim, wide], cell=cell)
    assert report.ok is ok, str(report)
    if not ok:
        (finding,) = report.findings
        assert (finding.code, finding.amount) == ("flutes", pytest.approx(16.5, abs=1e-6))


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize(("shank", "ok"), [(5.9, True), (6, False)])
def test_a_shank_as_thick_as_the_cutter_rubs_on_its_own_wall(shank, ok, cell):
    """A slot in passes of 3, deeper than the flutes: only a slimmer shank goes down it."""
    cutter = Cutter(1, flat(6), 1200, 16000, cutting_length=8, stick_out=30, shank_diameter=shank)
    passes = "\n".join(f"G1 Z-{z} F300\nG1 X{90 if z % 2 else 30} F1200" for z in (3, 6, 9))
    text = HEAD.format(x=30, y=30.125) + passes + "\n" + TAIL
    report = simulate(text, Fixture(board=BOARD), [cutter], cell=cell)
    assert report.ok is ok, str(report)
    assert ok or report.codes() == ("flutes",)


@pytest.mark.parametrize("cell", [0.3, 1.0])
@pytest.mark.parametrize("profile", [flat(6), v_point(6, 60)], ids=str)
def test_a_rapid_straight_down_after_a_rising_cut_meets_wood(profile, cell):
    """The cut was deep where it began; at its end it was not, and there the rapid goes down."""
    ramp = "G1 Z-3 F300\nG1 X50 Z-1\n"
    assert "rapid-in-wood" in codes(ramp + "G0 Z-2.5", profile, cell)
    assert "rapid-in-wood" not in codes(ramp + "G0 Z2\nG0 Z-1", profile, cell)
    assert "rapid-in-wood" not in codes(ramp + "G1 X30 Z-3\nG0 Z2\nG0 Z-3", profile, cell)
