"""Checks one by one: amounts, limits, places, and cases just inside and just outside what is allowed.

That every planted fault is found is the matter of test_planted.py.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planted import edited
from planted_first import BACK, BOARD, FAULTS, FRONT, NO_ARC, RACK, SOUND, SOUND_BACK, judge_front
from shapely import box

from samples import examples
from toolpaths.facts.board import Board, Clamp, screws
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.machine import Machine
from toolpaths.judging import simulate as run
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.wood.field import whole_board

# The front from the start, and before the screws that SOUND has driven at a stop.
SCREWED = replace(FRONT, screws=tuple(replace(screw, driven_at="") for screw in FRONT.screws))
UNSCREWED = replace(FRONT, screws=())


def judged(text: str, fixture: Fixture = FRONT) -> Report:
    return simulate(text, fixture, RACK, cell=0.5)


def test_amount_place_and_limit_are_those_of_the_fault():
    finding, deep_pass = judged(edited(SOUND, "G1 Z-8", "G1 Z-18.8")[0]).findings

    assert deep_pass.code == "deep-pass"
    assert (finding.code, finding.severity) == ("too-deep", "damage")
    assert finding.amount == pytest.approx(0.8)
    assert finding.limit == 0.5
    assert finding.place == pytest.approx((30, 50, -18.8))
    assert finding.times == 2, "the plunge, and the move at that depth"


def test_off_board_counts_the_width_of_a_v_at_the_top_of_the_board():
    """90 degrees, 2 deep: 2 mm from the axis at the top, although the cutter is 12 wide."""
    text = "G21 G90\nG0 Z20\nT3 M6\nM3 S16000\nF900\nG0 X100 Y{}\nG1 Z-2\nG1 X120\nG0 Z20\nM5\nM30\n"
    assert judged(text.format("2.001"), UNSCREWED).ok
    (finding,) = judged(text.format("1.9"), UNSCREWED).findings
    assert (finding.code, finding.amount) == ("off-board", pytest.approx(0.1))


def test_off_board_allows_the_overhang():
    fixture = Fixture(board=BOARD, overhang=4)
    text = "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X-0.5 Y30\nG1 Z-2\nG1 Y{}\nG0 Z20\nM5\nM30\n"
    assert judged(text.format("119"), fixture).ok
    assert judged(text.format("122"), fixture).codes() == ("off-board",)


def test_travel_is_exact_when_the_zero_is_known():
    text = "G21 G90\nG0 Z20\nG0 X{} Y10\nM30\n"
    fixture = Fixture(board=BOARD, machine=Machine(travel=(300, 200, 80)), zero_in_machine=(-250, -150, -60))
    assert judged(text.format("240"), fixture).ok
    (finding,) = judged(text.format("251"), fixture).findings
    assert finding.code == "travel"
    assert finding.amount == pytest.approx(1.0)
    assert finding.limit == 0
    assert judged(text.format("-51"), fixture).codes() == ("travel",)


def test_screws_are_not_there_before_their_stop():
    assert judged(SOUND).ok
    found = judged(SOUND, SCREWED).findings
    assert {finding.code for finding in found} == {"hold-down"}, "drilled where a screw has stood from the start"
    assert len(found) == 2


def test_pins_are_not_there_on_the_front():
    text = SOUND_BACK.replace("G2 X60 Y60 I20 J0", "G1 X10 Y60")
    assert judged(text, UNSCREWED).ok
    assert judged(text, BACK).codes() == ("hold-down",)


def test_screws_of_the_back_are_placed_as_seen_from_the_front():
    back = FRONT.turned_over("left to right", screws=screws([(140, 60)], head_diameter=9, height=2))
    assert judged(SOUND_BACK, back).codes() == ("hold-down",), "140 from the left is 60 from the left on the back"
    other = FRONT.turned_over("left to right", screws=screws([(40, 60)], head_diameter=9, height=2))
    assert judged(SOUND_BACK, other).ok


@pytest.mark.parametrize("y, ok", [(20 + 4.5 + 3 + 0.01, True), (20 + 4.5 + 3 - 0.01, False)])
def test_hold_down_is_exact_to_a_hundredth(y, ok):
    fixture = Fixture(board=BOARD, screws=screws([(50, 20)], head_diameter=9, height=2))
    text = f"G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X30 Y{y}\nG1 Z-2\nG1 X90\nG0 Z20\nM5\nM30\n"
    assert judged(text, fixture).ok is ok


@pytest.mark.parametrize("z, ok", [(-22.9, True), (-25.9, True), (-26.1, False)])
def test_hold_down_counts_shank_and_nut(z, ok):
    """T1 sticks out 28: the nut of 19 mm meets a clamp 2 high, 8 mm from the axis, only below Z-26."""
    fixture = Fixture(
        board=Board(width=200, height=120, thickness=40), clamps=(Clamp(area=box(50, 20, 60, 30), height=2),)
    )
    text = f"G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X42 Y25\nG1 Z{z}\nG0 Z20\nM5\nM30\n"
    assert ("hold-down" not in judged(text, fixture).codes()) is ok


def test_rising_and_falling_moves_meet_a_screw_only_where_they_are_low():
    fixture = Fixture(board=BOARD, screws=screws([(50, 20)], head_diameter=9, height=2))
    text = "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X20 Y20\nG1 Z-1\nG1 X{} Z{}\nG0 Z20\nM5\nM30\n"
    assert judged(text.format(60, 20), fixture).ok, "12 mm up where it comes to the head"
    assert judged(text.format(60, 3), fixture).codes() == ("hold-down",)


def test_pecks_and_retracts_in_the_own_hole_are_no_rapids_in_wood():
    text = "G21 G90\nG0 Z20\nT2 M6\nM3 S12000\nF300\nG99 G83 X30 Y30 Z-15 R1 Q1\nG80\nG0 Z20\nM5\nM30\n"
    assert judged(text, UNSCREWED).ok


def test_rapid_along_a_slot_already_cut_is_sound_and_a_wider_one_is_not():
    text = "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X30 Y40\nG1 Z-5\nG1 X90.0003\n{}G0 X30\nG0 Z20\nM5\nM30\n"
    assert judged(text.format(""), UNSCREWED).ok
    wider = "G0 Z20\nT6 M6\nM3 S16000\nG4 P2\nG0 X90 Y40\nG0 Z-5\n"
    assert judged(text.format(wider), UNSCREWED).codes() == ("rapid-in-wood",)


def test_stopped_spindle_above_the_board_is_sound():
    assert judged("G21 G90\nG0 Z20\nT1 M6\nF900\nG0 X30 Y40\nG1 Z5\nG1 X60\nG0 Z20\nM30\n", UNSCREWED).ok


def test_repeats_are_folded_with_all_their_lines():
    text = SOUND_BACK.replace("G2 X60 Y60 I20 J0", "\n".join(f"G1 X{60 + k} Z-19" for k in range(10)))
    finding = next(finding for finding in judged(text, BACK).findings if finding.code == "too-deep")
    assert finding.times == 10
    assert finding.lines == tuple(range(8, 18))


def test_findings_come_gravest_first():
    text = edited(SOUND, "G1 Z-8", "G1 Z-19")[0].replace("M3 S12000\nG0 X60", "M5\nG0 X60")
    assert [f.severity for f in judged(text).findings] == ["danger", "damage", "damage"]


ELSEWHERE = ["G0 Z20\nG0 X100 Y40", "(a remark)", "G4 P0.5", "G0 Z20\nG0 X180 Y90\nG0 Z1\nG1 Z-1 F500\nG1 X184\nG0 Z20"]


@given(
    fault=st.sampled_from([f for f in FAULTS if f.judge is judge_front and f.code != "waits-low"]),
    extra=st.sampled_from(ELSEWHERE),
    end=st.booleans(),
)
@examples(40)
def test_no_finding_vanishes_when_a_sound_line_is_added(fault, extra, end):
    code, text = fault.code, fault.text
    lines = text.splitlines()
    # Before the last retract and stop, or after the drilling; both with the cutter clear of the wood.
    at = len(lines) - 2 if end else lines.index("G80") + 1
    if not end:
        lines.insert(at, "G0 Z20")
    longer = "\n".join([*lines[:at], *extra.splitlines(), *lines[at:]])

    before, now = judged(text), judged(longer)
    assert set(before.codes()) <= set(now.codes())
    assert code in now.codes()


def test_every_check_is_run_without_motions():
    report = judged("G21\nM30\n", UNSCREWED)
    assert report.ok
    assert report.seconds == 0
    assert len(run.CHECKS) >= 9


def test_stock_can_be_given_to_a_program_that_faces_the_board():
    """After levelling, a rapid 0.5 below the old top is above the wood."""
    stock = whole_board(BOARD, 0.5)
    level = type(stock)(stock.board, stock.grid, stock.top - 1, stock.bottom)
    text = "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X30 Y40\nG0 Z-0.5\nG0 X60\nG0 Z20\nM5\nM30\n"
    assert simulate(text, FRONT, RACK, stock=level).ok
    assert not judged(text).ok


DEEP = "G21 G90\nG0 Z20\nT5 M6\nM3 S16000\nF900\nG0 X60 Y40\nG1 Z0\n{}\nG0 Z20\nM5\nM30\n"
# T5, 4 wide, has flutes of 12 mm. Rings around X60 Y40 leave a hole with a clear radius of 8 mm.
ROOM = "\n".join(f"G1 X{60 - r}\nG3 X{60 - r} Y40 Z{z} I{r} J0" for z in (-4, -8, -12) for r in (6, 3, 1))


def test_flutes_deeper_than_long_in_a_wide_hole_are_sound():
    deep = ROOM + "\nG1 X60\nG1 Z-14\nG1 X61"
    assert judged(DEEP.format(deep), UNSCREWED).ok
    assert judged(DEEP.format(deep.replace("X61", "X66")), UNSCREWED).codes() == ("flutes",)


def test_flutes_are_looked_at_all_along_a_helix():
    """The helix begins in the wide hole and comes to the wall half a turn later."""
    deep = ROOM + "\nG1 X57\nG1 Z-12\nG3 X57 Y40 Z-13 I4.5 J0"
    assert judged(DEEP.format(deep), UNSCREWED).codes() == ("flutes",)


def test_steep_ramp_of_a_cutter_that_cannot_plunge_is_found():
    text = SOUND.replace("G1 X170 Z-3\n", "G1 X122 Z-3\n")
    assert judged(text).codes() == ("plunge", "steep-ramp")


ARC_NEAR_EDGE = "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X40 Y6\nG1 Z-2\n{} X48 Y6 I4 J0\nG0 Z20\nM5\nM30\n"


def test_arc_past_the_edge_is_found_and_one_that_bends_away_is_sound():
    assert judged(ARC_NEAR_EDGE.format("G2"), UNSCREWED).ok
    (finding,) = judged(ARC_NEAR_EDGE.format("G3"), UNSCREWED).findings
    assert (finding.code, finding.amount) == ("off-board", pytest.approx(1.0))


@pytest.mark.parametrize("turn, codes", [("G2", ("hold-down",)), ("G3", ())])
def test_arc_round_a_screw_is_found_only_on_the_side_where_it_passes(turn, codes):
    fixture = Fixture(board=BOARD, screws=screws([(60, 72)], head_diameter=9, height=2))
    text = f"G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nF900\nG0 X50 Y60\nG1 Z-2\n{turn} X70 Y60 I10 J0\nG0 Z20\nM5\nM30\n"
    assert judged(text, fixture).codes() == codes


def test_dowel_hole_bored_too_wide_may_not_go_deep():
    wide = SOUND.replace("X11 Y60", "X11.2 Y60").replace("I-1 J0", "I-1.2 J0")
    assert judged(SOUND).ok
    assert judged(wide).codes() == ("too-deep",)


def test_a_rapid_through_wood_takes_it_away_all_the_same():
    text = edited(SOUND, "G1 X90 F1200", "G0 X90 F1200")[0]
    assert (judged(text).stock.top == judged(SOUND).stock.top).all()


def test_place_never_named_is_taken_for_the_zero():
    (finding,) = (f for f in judged(edited(NO_ARC, "G0 X60 Y60", "G0 X60")[0], BACK).findings if f.code == "first-move")
    assert finding.place == pytest.approx((60, 0, -5), abs=1e-9)
