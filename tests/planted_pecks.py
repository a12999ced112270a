"""Faults of deep holes, in a program in another hand: chips that are not cleared, by a cycle and spelled out."""

from __future__ import annotations

from functools import cache

from planted import planted

from toolpaths import Board, Cutter, Fixture, drill_point, flat, simulate

FIXTURE = Fixture(board=Board(width=120, height=80, thickness=24, name="ash", wood="hardwood"))
RACK = [
    Cutter(1, drill_point(2), 300, 8000, cutting_length=25),
    Cutter(2, flat(5), 1000, 16000, cutting_length=22),
    Cutter(3, drill_point(6), 400, 6000, cutting_length=40, deepest_peck=8),
]

SOUND = """(ash block, pins)
G90 G21 G17 G94
G0 Z15
T1 M6
S8000 M3
G4 P3
G0 X20 Y20
G98 G83 X20 Y20 Z-18 R1.5 Q3.5 F240
X30
G80
G0 X40 Y20
Z1
G1 Z-7 F250
G0 Z1
Z-6.8
G1 Z-10.5
G0 Z1
Z-10.3
G1 Z-14
G0 Z15
M5
T2 M6
S16000 M3
G4 P3
G0 X20 Y50
Z1
G1 Z-9.5 F200
G0 Z1
Z-9.4
G1 Z-15
G0 Z15
M5
T3 M6
S6000 M3
G4 P3
G0 X60 Y50
Z1
G1 Z-7.5 F300
G0 Z0.5
Z-7.3
G1 Z-15
G0 Z15
M5
M30
"""


@cache
def judge(text: str):
    return simulate(text, FIXTURE, RACK, cell=0.5)


FAULTS = [
    planted("deep-peck", "decimal point lost from Q", SOUND, "G98 G83 X20 Y20 Z-18 R1.5 Q3.5 F240",
            "G98 G83 X20 Y20 Z-18 R1.5 Q35 F240", judge),
    planted("deep-peck", "no cycle of pecks", SOUND, "G98 G83 X20 Y20 Z-18 R1.5 Q3.5 F240",
            "G98 G81 X20 Y20 Z-18 R1.5 F240", judge, "X30"),
    planted("deep-peck", "a sign in the retract", SOUND, "Z-10.3", "G0 Z-10.3\nG1 Z-15\nG0 Z-1", judge, "G1 Z-15"),
    planted("deep-peck", "a mill as deep at once", SOUND, "G1 Z-9.5 F200", "G1 Z-15 F200", judge),
    planted("deep-peck", "the user's own peck passed", SOUND, "G1 Z-7.5 F300", "G1 Z-8.5 F300", judge),
]  # fmt: skip
