"""Faults of hanger slots: an undercut cutter that goes in, along and back, written by hand and by keyhole_slot()."""

from __future__ import annotations

from functools import partial

from planted import Fault
from shapely import MultiLineString

from toolpaths import Board, Cutter, Fixture, Keyhole, Part, flat, simulate, undercut

BOARD = Board(width=160, height=90, thickness=18, name="plaque")
BACK = Fixture(board=BOARD, turned="left to right", grips=(BOARD.outline,))
HEAD = undercut(9.5, 3.2, 4.8)
RACK = (Cutter(1, flat(6), 1200, 16000, plunge_mm_min=400), Cutter(2, HEAD, 800, 16000, plunge_mm_min=250))
# Seen from the front: the slots go up from holes at X40 and X120 of the board as it lies with its back up.
PART = Part(
    board=BOARD,
    back=[
        Keyhole(line=MultiLineString([[(x, 50), (x, 66)] for x in (40, 120)]), profile=HEAD, depth=8, name="hangers")
    ],
)

SOUND = """(two hanger slots in the back of a plaque)
G21 G17 G90 G94
G0 Z20
T2 M6
M3 S16000
G4 P3
G0 X40 Y50
G0 Z2
G1 Z-8 F250
G1 Y66 F800
G1 Y50
G1 Z2
G0 X120
G1 Z-8 F250
G1 Y66 F800
G1 Y50
G1 Z2
G0 Z20
M5
M30
"""


def judge(text: str, cell: float, part: Part | None = PART):
    return simulate(text, BACK, RACK, cell=cell, part=part)


_FIRST = "G1 Y66 F800\nG1 Y50\nG1 Z2\nG0 X120\n"
_RECESS = "G0 Z20\nT1 M6\nM3 S16000\nG4 P3\nG0 X{0} Y58\nG0 Z2\nG1 Z-{1} F250\nG1 X{2} F800\n"
_RAMP = "G0 X80 Y30\nG0 Z2\nG1 X60 Z-7 F250\nG1 Z-8\nG1 Z2\n"
_ROUND = "G0 X80 Y50\nG0 Z2\nG1 Z-8 F250\nG2 I0 J-4 F800\nG1 Z2\n"
# What stands for some lines of the program, and the line on which the fault is found, 0 for any; and whether the part
# is judged, which does not have what is cut besides.
_EDITS = [
    ("trapped", "lifted at the end of the slot", _FIRST, "G1 Y66 F800\nG1 Z2\nG0 X120\n", 11),
    ("trapped", "rapid up at the end of the slot", _FIRST, "G1 Y66 F800\nG0 Z2\nG0 X120\n", 11),
    ("trapped", "back not quite to the hole", "G1 Y50\nG1 Z2\nG0 X120\n", "G1 Y50.3\nG1 Z2\nG0 X120\n", 12),
    ("trapped", "ramps up out of the slot", "G1 Y50\nG1 Z2\nG0 X120\n", "G1 Y50 Z2\nG0 X120\n", 11),
    ("trapped", "rises on the way back", "G1 Y50\nG1 Z2\nG0 X120\n", "G1 Y50 Z-7\nG1 Z2\nG0 X120\n", 11),
    ("trapped", "rapid up in the hole", "G1 Y50\nG1 Z2\nG0 X120\n", "G1 Y50\nG0 Z2\nG0 X120\n", 12),
    ("undercut", "slot 0.1 too long", _FIRST, _FIRST.replace("Y66", "Y66.1"), 10),
    ("not-undercut", "slot 0.1 too short", _FIRST, _FIRST.replace("Y66", "Y65.9"), 0),
    ("undercut", "slot 0.1 too deep", "G1 Z-8 F250\nG1 Y66", "G1 Z-8.1 F250\nG1 Y66", 10),
    ("not-undercut", "slot forgotten", "G1 Y66 F800\nG1 Y50\nG1 Z2\nG0 X120\n", "G1 Z2\nG0 X120\n", 0),
    ("undercut", "slot aslant", _FIRST, "G1 X41 Y66 F800\nG1 X40 Y50\nG1 Z2\nG0 X120\n", 10),
    ("shoulder-cut", "a groove across the slot", "G0 Z20\nM5\n", _RECESS.format(30, 4, 50) + "G0 Z20\nM5\n", 25),
    ("trapped", "down on a ramp, and up where it ends", "G0 Z20\nM5\n", _RAMP + "G0 Z20\nM5\n", 22),
    ("shoulder-cut", "slots round a post", "G0 Z20\nM5\n", _ROUND + "G0 Z20\nM5\n", 0),
    ("shoulder-cut", "a groove just to the slot", "G0 Z20\nM5\n", _RECESS.format(20, 3.5, 34) + "G0 Z20\nM5\n", 25),
]


def _fault(code: str, what: str, old: str, new: str, line: int, judged: partial) -> Fault:
    assert old in SOUND
    at = SOUND.rindex(old) if old.startswith("G0 Z20") else SOUND.index(old)
    return Fault(code, what, SOUND[:at] + new + SOUND[at + len(old) :], line, judged, SOUND)


FAULTS = [_fault(*row, judged) for row in _EDITS for judged in (partial(judge, cell=0.5), partial(judge, cell=2.0))]
