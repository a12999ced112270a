"""The hole of a pin is measured over all the height in which the pin stands, in the board and in the spoilboard.

Every hole here is made in its own way, and what must come out is worked out from its radii and depths alone.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples

BOARD = tp.Board(width=220, height=140, thickness=19.8)
PINS = tp.dowels([(14, 70), (206, 70), (110, 16)], diameter=8, depth=7)
FRONT = tp.Fixture(board=BOARD, dowels=PINS, spoilboard_thickness=18, grips=(BOARD.outline,))
BACK = FRONT.turned_over("left to right", grips=FRONT.grips)
RACK = [
    tp.Cutter(1, tp.flat(5), 900, 16000, cutting_length=40),
    tp.Cutter(2, tp.drill_point(8), 300, 6000, cutting_length=45),
    tp.Cutter(3, tp.v_point(20, 90), 900, 16000),
    tp.Cutter(4, tp.drill_point(5), 300, 6000, cutting_length=45),
]
BACK_TEXT = "G21 G90\nG0 Z30\nT1 M6\nM3 S16000\nG4 P2\nG0 X60 Y40\nG0 Z2\nG1 Z-3 F200\nX90 F900\nG0 Z30\nM5\nM30\n"


def bored(x: float, y: float, wide: float, deep: float, other: float | None = None) -> str:
    """A hole bored round by round with the cutter of 5; `other` is its width along Y, where it is an oval."""
    path, levels = (wide - 5) / 2, [4.0 * n for n in range(1, 10) if 4 * n < deep - 0.1] + [deep]
    if other is None:
        rounds = "".join(f"G1 Z{-z:.4f} F200\nG2 X{x + path} Y{y} I{-path} J0 F700\n" for z in levels)
    else:
        half = (other - wide) / 2
        rounds = "".join(
            f"G1 Z{-z:.4f} F200\nG1 Y{y - half} F700\nG2 X{x - path} I{-path} J0\nG1 Y{y + half}\n"
            f"G2 X{x + path} I{path} J0\nG1 Y{y}\n" for z in levels
        )  # fmt: skip
    return f"G0 X{x + path} Y{y}\nG0 Z2\n{rounds}G0 Z30\n"


def judged(first: str, back: str = BACK_TEXT, fixture: tp.Fixture = FRONT) -> tp.JobReport:
    """A job whose first pin's hole is made so with the cutter of 5, and with more work; the others are drilled well."""
    drilled = "T2 M6\nM3 S6000\nG4 P2\nG81 X206 Y70 Z-29.203 R2 F240\nX110 Y16\nG80\nG0 Z30\n"
    head = "G21 G90 G17\nG0 Z30\nT1 M6\nM3 S16000\nG4 P2\nG0 Z30\n"
    return tp.verify([(head + first + drilled + "M5\nM30\n", fixture), (back, BACK)], RACK, cell=1.0)


def holes(report: tp.JobReport) -> list[tp.Finding]:
    return [found.finding for found in report if found.finding.code == "dowel-hole"]


@given(wide=st.floats(8.3, 15), deep=st.floats(2.1, 19.7))
@examples(15)
def test_a_hole_widened_in_its_upper_part_is_found_however_far(wide, deep):
    """The face lies down once the board is turned: the pin stands where the hole is wide."""
    well = bored(14, 70, 8.05, 26.8)
    (found,) = holes(judged(well + bored(14, 70, wide, deep)))
    assert found.severity == "danger"
    assert found.line > 6 + well.count("\n"), "the line that widened it, not one that made it well"
    assert (
        f"down to {deep:.1f} mm below the face" in found.message
        or abs(float(found.message.split("down to ")[1].split()[0]) - deep) <= 0.3
    ), found.message
    if wide < 11.9:
        assert found.amount == pytest.approx(wide, abs=0.005)


@given(wide=st.floats(8.3, 15), deep=st.floats(0.2, 2.0))
@examples(8)
def test_a_hole_whose_mouth_is_eased_is_sound(wide, deep):
    assert judged(bored(14, 70, 8.05, 26.8) + bored(14, 70, wide, round(deep, 3))).ok


@pytest.mark.parametrize("deep, ok", [(5.5, True), (8.0, False)])
def test_a_countersink_eases_the_mouth_until_it_goes_too_far(deep, ok):
    """A V of 90 degrees whose tip goes 8 deep is 8.26 wide 3.87 below the face; at 5.5 deep, 1.37 below."""
    sunk = f"T3 M6\nM3 S16000\nG4 P2\nG0 X14 Y70\nG0 Z2\nG1 Z-{deep} F200\nG0 Z30\n"
    found = holes(judged(bored(14, 70, 8.05, 26.8) + sunk))
    assert (not found) is ok, found


@given(long=st.floats(8.3, 11), from_top=st.floats(2.5, 19.5), along=st.sampled_from(["x", "y"]))
@examples(8)
def test_an_oval_is_found_in_any_part_of_the_height(long, from_top, along):
    wide, other = (8.05, long) if along == "y" else (long, 8.05)
    if along == "x":  # an oval along X is three holes in a row
        off = (long - 8.05) / 2
        oval = "".join(bored(14 + dx, 70, 8.05, from_top) for dx in (-off, 0, off))
    else:
        oval = bored(14, 70, wide, from_top, other)
    (found,) = holes(judged(bored(14, 70, 8.05, 26.8) + oval))
    assert found.amount == pytest.approx(long, abs=0.02)


@pytest.mark.sample(3)
@pytest.mark.parametrize("off, ok", [(0.04, True), (0.19, False), (0.4, False)])
@pytest.mark.parametrize("deep", [3.0, 11.3, 19.0])
def test_a_hole_off_its_axis_in_part_of_its_height_is_found(off, ok, deep):
    """Two discs of 8 so far apart are that much wider one way, and their middle lies half of it off."""
    found = holes(judged(bored(14, 70, 8.0, 26.8) + bored(14, 70 + off, 8.0, deep)))
    assert len(found) == (0 if ok else 1), found
    for one in found:
        assert ("off its place" in one.message) is (8 + off <= 8.25)


@pytest.mark.sample(3)
@pytest.mark.parametrize("narrow", [7.9, 6.0, 5.5])
@pytest.mark.parametrize("from_depth", [3.0, 12.0, 20.3, 25.0])
def test_a_hole_that_is_narrower_from_some_depth_on_does_not_take_its_pin(narrow, from_depth):
    """In the board as in the spoilboard, even where only the last of it is too narrow."""
    (found,) = holes(judged(bored(14, 70, 8.0, from_depth) + bored(14, 70, narrow, 26.8)))
    assert found.amount == pytest.approx(narrow, abs=0.005)
    assert ("in the spoilboard" in found.message) is (from_depth > 19.8)


def test_a_drill_of_the_pins_own_width_makes_its_hole():
    """Its point, 2.403 long, is no narrow hole: it goes below the pin."""
    assert judged("T2 M6\nM3 S6000\nG4 P2\nG81 X14 Y70 Z-29.203 R2 F240\nG80\nG0 Z30\n").ok


@pytest.mark.long
def test_a_board_levelled_all_over_has_its_mouths_where_its_face_then_is():
    """3 mm are taken off everywhere: the board lies on that, and the hole begins there."""
    wide = tp.Cutter(5, tp.flat(40), 1500, 12000, cutting_length=20)
    board = replace(FRONT, overhang=30)
    rows = "".join(f"Y{y}\nX{230 if n % 2 == 0 else -10}\n" for n, y in enumerate(range(0, 160, 20)))
    level = f"T5 M6\nM3 S12000\nG4 P2\nG0 X-25 Y-10\nG0 Z2\nG1 Z-3 F300\n{rows}G0 Z30\nT1 M6\nM3 S16000\nG4 P2\n"
    drilled = "T2 M6\nM3 S6000\nG4 P2\nG81 X206 Y70 Z-29.203 R2 F240\nX110 Y16\nG80\nG0 Z30\n"
    head = "G21 G90 G17\nG0 Z30\n"
    for extra, ok in (("", True), (bored(14, 70, 10, 4.5), True), (bored(14, 70, 10, 6.5), False)):
        text = head + level + bored(14, 70, 8.05, 26.8) + extra + drilled + "M5\nM30\n"
        report = tp.verify([(text, board), (BACK_TEXT, BACK)], [*RACK, wide], cell=1.0)
        assert (not holes(report)) is ok, str(report)


def test_what_the_back_cuts_over_a_pin_is_found():
    """A hole widened from the other side is widened with the pin in it."""
    widened = BACK_TEXT.replace("G0 Z30\nM5", "G0 Z30\n" + bored(14, 70, 12, 9.0) + "M5")
    assert "hold-down" in judged(bored(14, 70, 8.05, 26.8), widened).codes()
