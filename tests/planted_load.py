"""Faults of the load on the cutter: too deep, too wide, chips too thick or thin, down too steep or too fast."""

from __future__ import annotations

from functools import cache

from planted import planted

from toolpaths import Board, Cutter, Fixture, ball, drill_point, flat, simulate, v_point

BOARD = Board(width=200, height=120, thickness=18, name="pine", wood="softwood")
FIXTURE = Fixture(board=BOARD, spoilboard_depth=0.5)
RACK = [
    Cutter(1, flat(6), 1500, 18000, step_down=3, plunge_mm_min=500, ramp_angle_deg=5, cutting_length=25),
    Cutter(2, drill_point(3), 400, 9000, plunge_mm_min=300, cutting_length=30),
    Cutter(3, flat(8), 1600, 16000, widest_cut=0.6, cutting_length=25, flutes=3),
    Cutter(4, flat(6), 1500, 18000, cutting_length=25, chip_load_mm=(0.03, 0.08)),
    Cutter(5, ball(6), 1200, 18000, cutting_length=25),
    Cutter(6, v_point(12, 90), 1200, 16000, plunge_mm_min=400),
    Cutter(7, flat(10), 1500, 16000, cutting_length=12, stick_out=14),
    Cutter(8, flat(40), 1500, 9000, cutting_length=20),
]

# A groove in three passes, each entered on a ramp of 40 mm; a hole 9 wide on a helix; a finishing cut
# to the full depth along its edge; holes, plain and by cycle.
NUMBERED = """N10 (groove, bore, holes)
N20 G21 G90 G17 G94
N30 G0 Z15
N40 T1 M6
N50 M3 S18000
N60 G4 P2
N70 G0 X30 Y30
N80 G0 Z1
N90 G1 Z0 F500
N100 G1 X70 Z-3 F1400
N105 G1 X110
N110 G1 X30
N120 G1 X70 Z-6
N125 G1 X110
N130 G1 X30
N140 G1 X110 Z-9
N150 G1 X30
N160 G1 Y31.4
N170 G1 X110 F1500
N180 G0 Z15
N190 G0 X151.5 Y60
N200 G0 Z1
N210 G1 Z0 F500
N220 G3 X151.5 Y60 Z-3 I-1.5 J0 F700
N230 G3 X151.5 Y60 Z-6 I-1.5 J0
N240 G3 X151.5 Y60 Z-9 I-1.5 J0
N250 G3 X151.5 Y60 I-1.5 J0
N260 G1 X150
N270 G0 Z15
N280 M5
N290 T2 M6
N300 M3 S9000
N310 G4 P2
N320 G0 X30 Y90
N330 G98 G83 X30 Y90 Z-12 R1 Q4 F400
N340 X50
N350 G80
N360 G0 X70 Y90
N370 G0 Z1
N380 G1 Z-9 F350
N390 G0 Z15
N400 M5
N410 M30
"""

# A recess cleared from its edge: slot with one cutter, then widened by another that may not slot.
WIDENED = """(widen a slot)
g21 g90 g17 g94
g0 z15
t4 m6
m3 s18000
g4 p2
g0 x40 y40
g0 z1
g1 z-4 f500
g1 x120 f1500
g1 y50
g1 x40
g1 y40
g0 z15
m5
t3 m6
m3 s16000
g4 p2
g0 x44 y44
g0 z1
g1 z-4 f500
g1 x116 f1500
g1 y46
g1 x44
g1 y44
g0 z15
m5
m30
"""

# Inches: a sign of V lines and a hollow by a ball, in shallow passes.
INCHES = """(sign and hollow)
G20 G90 G17 G94
G0 Z.6
T6 M6
M3 S16000
G4 P2
G0 X1. Y1.
G0 Z.04
G1 Z-.06 F15
G1 X2. F45
G2 X2.5 Y1.5 R.5
G1 Y3.
G0 Z.6
M5
T5 M6
M3 S18000
G4 P2
G0 X4. Y1.
G0 Z.04
G1 Z-.1 F15
G1 Y3. F40
G1 Z-.2 F15
G1 Y1. F40
G1 X4.03
G1 Y3.
G0 Z.6
M5
M30
"""


# A round hollow made by a wide cutter, and work on its floor with one that sticks out less than it is deep.
HOLLOW = """%
(hollow)
G21 G90 G17 G94
G0 Z20
T8 M6
M3 S9000
G4 P2
G0 X60 Y60
G0 Z1
G1 Z-8 F300
G1 Z-16
G0 Z20
M5
T7 M6
M3 S16000
G4 P2
G0 X60 Y60
G0 Z-15.8
G1 Z-17 F500
G1 X66 F1200
G1 Y66
G0 Z-14
G0 Y60
G0 X60
G1 Z-17 F500
G1 Y54 F1200
G0 Z20
M5
M30
%
"""


@cache
def judge(text: str):
    return simulate(text, FIXTURE, RACK, cell=0.5)


FAULTS = [
    planted("deep-pass", "a pass left out", NUMBERED, "N120 G1 X70 Z-6", "N120 G1 X70", judge, "N140 G1 X110 Z-9"),
    planted("deep-pass", "digit slipped", NUMBERED, "N150 G1 X30", "N150 G1 X130", judge),
    planted("deep-pass", "wrong row", NUMBERED, "N160 G1 Y31.4", "N160 G1 Y41.4", judge),
    planted("deep-pass", "level below the last pass", NUMBERED, "N150 G1 X30", "N150 G1 X30 Z-14", judge),
    planted("deep-pass", "metric depth in inches", INCHES, "G1 Z-.2 F15", "G1 Z-.5 F15", judge, "G1 Y1. F40"),
    planted("wide-pass", "slot by the cutter that may not", WIDENED, "g1 x116 f1500", "g1 x146 f1500", judge),
    planted("wide-pass", "row too far over", WIDENED, "g1 y46", "g1 y55", judge, "g1 x44"),
    planted("wide-pass", "into full wood", WIDENED, "g1 x44", "g1 x24", judge),
    planted("chip-load", "digit lost from the feed", NUMBERED, "N170 G1 X110 F1500", "N170 G1 X110 F150", judge),
    planted("chip-load", "decimal point slipped", INCHES, "G1 X2. F45", "G1 X2. F4.5", judge),
    planted("chip-load", "speed slipped", WIDENED, "m3 s18000", "m3 s8000", judge, "g1 x120 f1500"),
    planted("chip-load", "a tenth on the helix", NUMBERED, "N220 G3 X151.5 Y60 Z-3 I-1.5 J0 F700",
            "N220 G3 X151.5 Y60 Z-3 I-1.5 J0 F70", judge),
    planted("chip-load", "a tenth on the ramp", NUMBERED, "N100 G1 X70 Z-3 F1400", "N100 G1 X70 Z-3 F140", judge),
    planted("chip-load", "a tenth straight down", WIDENED, "g1 z-4 f500", "g1 z-4 f50", judge),
    planted("chip-load", "a drill at a tenth", NUMBERED, "N380 G1 Z-9 F350", "N380 G1 Z-9 F35", judge),
    planted("chip-load", "own range left", WIDENED, "g1 x120 f1500", "g1 x120 f1000", judge),
    planted("steep-ramp", "digit lost", NUMBERED, "N100 G1 X70 Z-3 F1400", "N100 G1 X37 Z-3 F1000", judge),
    planted("steep-ramp", "ramp to the pass after", NUMBERED, "N100 G1 X70 Z-3 F1400", "N100 G1 X70 Z-6 F1400", judge),
    planted("steep-ramp", "short ramp", NUMBERED, "N140 G1 X110 Z-9", "N140 G1 X54 Z-9", judge),
    planted("steep-ramp", "a turn of the helix left out", NUMBERED, "N230 G3 X151.5 Y60 Z-6 I-1.5 J0", "", judge,
            "N240 G3 X151.5 Y60 Z-9 I-1.5 J0"),
    planted("nut-in-wood", "too far across", HOLLOW, "G1 X66 F1200", "G1 X74 F1200", judge),
    planted("nut-in-wood", "rapid at depth", HOLLOW, "G0 Z-14", "G0 X74.5", judge),
    planted("nut-in-wood", "sign slipped", HOLLOW, "G1 Y54 F1200", "G1 Y45 F1200", judge),
    planted("fast-plunge", "feed of the pass", WIDENED, "g1 z-4 f500", "g1 z-4 f5000", judge),
    planted("fast-plunge", "feed for the plunge lost", INCHES, "G1 Z-.06 F15", "G1 Z-.06 F45", judge),
    planted("fast-plunge", "drilling cycle", NUMBERED, "N330 G98 G83 X30 Y90 Z-12 R1 Q4 F400",
            "N330 G98 G83 X30 Y90 Z-12 R1 Q4 F4000", judge),
    planted("fast-plunge", "drill at the feed of the mill", NUMBERED, "N380 G1 Z-9 F350", "N380 G1 Z-9 F1350", judge),
    planted("fast-plunge", "straight into a V line", INCHES, "G1 Z-.06 F15", "G1 X1.1 Z-.26 F45", judge),
    planted("fast-plunge", "nearly upright, less than a quarter of the diameter", NUMBERED,
            "N100 G1 X70 Z-3 F1400", "N100 G1 X30.07 Z-1.3 F1400\nN102 G1 X70 Z-3", judge),
    planted("fast-plunge", "steep and fast", NUMBERED, "N100 G1 X70 Z-3 F1400", "N100 G1 X33 Z-3 F1400", judge),
]  # fmt: skip
