"""Form and machine: limits to the hair, what is said, and sound programs in many hands that give nothing."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from planted_form import BACK, FRONT, HEADED, OURS, WORK
from shapely import box

from toolpaths.base.units import inch
from toolpaths.facts.board import Board, Clamp, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.language import GROUP_OF
from toolpaths.facts.machine import ALL_CODES, CYCLES, Machine
from toolpaths.facts.profile import ball, drill_point, flat
from toolpaths.judging.checks.running import spin_up
from toolpaths.judging.reader.read import read
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.case import make_case
from toolpaths.judging.trial.known_places import waiting_place
from toolpaths.making.operations.contour import contour
from toolpaths.making.operations.groove import groove
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.program import program_text, texts_by_cutter
from toolpaths.making.writer.style import CYCLE_STYLES, TOOL_CHANGES
from toolpaths.shapes.plain_shapes import circle

BOARD = Board(width=200, height=120, thickness=18)
PLAIN = Fixture(board=BOARD)
T1 = Cutter(1, flat(6), 1200, 16000, cutting_length=25)
T2 = Cutter(2, drill_point(3), 300, 12000, cutting_length=30)
T3 = Cutter(3, flat(6.35), 1200, 16000, cutting_length=25)
RACK = [T1, T2, T3]


def judged(text: str, fixture: Fixture = PLAIN, cutters: list[Cutter] = RACK) -> Report:
    return simulate(text, fixture, cutters, cell=1.0)


def body(cut: str, start: str = "M3 S16000\nG4 P2", head: str = "G21 G90", end: str = "M5\nM30\n") -> str:
    return f"{head}\nG0 Z20\nT1 M6\n{start}\nG0 X50 Y50\nG0 Z2\n{cut}\nG0 Z20\n{end}"


SLOT = "G1 Z-2 F400\nG1 X90 F1200"


# Programs in many hands

HANDS = {
    "terse": "g21g90\ng0z9\nt1m6\nm3s16000\ng4p1\ng0x20y20\nz1\ng1z-1f300\nx60f900\ng0z9\nm5\nm30",
    "wide": "% \nN0010 G 21\nN0020 G 90 G 17\nN0030 G 00 Z 0025.000\nN0040 T 01 M 06\nN0050 S 16000 M 03\n"
    "N0060 G 04 P 1.5\nN0070 G 00 X 020.0 Y +20.\nN0080 G 00 Z 1.\nN0090 G 01 Z -1. F 300.\n"
    "N0100 G 02 X 30. Y 30. I 10. J 0. F 1200.\n"
    "N0110 G 00 Z 25.\nN0120 M 05\nN0130 M 02\n%\n",
    "no dwell, far away": "G90 G21\nG0 Z20\n"
    "G0 X0 Y0\nT1 M6\nM3 S18000\nG0 X100 Y60\nG0 Z5\nG1 Z-3 F300\nX120 F1200\nG0 Z20\nM5\nM30\n",
    "no dwell, close by": "G90 G21\nG0 Z5\nM3 S18000\nG0 X10 Y10\nG1 Z-3 F900\nX20\nG0 Z5\nM5\nM30\n",
    "speed changed while turning": body(SLOT + "\nG0 Z5\nS12000\nG0 X95 Y50\nG1 Z-1"),
    "spindle started again above": body(SLOT + "\nG0 Z20\nM5\n(a look)\nM0\nM3 S9000\nG4 P2\nG0 X60 Y60\nG1 Z-1"),
    "next cutter called early": "G21 G90\nG0 Z20\nT1 M6\nT2\nM3 S16000\nG4 P2\nG0 X50 Y50\nG1 Z-1 F500\n"
    "G0 Z20\nM6\nT1\nM3 S12000\nG4 P2\nG0 X80 Y50\nG1 Z-4 F300\nG0 Z20\nM5\nM30\n",
    "spindle emptied at the end": body(SLOT, end="M5\nT0 M6\nM30\n"),
    "offsets with the number of the cutter": "G21 G90 G49\nG0 Z20\nT1 M6\nG43 H1\nM3 S16000\nG4 P2\nG0 Z20\n"
    "G0 X50 Y50\nG1 Z-1 F500\nG0 Z20\nM5\nG49\nM30\n",
    "offset numbers of their own": body(SLOT, start="G43 H21\nM3 S16000\nG4 P2", end="M5\nG49\nM30\n"),
    "incremental pieces": body("G1 Z-2 F400\nG91\nX20\nY20\nX-20\nY-20\nG90"),
    "incremental cycle": body("G1 Z-1 F400\nG0 Z5\nG91 G81 X5 Y0 Z-4 R-3 L3 F300\nG90 G80"),
    "zero moved and put back": body("G92 X0 Y0\nG1 Z-2 F400\nX30\nG0 Z5\nG92.1"),
    "zero moved twice": body("G92 X0\nG1 Z-2 F400\nX10\nG92 X0\nX10\nG0 Z5\nG92.2\nG0 X50"),
    "two units": body("G1 Z-2 F400\nG20\nX2.5 F40\nG21\nX50 F900"),
    "work system named": body(SLOT, head="G54 G21 G90 G17 G40 G49 G80 G94 G64"),
    "other plane": body("G1 Z0 F400\nG18 G2 X70 Z0 I10 K58\nG17"),
    "coolant for the dust": body(SLOT, start="M3 S16000 M8\nG4 P2", end="M9 M5\nM30\n"),
    "optional stop, spindle off": body(SLOT + "\nG0 Z20\nM5\nM1\nM3 S16000\nG4 P2\nG0 X10 Y10"),
    "one line each": "G21 G90 G0 Z20\nT1 M6\nM3 S16000 G4 P2\nG0 X50 Y50\nG1 Z-1 F300\nG0 Z20 M5\nM30\n",
    "remarks": "(Board: the good one, 20 x 30)\n(Side: front)\n(T1: best cutter)\n"
    + body(SLOT).replace("M6", "M6 (6 mm flat)"),
    "remarks like ours": body(SLOT).replace("M6", "M6 (flat 6)") + "(flat 3)",
    "remark in inches": body(SLOT).replace("T1 M6", "T3 M6 (flat 0.25)"),
    "remark rounded": body(SLOT).replace("T1 M6", "T3 M6 (flat 6.4)"),
    "dwell at the bottom of a hole": body("G82 X60 Y50 Z-4 R2 P1 F300\nG80"),
    "slanting way down": body("G0 X50 Y50 Z20\nG0 X70 Y70 Z2\n" + SLOT),
    "slanting way up, clear of the board": body("G0 X70 Y60 Z15\nG0 Z2\n" + SLOT),
    "anticlockwise pocket with radius words": body("G1 Z-1 F300\nG3 X60 Y60 R10 F1000\nG3 X50 Y70 R10\nG1 Y50"),
    "ends between percent lines": "%\nG21 G90\nG0 Z5\nM3 S16000\nG4 P3\nG0 X30 Y30\nG1 Z-1 F300\nG0 Z5\nM5\n"
    "%\nold notes",
}  # fmt: skip
ONE_CUTTER = ("no dwell, close by", "ends between percent lines")


@pytest.mark.parametrize("name", HANDS)
def test_sound_programs_in_many_hands_give_no_finding(name):
    report = judged(HANDS[name], cutters=[T1] if name in ONE_CUTTER else RACK)
    if name == "ends between percent lines":
        assert report.codes() == ("after-end",), "notes that are no comment"
    else:
        assert report.ok, str(report)


@pytest.mark.sample(8)
@pytest.mark.parametrize("fixture", [FRONT, BACK, replace(FRONT, zero_at="centre", zero_on="spoilboard")], ids=str)
@pytest.mark.parametrize("units, cycles, change", list(product(("mm", "inch"), CYCLE_STYLES, TOOL_CHANGES)))
def test_own_programs_give_no_finding_in_any_style(fixture, units, cycles, change):
    setup = Setup(fixture, WORK)
    report = judged(
        program_text(setup, title="Coaster: front", units=units, cycles=cycles, tool_change=change), fixture, OURS
    )
    assert report.ok, str(report)
    for text in texts_by_cutter(setup, title="Coaster: front", units=units, cycles=cycles).values():
        (cutter,) = (c for c in OURS if f"(T{c.number}: " in text)
        assert judged(text, fixture, [cutter]).ok


# Machine


def test_all_codes_are_those_of_the_reader():
    assert set(GROUP_OF) == ALL_CODES


def test_each_code_lacking_is_said_once_with_its_first_line():
    fixture = Fixture(board=BOARD, machine=Machine(name="old one", codes=ALL_CODES - CYCLES - {"M8"}))
    text = body("G81 X50 Y50 Z-3 R2 F300\nX60\nG80\nM8\nG81 X70 Y50 Z-3 R2")
    found = judged(text, fixture).findings
    assert [(f.code, f.severity, f.line) for f in found] == [
        ("unknown-code", "damage", 8),
        ("unknown-code", "damage", 11),
    ]
    assert "old one does not understand G81" in found[0].message


@pytest.mark.parametrize("rpm, ok", [(8000, True), (7999, False), (20000, True), (20001, False)])
def test_spindle_speed_is_exact(rpm, ok):
    fixture = Fixture(board=BOARD, machine=Machine(spindle_rpm=(8000, 20000)))
    report = judged(body(SLOT, start=f"M3 S{rpm}\nG4 P2"), fixture)
    assert report.ok is ok
    if not ok:
        (finding,) = report.findings
        assert (finding.code, finding.amount, finding.limit, finding.times) == (
            "spindle-speed", rpm, 8000 if rpm < 8000 else 20000, 2,
        )  # fmt: skip


def test_odd_speed_above_the_board_is_sound():
    assert judged(body(SLOT, start="M3 S500\nG4 P5\nS16000\nG4 P2")).ok


@pytest.mark.parametrize(
    "cut, ok",
    [
        ("G1 X90 F5000", True),
        ("G1 X90 F5001", False),
        # 45 degrees: each axis goes 0.7071 of the feed.
        ("G1 X90 Y90 F7071", True),
        ("G1 X90 Y90 F7072", False),
        # From 50 to 310 degrees of a circle it runs along an axis; within 40 degrees round 45 it does not.
        ("G3 X50 Y50 I10 J0 F5001", False),
        ("G3 X47.0711 Y57.0711 I-10 J0 F5001", False),
    ],
)
def test_fast_feed_is_judged_by_axis(cut, ok):
    report = judged(body(f"G1 Z-2 F400\n{cut}"))
    assert report.ok is ok
    if not ok:
        (finding,) = report.findings
        assert (finding.code, finding.limit) == ("fast-feed", 5000)
        assert 5000 < finding.amount <= 5001.5


def test_arc_that_runs_along_no_axis_may_be_faster():
    """From 30 to 60 degrees of a circle no axis goes faster than cos 30 of the feed: 5773.5 reach 5000."""
    arc = "G1 Z-2 F400\nG0 Z2\nG0 X68.6603 Y60\nG1 Z-2\nG3 X60 Y68.6603 I-17.3205 J-10 F{}"
    end = "G3 X60 Y67.3205 I-17.3205 J-10"
    text = arc.replace("G3 X60 Y68.6603 I-17.3205 J-10", end.replace("X60 Y67.3205", "X61.3397 Y67.3205"))
    assert judged(body(text.format(5770))).ok
    assert judged(body(text.format(5780))).codes() == ("fast-feed",)


def _starts(text: str, fixture: Fixture = PLAIN) -> spin_up.Starts:
    return spin_up.starts(make_case(read(text, start=waiting_place(fixture)), fixture, RACK))


def test_time_to_the_wood_counts_acceleration_dwell_and_half_a_move():
    """Source: section 4. 40 mm at 5000 mm/min from rest to rest: 0.48 + 0.1667 s; 9 mm: 2 sqrt(9/500);
    of 3 mm down at 300 mm/min the first 1 mm, a third of 0.6 + 0.01 s."""
    text = "G21 G90\nG0 Z10\nG0 X10 Y50\nT1 M6\nM3 S16000\nG4 P0.25\nG0 X50\nG0 Z1\nG1 Z-2 F300\nG0 Z10\nM5\nM30\n"
    found = _starts(text)
    assert found.seconds.tolist() == pytest.approx([0.25 + 0.48 + 1 / 6 + 2 * (9 / 500) ** 0.5 + 0.61 / 3])
    assert (found.dwell.tolist(), found.known.tolist()) == ([0.25], [True])


@pytest.mark.parametrize("seconds, ok", [(0.62, True), (0.6, False)])
def test_spin_up_is_that_of_the_machine(seconds, ok):
    """The way down, 18 mm at rapid and 2 of 4 mm at feed, takes 0.3827 + 0.3067 s to the top of the board."""
    text = f"G21 G90\nG0 Z20\nG0 X50 Y50\nT1 M6\nM3 S16000\nG4 P{{}}\nG0 Z2\n{SLOT}\nG0 Z20\nM5\nM30\n"
    fixture = Fixture(board=BOARD, machine=Machine(spin_up_s=0.3827 + 0.3067 + 0.61))
    report = judged(text.format(seconds), fixture)
    assert report.ok is ok, str(report)
    assert judged(text.format(0), Fixture(board=BOARD, machine=Machine(spin_up_s=0.0))).ok


def test_a_way_from_nowhere_may_take_long_enough():
    text = "G21 G90\nG0 Z3\nT1 M6\nM3 S16000\n{}G1 Z-2 F900\nG0 Z20\nM5\nM30\n"
    assert judged(text.format("G0 X50 Y50\n")).ok
    assert judged(text.format("").replace("G0 Z3", "G0 Z3\nG0 X50 Y50")).codes() == ("spin-up",)


def test_one_start_without_the_dwell_of_all_others_is_found():
    again = "\nG0 Z20\nM5\nT1 M6\nM3 S16000\n{}G0 X50 Y50\nG0 Z2\n" + SLOT
    text = body(SLOT + again.format("G4 P2\n") + again.format(""))
    (finding,) = judged(text).findings
    assert (finding.code, finding.limit) == ("spin-up", 2)
    assert "other starts" in finding.message
    only = body(SLOT + again.format(""))
    assert judged(only).ok, "of one alone no habit can be told"


@pytest.mark.parametrize("stop", ["M0", "M1", "M60"])
def test_stop_with_the_spindle_off_is_sound(stop):
    text = body(f"{SLOT}\nG0 Z20\nM5\n{stop}\nM3 S16000\nG4 P2\nG0 X60 Y60")
    assert judged(text).ok
    (finding,) = judged(text.replace("M5\n" + stop, stop)).findings
    assert (finding.code, finding.severity, finding.line) == ("stop-turning", "danger", 11)


def test_change_of_cutter_stops_the_spindle():
    assert judged(body(SLOT + "\nG0 Z20\nT3 M6\nM3 S16000\nG4 P2\nG0 X60 Y60")).ok


# Form


def test_modes_may_stand_on_the_line_of_the_first_motion():
    text = "G0 G90 G21 Z20\nM30\n"
    assert judged(text).ok
    assert judged(text.replace("G90 ", "")).codes() == ("modes",)
    assert len(judged("G0 Z20\nG21 G90\nM30\n").findings) == 2


def test_beside_a_thing_only_its_own_height_and_place_count():
    fixture = Fixture(board=BOARD, clamps=(Clamp(area=box(80, 100, 120, 120), height=12),))
    text = body(SLOT + "\nG0 Z{}\nG0 X{} Y{} Z20")
    assert judged(text.format(1, 100, 60), fixture).ok, "passes 40 mm from the clamp"
    assert judged(text.format(12.5, 100, 105), fixture).ok, "begins above the clamp"
    (finding,) = judged(text.format(11, 78, 88), fixture).findings
    assert (finding.code, finding.line, finding.amount) == ("sideways-lift", 11, 11)


def test_two_starts_of_one_program_may_lack_what_only_the_end_lacks():
    """What is left on is said of the program's end, not of its middle."""
    assert judged(body(SLOT + "\nG91\nG0 Z5\nG90")).ok


@pytest.mark.parametrize("end", ["M2", "M30"])
def test_everything_left_on_is_said_one_by_one(end):
    text = body(SLOT, end=f"G43 H1\nG91\nG92 X5\n{end}\n")
    found = judged(text).findings
    assert {f.code for f in found} == {"state-left"}
    assert sorted(f.message.split("ends ")[1].split(";")[0] for f in found) == [
        "still in incremental mode", "with a tool length offset on", "with the spindle turning",
        "with the zero moved by G92",
    ]  # fmt: skip
    assert all(f.line == text.splitlines().index(end) + 1 for f in found)


# Places that only the machine knows

SCREWED = Fixture(board=BOARD, screws=screws([(5, 5), (100, 60)], head_diameter=9, height=3))


@pytest.mark.parametrize(
    "home", ["G28", "G30", "G28 Z20", "G91 G28 Z0\nG90", "G53 G0 Z0", "G53 G0 X0 Y0", "G53 G0 X0 Y0 Z0"]
)
@pytest.mark.parametrize("where", ["start", "middle", "end"])
def test_home_is_a_doubt_and_never_a_danger(home, where):
    """Judged as zeros, these would run through screws and board."""
    go = {"start": "", "middle": "", "end": "", where: f"{home}\n"}
    text = (
        f"G21 G90\n{go['start']}G0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X50 Y50\nG0 Z2\n{SLOT}\nG0 Z20\n{go['middle']}"
        f"G0 X150 Y90\nG0 Z2\nG1 Z-1\nG0 Z20\n{go['end']}M5\nM30\n"
    )
    assert judged(text, SCREWED).codes() == ("other-zero",)


def test_first_way_after_home_need_not_lift_again():
    assert judged(f"G21 G90\nG91 G28 Z0\nG90\nT1 M6\nM3 S16000\nG4 P2\nG0 X50 Y50\nG0 Z2\n{SLOT}\nG0 Z20\nM5\nM30\n",
                  SCREWED).codes() == ("other-zero",)  # fmt: skip


def test_way_to_the_place_before_home_is_judged():
    text = body(SLOT + "\nG28 X150 Y50")
    assert "rapid-in-wood" in judged(text).codes()


def test_machine_coordinates_are_judged_where_the_zero_is_known():
    fixture = replace(SCREWED, machine=Machine(travel=(600, 400, 120)), zero_in_machine=(-500, -300, -90))
    text = body(SLOT + "\nG53 G0 Z{}\nG53 G0 X-400 Y-240", end="M5\nM30\n")
    assert judged(text.format(0), fixture).ok
    assert "hold-down" in judged(text.format("-89"), fixture).codes()


@pytest.mark.parametrize("system", ["G55", "G59.3"])
@pytest.mark.parametrize("known", [None, (-500.0, -300.0, -90.0)])
def test_other_work_systems_are_judged_as_the_boards_zero(system, known):
    fixture = replace(SCREWED, machine=Machine(travel=(600, 400, 120)), zero_in_machine=known)
    (finding,) = judged(body(SLOT, head=f"G21 G90 {system}"), fixture).findings
    assert (finding.code, finding.line) == ("other-zero", 1)
    assert judged(body(SLOT, head=f"G21 G90 {system}\nG54"), fixture).ok, "named and not used"


def test_zero_set_at_the_start_is_taken_for_the_place_it_names():
    """The cutter touches the board's corner: the wood comes out as with a known zero."""
    known = body(SLOT)
    text = known.replace("G21 G90\n", "G21 G90\nG92 X0 Y0 Z0\n").replace("M5\n", "G92.1\nM5\n")
    report = judged(text)
    assert report.codes() == ("other-zero",), str(report)
    assert (report.stock.top == judged(known).stock.top).all()
    assert judged(text.replace("G92.1\nM5", "M5")).codes() == ("state-left", "other-zero")


def test_offset_from_before_the_program_is_a_doubt():
    assert judged(body("G92.3\n" + SLOT)).codes() == ("other-zero",)


def test_finding_without_a_place_names_none_and_equals_itself():
    text = "G28\nG55 G21 G90\nG0 Z20\nM3 S9000\nM0\nM5\nM30\nG0 X5\n"
    report = judged(text)
    assert set(report.codes()) == {"other-zero", "stop-turning", "after-end"}
    assert "line 8: the program has ended" in str(report)
    assert report.findings == judged(text).findings


# Heads


def test_head_in_the_right_place_is_sound_and_says_what_differs_elsewhere():
    assert judged(HEADED, FRONT, OURS).ok
    thick = replace(FRONT, board=replace(FRONT.board, thickness=18.001, name="other"))
    assert judged(HEADED, thick, OURS).codes() == ("head-differs",), "a digit of the head"
    (finding,) = judged(HEADED, thick, OURS).findings
    assert (finding.amount, finding.limit, finding.severity) == (18, pytest.approx(18.001), "danger")
    assert "18 mm thick by the program's head, but 18.001 mm" in finding.message
    assert judged(HEADED, replace(FRONT, board=replace(FRONT.board, thickness=18.0004)), OURS).ok


@pytest.mark.parametrize("size", ["3/4", "23/32", "0.7283"])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_rounding_of_the_head_is_no_difference(size, units):
    board = Board(width=inch("8 5/64"), height=inch("6 1/7"), thickness=inch(size))
    rack = [Cutter(1, flat(inch("1/4")), 1200, 16000), Cutter(2, ball(inch("5/32")), 1200, 16000)]
    work = [groove(circle(40, (140, 70)).exterior, rack[1], depth=1), contour(circle(60, (140, 70)), rack[0], depth=4)]
    fixture = Fixture(board=board)
    text = program_text(Setup(fixture, work), title="Odd: sizes", units=units)
    assert judged(text, fixture, rack).ok


def test_cutter_that_is_not_in_the_rack_is_left_to_its_own_check():
    assert judged(HEADED, FRONT, OURS[:3]).codes() == ("unknown-tool",)
