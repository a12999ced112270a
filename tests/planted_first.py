"""Faults of setting up and of where the cutter goes: the checks that come first."""

from __future__ import annotations

import re
from functools import partial

from planted import Fault, line_of, planted
from shapely import box

from toolpaths.facts.board import Board, Clamp, Dowel, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.machine import Machine
from toolpaths.facts.profile import ball, drill_point, flat, v_point
from toolpaths.judging.simulate import simulate

BOARD = Board(width=200, height=120, thickness=18)
DOWELS = (Dowel(x=10, y=60, diameter=8, depth=6, standing=3), Dowel(x=190, y=60, diameter=8, depth=6, standing=3))
FRONT = Fixture(
    board=BOARD,
    screws=screws([(50, 20), (150, 20)], head_diameter=9, height=2, driven_at="drive the screws"),
    clamps=(Clamp(area=box(80, 100, 120, 120), height=12),),
    dowels=DOWELS,
    spoilboard_thickness=12,
    machine=Machine(travel=(300, 200, 80)),
)
BACK = FRONT.turned_over("left to right")
RACK = [
    Cutter(1, flat(6), 1200, 16000, cutting_length=25, stick_out=28),
    Cutter(2, drill_point(3), 300, 12000, cutting_length=30),
    Cutter(3, v_point(12, 90), 900, 16000),
    Cutter(4, flat(10), 900, 16000, centre_cutting=False),
    Cutter(5, flat(4), 900, 16000, cutting_length=12, stick_out=30),
    Cutter(6, ball(12), 900, 16000),
]

# A sound front: pilots, stop, a groove, a pocket in two levels, a dowel hole, an outline with the
# clamp kept clear of, and a cutter that cannot plunge entering on a slope and in a hole already made.
SOUND = """(sound program)
G21 G90 G17 G94
G0 Z20
T2 M6
M3 S12000
F300
G98 G83 X50 Y20 Z-10 R2 Q4
X150 Y20
G80
M5
(MSG, drive the screws)
M0
T1 M6
M3 S16000
G0 Z20
G0 X30 Y50
G0 Z2
G1 Z-4 F400
G1 X90 F1200
G1 Y80
G1 X30
G1 Y50
G0 Z20
G0 X30 Y50
G0 Z-3.5
G1 Z-8
G1 X90
G0 Z20
G0 X11 Y60
G0 Z1
G1 Z0 F400
G3 X11 Y60 Z-6 I-1 J0 F800
G3 X11 Y60 Z-12 I-1 J0
G3 X11 Y60 Z-18 I-1 J0
G3 X11 Y60 Z-24 I-1 J0
G3 X11 Y60 I-1 J0
G0 Z20
T4 M6
M3 S16000
G0 X120 Y60
G0 Z1
G1 Z0 F900
G1 X170 Z-3
G1 X120
G1 X170 Z-6
G1 X120
G0 Z20
G0 X140 Y60
G1 Z-6
G0 Z20
T6 M6
M3 S12000
G0 X60 Y90
G0 Z1
G1 Z-2
G1 X70
G0 Z20
M5
M30
"""

SOUND_BACK = """G21 G90
G0 Z20
T1 M6
M3 S16000
F900
G0 X60 Y60
G1 Z-5
G2 X60 Y60 I20 J0
G0 Z20
M5
M30
"""


judge_front = partial(simulate, fixture=FRONT, cutters=RACK, cell=0.5)
judge_back = partial(simulate, fixture=BACK, cutters=RACK, cell=0.5)

NO_ARC = SOUND_BACK.replace("G2 X60 Y60 I20 J0", "X80")


def _front(code: str, what: str, old: str, new: str, found_on: str = "") -> Fault:
    return planted(code, what, SOUND, old, new, judge_front, found_on)


def _back(code: str, what: str, old: str, new: str, found_on: str = "", sound: str = SOUND_BACK) -> Fault:
    return planted(code, what, sound, old, new, judge_back, found_on)


def _throughout(code: str, what: str, old: str, new: str, found_on: str) -> Fault:
    """A slip over several lines, or wherever the same words stand; found on the line that reads `found_on`."""
    text = re.sub(old, new, SOUND)
    return Fault(code, what, text, line_of(text, found_on), judge_front, SOUND)


DEEP_SLOT = "G0 Z20\nT5 M6\nM3 S12000\nG0 X60 Y40\nG1 Z-13"
FIRST_CYCLE = "G98 G83 X50 Y20 Z-10 R2 Q4"

FAULTS = [
    _front("unreadable", "a letter for a digit", "G1 X90 F1200", "G1 X9O F1200"),
    _front("unreadable", "arc that misses its end", "G3 X11 Y60 Z-12 I-1 J0", "G3 X11 Y61 Z-12 I-1 J0"),
    Fault("unreadable", "end missing", SOUND.replace("M30\n", ""), len(SOUND.splitlines()) - 1, judge_front, SOUND),
    _front("too-deep", "digit slipped in a pocket", "G1 Z-8", "G1 Z-18.8"),
    _front("too-deep", "dowel hole too deep", "G3 X11 Y60 Z-24 I-1 J0", "G3 X11 Y60 Z-24.5 I-1 J0"),
    _front("too-deep", "dowel hole through the spoilboard", "G3 X11 Y60 Z-24 I-1 J0", "G3 X11 Y60 Z-42 I-1 J0"),
    _throughout("too-deep", "deep hole that is no dowel's", "X11 Y60", "X41 Y90", "G3 X41 Y90 Z-24 I-1 J0"),
    _front("too-deep", "drill point through", "X150 Y20", "X150 Y20 Z-18.6"),
    _front("off-board", "sign slipped", "G1 X90 F1200", "G1 X-2 F1200"),
    _front("off-board", "outline past the right edge", "G1 X70", "G1 X199"),
    _front("travel", "a decimal point lost", "G0 X140 Y60", "G0 X1400 Y60"),
    _front("travel", "too high", "G0 Z20", "G0 Z200"),
    _front("rapid-in-wood", "G1 forgotten", "G1 X90 F1200", "G0 X90 F1200"),
    _front("rapid-in-wood", "approach too low", "G0 Z2", "G0 Z-2"),
    _front("rapid-in-wood", "second level entered too deep", "G0 Z-3.5", "G0 Z-4.5"),
    _front("rapid-in-wood", "retract lost", "G0 X11 Y60", "G0 X11 Y60 Z-1"),
    _front("spindle-off", "spindle never started", "M3 S12000", "M5 S12000", FIRST_CYCLE),
    _front("spindle-off", "wrong way round", "M3 S16000", "M4 S16000", "G1 Z-4 F400"),
    _front("spindle-off", "down into the groove before it turns", "G0 Z-3.5", "M5\nG0 Z-3.5\nM3", "G0 Z-3.5"),
    _throughout("spindle-off", "down into the slot, then started", "M3 S12000\nG0 X60 Y90\nG0 Z1\n",
                "G0 X150 Y60\nG0 Z-4\nM3 S12000\nG0 Z20\nG0 X60 Y90\nG0 Z1\n", "G0 Z-4"),
    _throughout("spindle-off", "no speed", "S1[26]000", "S0", FIRST_CYCLE),
    _back("no-feed", "feed lost", "F900", "", "G1 Z-5"),
    _front("no-feed", "feed of nothing", "G1 X90 F1200", "G1 X90 F0"),
    _front("plunge", "straight down with a cutter that cannot", "G1 X170 Z-3", "G1 Z-3"),
    _front("plunge", "beside the slot made for it", "G0 X140 Y60", "G0 X140 Y72", "G1 Z-6"),
    _front("flutes", "wrong cutter, too short for the dowel hole", "T1 M6", "T5 M6", "G3 X11 Y60 Z-18 I-1 J0"),
    _front("flutes", "slot deeper than the flutes", "G1 X70", f"G1 X70\n{DEEP_SLOT}", "G1 Z-13"),
    _front("hold-down", "through a screw at feed", "G1 X90 F1200", "G1 X50 Y20 F1200"),
    _front("hold-down", "low rapid over a screw", "G0 Z2", "G0 Z2\nG0 X50 Y22 Z1", "G0 X50 Y22 Z1"),
    _front("hold-down", "rapid into the clamp", "G0 Z2", "G0 Z2\nG0 X95 Y104 Z10", "G0 X95 Y104 Z10"),
    _front("hold-down", "nut against the clamp", "G1 Y80", "G1 Y93 Z-18"),
    _back("hold-down", "pin on the back", "G2 X60 Y60 I20 J0", "G1 X13 Y60"),
    _back("hold-down", "rapid over a pin", "G0 X60 Y60", "G0 X10 Y60 Z2"),
    _front("screw-hole", "a pilot hole lost", "X150 Y20", "", "M0"),
    _front("screw-hole", "a pilot hole beside its screw", "X150 Y20", "X151.5 Y20"),
    _front("screw-hole", "a pilot hole far from its screw", "X150 Y20", "X105 Y20"),
    _front("optional-stop", "the change on a line that may be skipped", "T4 M6", "/T4 M6"),
    _front("optional-stop", "another change on such a line", "T6 M6", "/ T6 M6"),
    _front("unknown-tool", "no such cutter", "T4 M6", "T9 M6"),
    _throughout("unknown-tool", "change forgotten", r"T[124] M6\n", "", FIRST_CYCLE),
    _throughout("waits-low", "change in the wood", "G0 Z20\nT4 M6", "T4 M6", "T4 M6"),
    _throughout("waits-low", "change just above the wood", "G0 Z20\nT4 M6", "G0 Z1\nT4 M6", "T4 M6"),
    _throughout("waits-low", "change lower than the clamp", "G0 Z20\nT6 M6", "G0 Z11.5\nT6 M6", "T6 M6"),
    _throughout("waits-low", "end in the wood", "G0 Z20\nM5\nM30", "M5\nM30", "M30"),
    _front("first-move", "lift forgotten", "G0 Z20", "G0 X5 Y5"),
    _front("first-move", "lift and move on one line", "G0 Z20", "G0 X5 Y5 Z20"),
    _front("first-move", "lifted, then lowered again", "G0 Z20", "G0 Z20\nG0 Z3", FIRST_CYCLE),
    _back("first-move", "cut at a Y never named", "G0 X60 Y60", "G0 X60", "G1 Z-5", NO_ARC),
    _front("first-move", "lift lower than the clamp", "G0 Z20", "G0 Z8", FIRST_CYCLE),
]  # fmt: skip
