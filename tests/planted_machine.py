"""Faults of speeds, starts and stops, and of codes that a controller lacks: sound programs, each a slip away."""

from __future__ import annotations

from functools import partial

from planted import Fault, planted
from shapely import box

from toolpaths.base.units import inch
from toolpaths.facts.board import Board, Clamp
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.machine import ALL_CODES, CYCLES, Machine
from toolpaths.facts.profile import drill_point, flat, v_point
from toolpaths.judging.simulate import simulate

RACK = [
    Cutter(1, flat(6), 1200, 16000, cutting_length=25),
    Cutter(2, drill_point(3), 300, 12000, cutting_length=30),
    Cutter(3, v_point(12, 90), 900, 16000),
]
BOARD = Board(width=220, height=140, thickness=18, name="maple")
ROUTER = Machine(travel=(300, 200, 80), rapid_mm_min=4000, spindle_rpm=(8000, 24000), codes=ALL_CODES - {"G83", "G91"})
CLAMPS = tuple(Clamp(area=box(left, 60, left + 15, 80), height=14) for left in (0, 205))
FIXTURE = Fixture(board=BOARD, machine=ROUTER, clamps=CLAMPS)
judge = partial(simulate, fixture=FIXTURE, cutters=RACK, cell=0.5)

# Line numbers, changes by M6, a dwell after every start, cycles, both arc formats.
NUMBERED = """%
N10 G17 G21 G90 G94 G40 G49 G80
N20 G0 Z30
N30 T2 M6
N40 M3 S12000
N50 G4 P2
N60 G0 X40 Y30
N70 G99 G81 X40 Y30 Z-9 R2 F300
N80 X180
N90 Y110
N100 G80
N110 G0 Z30
N120 M5
N130 T1 M6
N140 M3 S16000
N150 G4 P3
N160 G0 X60 Y40
N170 Z2
N180 G1 Z-3 F400
N190 X160 F1200
N200 G3 X170 Y50 R10
N210 G1 Y100
N220 X60
N230 Y40
N240 G0 Z30
N250 M5
N260 (MSG, clear the chips)
N270 M0
N280 M3 S16000
N290 G4 P3
N300 G0 X100 Y70
N310 Z2
N320 G1 Z-2 F400
N330 G2 X100 Y70 I8 J0 F1200
N340 G0 Z30
N350 M5
N360 T3 M6
N370 M3 S16000
N380 G4 P3
N390 G0 X100 Y72
N400 Z2
N410 G1 Z-1 F400
N420 X110
N430 G0 Z30
N440 M5
N450 M30
%
"""

# Lower case, inches, no change of cutter, no dwell: the way down takes long enough.
INCHES = """(one cutter, fitted before the start)
g20 g90 g17
g0z1
m3 s16000
g0 x2.5 y2
z.1
g1 z-.1 f12
x6 f48
g2 x6.5 y2.5 r.5
g1 y4
g0 z1
x0 y0
m5
m2
"""
INCH_FIXTURE = Fixture(
    board=Board(width=inch(9), height=inch(6), thickness=inch("3/4")), machine=Machine(codes=ALL_CODES - CYCLES)
)
judge_inches = partial(simulate, fixture=INCH_FIXTURE, cutters=RACK[:1], cell=0.5)


def _mm(code: str, what: str, old: str, new: str, found_on: str = "") -> Fault:
    return planted(code, what, NUMBERED, old, new, judge, found_on)


def _inch(code: str, what: str, old: str, new: str, found_on: str = "") -> Fault:
    return planted(code, what, INCHES, old, new, judge_inches, found_on)


FAULTS = [
    _mm("spindle-speed", "a nought lost", "N140 M3 S16000", "N140 M3 S1600", "N180 G1 Z-3 F400"),
    _mm("spindle-speed", "a digit slipped", "N40 M3 S12000", "N40 M3 S42000", "N70 G99 G81 X40 Y30 Z-9 R2 F300"),
    _inch("spindle-speed", "a nought too many", "m3 s16000", "m3 s160000", "g1 z-.1 f12"),
    _mm("fast-feed", "a nought too many", "N190 X160 F1200", "N190 X160 F12000"),
    _mm("fast-feed", "on an arc", "N330 G2 X100 Y70 I8 J0 F1200", "N330 G2 X100 Y70 I8 J0 F4200"),
    _inch("fast-feed", "mm for inches", "x6 f48", "x6 f1200"),
    _mm("unknown-code", "pecks that this controller lacks", "N70 G99 G81 X40 Y30 Z-9 R2 F300",
        "N70 G99 G83 X40 Y30 Z-9 R2 Q4 F300"),
    _mm("unknown-code", "incremental, which it lacks too", "N420 X110", "N420 G91 X10\nN425 G90", "N420 G91 X10"),
    _inch("unknown-code", "a cycle", "g1 z-.1 f12", "g81 x2.5 y2 z-.1 r.1 f12\ng80\ng1 z-.1",
          "g81 x2.5 y2 z-.1 r.1 f12"),
    _mm("spin-up", "dwell deleted", "N380 G4 P3", "", "N410 G1 Z-1 F400"),
    _mm("spin-up", "started in front of the hole", "N160 G0 X60 Y40", "N160 M5\nG0 X60 Y40 Z.5\nM3",
        "N180 G1 Z-3 F400"),
    _inch("spin-up", "started just above the wood", "z.1", "m5 z.01\nm3 s16000", "g1 z-.1 f12"),
    _mm("stop-turning", "M5 lost before the stop", "N250 M5", "", "N270 M0"),
    _mm("stop-turning", "stop put in", "N340 G0 Z30", "N340 G0 Z30\nM1", "M1"),
    _inch("stop-turning", "a look at the work", "x0 y0", "m60 x0 y0"),
    _mm("stops-low", "M5 before the lift", "N430 G0 Z30", "N430 M5\nN435 G0 Z30", "N430 M5"),
    _inch("stops-low", "M5 for M3", "g1 y4", "m5 g1 y4"),
]  # fmt: skip
