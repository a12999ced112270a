"""Faults by which wood comes loose while the cutter runs, or lies loose already."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial

from planted import Fault, edited, line_of, planted
from shapely import box

from toolpaths.facts.board import Board, Clamp, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.profile import drill_point, flat
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.wood.field import Wood

BOARD = Board(width=240, height=140, thickness=18)
BARE = Fixture(board=BOARD)
SCREWED = replace(BARE, screws=screws([(120, 70)], head_diameter=8, height=2, driven_at="drive the middle screw"),
                  safe_height=10)  # fmt: skip
_CLAMPS = tuple(Clamp(area=box(0, low, 25, low + 30), height=8) for low in (10, 100))
CLAMPED = replace(BARE, overhang=8, clamps=_CLAMPS, safe_height=20)
RACK = [
    Cutter(1, flat(6), 1500, 16000, deepest_pass=18.5, cutting_length=25),
    Cutter(2, flat(3), 800, 18000, cutting_length=20),
    Cutter(3, drill_point(4), 300, 9000, cutting_length=40),
]


def judge(
    text: str, fixture: Fixture = BARE, stock: Wood | None = None, cell: float = 0.5, part: Part | None = None
) -> Report:
    return simulate(text, fixture, RACK, cell=cell, stock=stock, part=part)


# A round opening in four passes; its slug hangs on the middle screw.
ROUND = """%
(round opening, T1 flat 6)
N10 G17 G21 G40 G49 G80 G90 G94
N20 T1 M6
N30 S16000 M3
N35 G0 Z10
N40 G0 X120 Y70
N50 M5
(MSG, drive the middle screw)
N55 M0
N60 S16000 M3
N62 G4 P2
N65 G0 Z10
N70 G0 X147 Y70
N80 G0 Z1
N90 G1 Z-5 F400
N100 G3 X147 Y70 I-27 J0 F1500
N110 G1 Z-10 F400
N120 G3 X147 Y70 I-27 J0 F1500
N130 G1 Z-15 F400
N140 G3 X147 Y70 I-27 J0 F1500
N150 G1 Z-18.2 F400
N160 G3 X147 Y70 I-27 J0 F1500
N170 G0 Z10
N180 M5
N190 M30
%
"""

# A small cover held by a tab on each of its long sides, in inches and lower case.
COVER = """g20 g90 g17 g94
t1 m6
s16000 m3
g0 z0.4
g0 x2.0 y2.0
g0 z0.05
g1 z-0.35 f15
x4.0 f55
y3.5
x2.0
y2.0
z-0.55 f15
x4.0 f55
y3.5
x2.0
y2.0
z-0.72 f15
x2.7 f55
z-0.55
x3.25
z-0.72 f15
x4.0 f55
y3.5
x3.25
z-0.55
x2.7
z-0.72 f15
x2.0 f55
y2.0 (once round)
g0 z0.4
m5
m30
"""

# A frame's inside left on a skin of 0.4 mm, to be cut with a knife.
SKIN = """G21 G90
M3 S16000 T1 M6
G0 Z8
G0 X60 Y40
G0 Z1
F1200
G1 Z-6
G1 X180
G1 Y100
G1 X60
G1 Y40
G1 Z-12
G1 X180
G1 Y100
G1 X60
G1 Y40
G1 Z-17.6
G1 X180
G1 Y100
G1 X60
G1 Y40 (closed)
G0 Z8
M5
M2
"""

# A board clamped at its left corners; a slot across at half depth, then the right end cut off but for a web in the
# middle.
ACROSS = """G90 G21 (cut across)
M6 T1
M3 S15000
G0 Z20
G0 X150 Y-4
G0 Z2
G1 Z-9 F500
G1 Y144 F1000
G0 Z20
G0 X150 Y-4
G0 Z-8
G1 Z-18.2 F500
G1 Y52 F1000
G0 Z20
G0 X150 Y144
G0 Z-8
G1 Z-18.2 F500
G1 Y74 F1000
G0 Z20
M5
M30
"""

# A square hole cleared right through, from the inside out.
INSIDE_OUT = """G21 G90
T1 M6
M3 S16000
G0 Z8
G0 X80 Y70
G0 Z1
G1 Z-18.2 F300 (a plunge)
G1 X82 F1200
G1 Y72
G1 X78
G1 Y68
G1 X82
G1 Y72
G1 X86 Y76
G1 X74
G1 Y64
G1 X86
G1 Y76
G1 X91 Y81
G1 X69
G1 Y59
G1 X91
G1 Y81
G0 Z8
M5
M30
"""
_SECOND = "G1 X86 Y76\nG1 X74\nG1 Y64\nG1 X86\nG1 Y76\n"
_THIRD = "G1 X91 Y81\nG1 X69\nG1 Y59\nG1 X91\nG1 Y81\n"
SWAPPED = INSIDE_OUT.replace(_SECOND + _THIRD, _THIRD + _SECOND)

# The part cut out on the front while screws hold it, and turned over: it lies loose in its frame.
OUTLINE = """G21 G90
T1 M6
M3 S16000
G0 Z10
G0 X40 Y30
G0 Z1
G1 Z-18.2 F300
G1 X200 F1200
G1 Y110
G1 X40
G1 Y30
G0 Z10
M5
M30
"""
PART_SCREWS = screws([(60, 70), (180, 70)], head_diameter=8, height=2)
PART_HELD = replace(BARE, screws=PART_SCREWS, safe_height=10)


@cache
def turned_stock() -> Wood:
    """What OUTLINE leaves, turned over."""
    return judge(OUTLINE, PART_HELD).stock.turned_over("left to right")


# Its back: screws go in at the stop, then a recess in the part and a hole in the frame.
BACK_STOP = "two screws through the part"
BACK = PART_HELD.turned_over("left to right", screws=screws([(60, 70), (180, 70)], head_diameter=8, height=2,
                             driven_at=BACK_STOP), safe_height=10)  # fmt: skip
RECESS = """G21 G90
T1 M6
M3 S16000
G0 Z12
G0 X20 Y70
G0 Z1
G1 Z-6 F300 (a mark in the frame)
G0 Z12
M5
(MSG, two screws through the part)
M0
M3 S16000
G4 P2
G0 Z12
G0 X100 Y60
G0 Z1
G1 Z-5 F300
G1 X140 F1200
G1 Y66
G1 X100
G0 Z12
M5
M30
"""
LOOSE_BACK = PART_HELD.turned_over("left to right", screws=screws([(8, 8), (232, 132)], head_diameter=8, height=2))
FRAME = """g21 g90 (name of the job, in the waste beside the part)
t2 m6
m3 s18000
f700
g0 z9
g0 x70 y12
g0 z1
g1 z-2
g1 x90
g1 y20
g0 z9
g0 x24 y60
g0 z1
g1 z-2
g1 y80
g0 z9
m5
m30
"""


def _back(text: str, fixture: Fixture) -> Report:
    return judge(text, fixture, turned_stock())


def _fault(code: str, what: str, sound: str, text: str, line: str, judged: partial[Report]) -> Fault:
    return Fault(code, what, text, line_of(text, line), judged, sound)


# What the cut on a skin is meant to make: an opening 126 x 66 with round corners, its waste on 0.4 mm of wood.
_SKINNED = partial(judge, part=Part(board=BOARD, front=[
    Parting(area=box(57, 37, 183, 103), waste="inside", tabs=0, skin=0.4, corners=3, name="frame's inside"),
]))  # fmt: skip


def _thick(what: str, old: str, new: str) -> Fault:
    return Fault("not-parted", f"the skin thicker than said {what}", edited(SKIN, old, new)[0], 0, _SKINNED, SKIN)


_SCREWED, _CLAMPED = partial(judge, fixture=SCREWED), partial(judge, fixture=CLAMPED)

FAULTS = [
    planted("screw-stop", "a stop that may be passed", ROUND, "N55 M0", "N55 M1", _SCREWED),
    planted("screw-stop", "a stop on a line that may be skipped", ROUND, "N55 M0", "/N55 M0", _SCREWED),
    planted("screw-stop", "a cutter is changed in place of the stop", ROUND, "N55 M0", "N55 T1 M6", _SCREWED,
            "(MSG, drive the middle screw)"),
    planted("screw-stop", "a stop that says something else", ROUND, "(MSG, drive the middle screw)", "(MSG, brush)",
            _SCREWED, "N55 M0"),
    planted("loose-piece", "nothing holds that is driven at a stop that may be passed", ROUND, "N55 M0", "N55 M01",
            _SCREWED, "N160 G3 X147 Y70 I-27 J0 F1500"),
    planted("loose-piece", "the stop for the screw is lost", ROUND, "N55 M0", "N55 (M0)", _SCREWED,
            "N160 G3 X147 Y70 I-27 J0 F1500"),
    _fault("loose-piece", "the opening lies beside its screw", ROUND, ROUND.replace("X147 Y70", "X207 Y70"),
           "N160 G3 X207 Y70 I-27 J0 F1500", _SCREWED),
    _fault("loose-piece", "both tabs too low by a digit", COVER, COVER.replace("\nz-0.55\n", "\nz-0.72\n"),
           "y2.0 (once round)", judge),
    planted("loose-piece", "the skin cut through", SKIN, "G1 Z-17.6", "G1 Z-18.4", judge,
            "G1 Y40 (closed)"),
    planted("loose-piece", "the skin of the part cut through", SKIN, "G1 Z-17.6", "G1 Z-18", _SKINNED,
            "G1 Y40 (closed)"),
    _thick("all along", "G1 Z-17.6", "G1 Z-17.5"),
    _thick("along one side", "G1 Y40 (closed)", "G1 Y40 Z-17.2 (closed)"),
    planted("loose-piece", "the second cut goes on through the web", ACROSS, "G1 Y74 F1000", "G1 Y47 F1000", _CLAMPED),
    planted("loose-piece", "the first cut goes on through the web", ACROSS, "G1 Y52 F1000", "G1 Y160 F1000", _CLAMPED),
    _fault("loose-piece", "the outer ring before the one within", INSIDE_OUT, SWAPPED, "G1 Y81", judge),
    planted("cuts-loose", "the stop for the screws is lost", RECESS, "M0", "(M0)",
            partial(_back, fixture=BACK), "G1 Z-5 F300"),
    planted("cuts-loose", "the mark comes to lie in the part", RECESS, "G0 X20 Y70", "G0 X120 Y70",
            partial(_back, fixture=BACK), "G1 Z-6 F300 (a mark in the frame)"),
    planted("cuts-loose", "a digit takes the engraving into the part", FRAME, "g0 x24 y60", "g0 x64 y60",
            partial(_back, fixture=LOOSE_BACK), "g1 y80"),
]  # fmt: skip
