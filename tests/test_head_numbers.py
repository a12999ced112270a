"""The numbers of a head against the program below it and the fixture: an edited one is a doubt, a slip below is one
finding."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import box

import toolpaths as tp

BOARD = tp.Board(width=240, height=160, thickness=19, wood="ash", name="ash")
FLAT = tp.Cutter(4, tp.flat(7), 1500, 17000, plunge_mm_min=450, cutting_length=28)
DRILL = tp.Cutter(6, tp.drill_point(4), 450, 8500, cutting_length=40)
CUT = tp.Cutter(9, tp.v_point(14, 90), 1000, 14000, plunge_mm_min=350)
RACK = [FLAT, DRILL, CUT]
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,), safe_height=9, link_height=3, spoilboard_depth=0.7)
WORK = [
    tp.drill([(30, 30), (210, 30)], DRILL, depth=11, peck=5, name="pilots"),
    tp.pocket(box(60, 60, 120, 120), FLAT, depth=4.5, name="tray"),
    tp.chamfer(box(60, 60, 120, 120), CUT, width=1.5, side="inside", name="rim"),
    tp.contour(box(20, 20, 220, 140), FLAT, depth=tp.through(0.6), name="outline"),
]
EDITS = {
    "spoilboard": ("mm", "(Spoilboard cut 0.6 mm deep)", "(Spoilboard cut 6 mm deep)"),
    "spoilboard whole": ("mm", "(Spoilboard cut 0.6 mm deep)", "(Spoilboard not cut)"),
    "safe": ("mm", "(Safe height 9 mm", "(Safe height 4 mm"),
    "crossings": ("mm", "(Crossings at 3 mm", "(Crossings at 13 mm"),
    "speed": ("mm", "8500 rpm)", "5800 rpm)"),
    "depth": ("mm", "tray, T4: 0 to 4.5 deep", "tray, T4: 0 to 5.4 deep"),
    "depth of a drill": ("mm", "0 to 11 deep", "0 to 10 deep"),
    "safe, inch": ("inch", "(Safe height 0.3543 inch", "(Safe height 0.3443 inch"),
    "depth, inch": ("inch", "tray, T4: 0 to 0.1772 deep", "tray, T4: 0 to 0.1872 deep"),
    "feed": ("mm", "tray, T4: 0 to 4.5 deep, F1500", "tray, T4: 0 to 4.5 deep, F1400"),
    "feed of a drill": ("mm", "0 to 11 deep, F450", "0 to 11 deep, F4500"),
    "feed, inch": ("inch", "0.1772 deep, F59.06", "0.1772 deep, F59.09"),
    "least X": ("mm", "axis over X16.5 to", "axis over X165 to"),
    "greatest Y": ("mm", "to 143.5)", "to 143.4)"),
    "greatest X, inch": ("inch", "to 8.7992, Y", "to 8.8992, Y"),
    "units": ("inch", "(Crossings at 0.1181 inch", "(Crossings at 0.1181 mm"),
}


def text_in(units: str, fixture: tp.Fixture = SIDE) -> str:
    return tp.program_text(tp.Setup(fixture, WORK), units=units)


@pytest.mark.sample(2, long=37)
@pytest.mark.parametrize("cased", [str, str.upper, str.lower])
@pytest.mark.parametrize("name", EDITS)
def test_a_number_of_the_head_that_does_not_hold_is_a_doubt(name, cased):
    """Depths, heights and speeds of a head were held against nothing in a program judged alone (once a fault)."""
    units, old, new = EDITS[name]
    text = text_in(units)
    assert tp.simulate(text, SIDE, RACK, cell=1.0).ok
    assert old in text
    (found,) = tp.simulate(cased(text.replace(old, new)), SIDE, RACK, cell=1.0).findings
    assert (found.code, found.severity) == ("head-differs", "doubt")
    assert found.line == 1 + text[: text.index(old)].count("\n")


@pytest.mark.parametrize("given", [{"safe_height": 12}, {"link_height": 2}, {"safe_height": 20, "link_height": 8}])
def test_a_fixture_with_other_heights_is_told(given):
    report = tp.simulate(text_in("mm"), replace(SIDE, **given), RACK, cell=1.0)
    assert [found.severity for found in report.findings] == ["doubt"] * len(given)
    assert report.codes() == ("head-differs",)


@pytest.mark.long
def test_a_slip_below_the_head_is_one_finding_that_counts_the_head():
    text = text_in("mm")
    deep = tp.simulate(text.replace("Z-19.6", "Z-29.6"), SIDE, RACK, cell=1.0)
    assert deep.findings[0].code == "too-deep" and "head-differs" not in deep.codes()
    assert deep.findings[0].consequences.count("head-differs") == 2
    fast = tp.simulate(text.replace("S8500", "S85000"), SIDE, RACK, cell=1.0)
    assert fast.findings[0].code == "spindle-speed" and "head-differs" not in fast.codes()
    # What is within all limits is seen by the head alone.
    for slip in (("Z-4.5", "Z-4.2"), ("S17000", "S16000")):
        assert tp.simulate(text.replace(*slip), SIDE, RACK, cell=1.0).codes() == ("head-differs",), slip


@pytest.mark.long
def test_texts_by_hand_and_order_of_work_that_was_changed_are_left_alone():
    text = text_in("mm")
    without = text.replace("(Board 240 x 160 x 19 mm, thickness as measured)\n", "")
    for old, new in (edit[1:] for edit in EDITS.values() if edit[0] == "mm"):
        assert tp.simulate(without.replace(old, new), SIDE, RACK, cell=1.0).ok
    renamed = text.replace("\n(tray)\n", "\n(the tray)\n").replace("0 to 4.5 deep", "0 to 5.5 deep")
    assert tp.simulate(renamed, SIDE, RACK, cell=1.0).ok


def test_a_program_of_which_the_rest_was_cut_off_is_not_held_against_the_whole_order_of_work():
    text = text_in("mm")
    part = text[: text.index("M5\n", text.index("\n(tray)\n"))] + "M5\nM30\n"
    assert tp.simulate(part, SIDE, RACK, cell=1.0).ok


ALIKE = [
    tp.drill([(x, 30)], DRILL, depth=deep, peck=5, name="shelf") for x, deep in ((30, 9), (60, 9), (90, 9), (120, 8))
]


def test_operations_that_say_the_same_are_one_line_and_each_of_them_is_held_against_it():
    text = tp.program_text(tp.Setup(SIDE, ALIKE))
    assert "(1 to 3. shelf, T6: 0 to 9 deep, F450)\n(4. shelf, T6: 0 to 8 deep, F450)\n" in text
    for cased in (str, str.upper):
        assert tp.simulate(cased(text), SIDE, RACK, cell=1.0).ok
        for old, new in (
            ("1 to 3. shelf, T6: 0 to 9 ", "1 to 3. shelf, T6: 0 to 7 "),
            ("X60 Y30 Z-9", "X60 Y30 Z-8.5"),
        ):
            assert old in text
            assert tp.simulate(cased(text.replace(old, new)), SIDE, RACK, cell=1.0).codes() == ("head-differs",)


def test_the_head_says_tabs_and_about_how_long_it_takes():
    held = tp.contour(box(20, 20, 220, 140), FLAT, depth=tp.through(0.6), tabs=tp.Tabs(count=6, width=8, height=4))
    text = tp.program_text(tp.Setup(SIDE, [held]))
    assert ", F1500, 6 tabs)" in text
    (minutes,) = (int(line.split()[1]) for line in text.splitlines() if line.startswith("(About "))
    report = tp.simulate(text, SIDE, RACK, cell=1.0)
    assert minutes - 1 <= report.seconds / 60 <= minutes + 0.2
