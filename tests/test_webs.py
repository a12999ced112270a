"""The web between two faces: what counts as one, and what is meant to be open."""

from __future__ import annotations

import pytest
from shapely import Point

import toolpaths as tp

BOARD = tp.Board(width=100, height=80, thickness=18)
FRONT = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
BACK = FRONT.turned_over("left to right", grips=FRONT.grips)
RACK = (tp.Cutter(1, tp.flat(6), 1200, 16000), tp.Cutter(2, tp.drill_point(6), 500, 8000, cutting_length=30))
HEAD = "G21 G90\nG0 Z20\nT{} M6\nM3 S8000\nG4 P2\nF400\n"
TAIL = "\nG0 Z20\nM5\nM30\n"
POCKET = HEAD.format(1) + "G0 X46 Y40\nG1 Z-5\nX54\nY44\nX46\nY36\nX54\nY44" + TAIL


def drilled(z: float) -> str:
    return HEAD.format(2) + f"G98 G81 X50 Y40 Z{z} R2\nG80" + TAIL


HOLE = Point(50, 40)
SHALLOW = tp.Recess(area=tp.rectangle(14, 14, (50, 40)), depth=5)


@pytest.mark.parametrize("hole_first", [True, False], ids=["hole first", "pocket first"])
@pytest.mark.parametrize(
    "z, depth, thin",
    [(-18.3, tp.through(0.3), False), (-10.5, 10.5, True), (-9.9, 9.9, False)],
    ids=["through", "2.5 left", "3.1 left"],
)
def test_rim_of_a_hole_meant_to_go_through_is_no_web(hole_first, z, depth, thin):
    """A 118 degree point 18.3 deep has its full width only 16.5 deep: a feather stands at the far rim."""
    hole = tp.CutAlong(line=HOLE, profile=tp.drill_point(6), depth=depth)
    texts, features = ([drilled(z), POCKET], [(hole,), (SHALLOW,)])
    if not hole_first:
        texts, features = texts[::-1], features[::-1]
    part = tp.Part(board=BOARD, front=features[0], back=features[1])
    report = tp.verify([(texts[0], FRONT), (texts[1], BACK)], RACK, part=part, thinnest_web=3)
    assert ("thin-web" in report.codes()) is thin, str(report)


MILL = (
    tp.Cutter(1, tp.flat(6), 1200, 16000, cutting_length=22),
    tp.Cutter(2, tp.v_point(12, 90), 800, 16000),
    tp.Cutter(3, tp.drill_point(5), 500, 8000, cutting_length=30),
    tp.Cutter(4, tp.ball(6), 1200, 16000, cutting_length=24),
)
FLAT, VEE, DRILL, BALL = MILL
PLATE = tp.Board(width=160, height=120, thickness=18.2)
ABOVE = tp.Fixture(board=PLATE, grips=(PLATE.outline,))
BELOW = ABOVE.turned_over("left to right", grips=ABOVE.grips)
OUTLINE = tp.rectangle(100, 70, (80, 60))
ALL_ROUND = tp.Tabs(count=4, width=8, height=4)


def on_both(first, second, limit: float, meant: bool, cell: float = 0.25) -> tp.JobReport:
    """Both sides of a job, the second cut on what the first leaves."""
    setups = [tp.Setup(*first), tp.Setup(*second)]
    part = tp.intended_part(*setups) if meant else None
    return tp.verify(
        [(tp.program_text(s), s.fixture) for s in setups], MILL, part=part, thinnest_web=limit, cell=cell
    )  # fmt: skip


def note_of(report: tp.JobReport) -> str:
    return " ".join(note for _, side in report.sides for note in side.notes if "thinnest" in note)


@pytest.mark.sample(3, long=11)
@pytest.mark.parametrize("meant", [False, True])
@pytest.mark.parametrize("cell", [0.25, 0.6])
@pytest.mark.parametrize("width", [1.0, 2.5])
@pytest.mark.parametrize("parted_first", [False, True])
@pytest.mark.parametrize("by", [FLAT, BALL], ids=str)
def test_a_lip_that_a_parting_cuts_off_is_no_web(by, parted_first, width, cell, meant):
    """No wood at all is left, it said (once a fault)."""
    chamfer = tp.chamfer(OUTLINE, VEE, width=width)
    parting = tp.contour(OUTLINE, by, depth=tp.through(0.3), tabs=ALL_ROUND)
    sides = [(ABOVE, [chamfer]), (BELOW, [parting])]
    if parted_first:
        sides = [(ABOVE, [parting]), (BELOW, [chamfer])]
    report = on_both(*sides, limit=4.5, meant=meant, cell=cell)
    assert "thin-web" not in report.codes(), str(report)
    assert not note_of(report)


@pytest.mark.sample(1)
@pytest.mark.parametrize("meant", [False, True])
@pytest.mark.parametrize("faced_first", [False, True])
def test_the_thinnest_web_is_that_of_the_part_and_not_of_a_tab(faced_first, meant):
    """Under a face levelled by 1 mm the tabs of the other side are 3 mm thick, the tray's floor 5.2 (once a fault)."""
    levelled = (ABOVE, [tp.face(tp.rectangle(140, 100, (80, 60)), FLAT, depth=1)])
    cut = [tp.pocket(tp.rectangle(30, 20, (80, 60)), FLAT, depth=12)]
    parting = tp.contour(OUTLINE, FLAT, depth=tp.through(0.3), tabs=ALL_ROUND)
    second = (BELOW, [*cut, parting])
    sides = (levelled, second) if faced_first else ((ABOVE, second[1]), (BELOW, levelled[1]))
    report = on_both(*sides, limit=4.5, meant=meant, cell=0.5)
    assert "thin-web" not in report.codes(), str(report)
    assert "5.20 mm" in note_of(report)
    assert "thin-web" in on_both(*sides, limit=5.5, meant=meant, cell=0.5).codes()


@pytest.mark.parametrize("meant", [False, True])
@pytest.mark.parametrize("drilled_first", [False, True])
def test_the_rim_of_a_hole_through_is_no_web_without_a_part_either(drilled_first, meant):
    """A pointed drill that comes 0.3 mm through leaves a feather round its point, under a tray of the other side."""
    hole, tray = tp.drill([(80, 60)], DRILL, depth=tp.through(0.3)), tp.pocket(OUTLINE, FLAT, depth=5)
    sides = [(ABOVE, [hole]), (BELOW, [tray])] if drilled_first else [(ABOVE, [tray]), (BELOW, [hole])]
    report = on_both(*sides, limit=3, meant=meant)
    assert "thin-web" not in report.codes(), str(report)
    assert not note_of(report)


@pytest.mark.parametrize("meant", [False, True])
def test_a_thin_web_beside_a_parting_is_found_all_the_same(meant):
    """The floor of a tray that ends 5 mm from the outline, over a groove from the other side: 1.2 mm are left."""
    tray = tp.pocket(tp.rectangle(90, 60, (80, 60)), FLAT, depth=9)
    back = [tp.groove([(40, 60), (120, 60)], FLAT, depth=8), tp.contour(OUTLINE, FLAT, depth=tp.through(0.3),
                                                                        tabs=ALL_ROUND)]  # fmt: skip
    report = on_both((ABOVE, [tray]), (BELOW, back), limit=3, meant=meant)
    (found,) = [each.finding for each in report if each.finding.code == "thin-web"]
    assert found.amount == pytest.approx(1.2, abs=0.01)
    assert "1.20 mm" in note_of(report)


def two_recesses(first, second, deep: float, limit: float = 0.0) -> tp.JobReport:
    sides = ((ABOVE, [tp.pocket(first, FLAT, depth=deep)]), (BELOW, [tp.pocket(second, FLAT, depth=deep)]))
    return on_both(*sides, limit=limit, meant=True, cell=0.5)


@pytest.mark.long
def test_recesses_from_both_sides_that_meet_are_a_doubt():
    """They made a hole that nobody asked for, in silence (once a fault)."""
    left, right = tp.rectangle(40, 30, (60, 60)), tp.rectangle(40, 30, (90, 65))
    (found,) = two_recesses(left, right, 9.5)
    assert (found.finding.code, found.finding.severity) == ("recesses-meet", "doubt")
    # 10 mm by 25 mm of the two lie over each other.
    assert found.finding.amount == pytest.approx(250, abs=10)
    assert two_recesses(left, right, 8.9).ok
    assert set(two_recesses(left, right, 9.5, limit=2).codes()) == {"thin-web"}


def test_a_recess_wholly_within_one_of_the_other_side_may_meet_it():
    """So a stepped opening is made."""
    assert two_recesses(tp.rectangle(40, 30, (80, 60)), tp.rectangle(60, 50, (80, 60)), 9.5).ok
