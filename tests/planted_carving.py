"""Faults of carvings: strokes along the middle of a shape, written by hand."""

from __future__ import annotations

from functools import partial

from planted import Fault, edited, line_of
from shapely import box

from toolpaths import Board, Carving, Cutter, Fixture, Part, simulate, v_point

BOARD = Board(width=120, height=80, thickness=18, name="sign")
FRONT = Fixture(board=BOARD, grips=(BOARD.outline,))
RACK = (Cutter(1, v_point(12, 90), 900, 12000, step_down=6, plunge_mm_min=300),)
# A bar 8 wide at 90 degrees is 4 deep along its middle, which forks into its corners 4 before its ends.
PART = Part(board=BOARD, front=[Carving(area=box(30, 36, 90, 44), angle_deg=90, depth=4, name="bar")])

SOUND = """(a bar)
G21 G17 G90 G94
G0 Z20
T1 M6
M3 S12000
G4 P2
G0 X30 Y36
G0 Z2
G1 Z0 F300
G1 X34 Y40 Z-4 F500
G1 X30 Y44 Z0
G1 X34 Y40 Z-4
G1 X86 F900
G1 X90 Y36 Z0
G1 X86 Y40 Z-4 F500
G1 X90 Y44 Z0
G0 Z20
M5
M30
"""


def judge(text: str, cell: float, part: Part = PART):
    return simulate(text, FRONT, RACK, cell=cell, part=part)


# The edit, and the line on which it is found; wood left over is found in the whole program.
_EDITS = [
    ("leftover", "one corner forgotten", "G1 X90 Y44 Z0", "", ""),
    ("leftover", "middle 0.1 too shallow", "G1 X86 F900", "G1 Z-3.9\nG1 X86 F900\nG1 Z-4", ""),
    ("gouge", "middle 0.1 too deep", "G1 X86 F900", "G1 Z-4.1 F300\nG1 X86 F900\nG1 Z-4", "G1 X86 F900"),
    ("gouge", "0.1 outside the line", "G1 X86 F900", "G1 Y40.1\nG1 X86 F900\nG1 Y40", "G1 X86 F900"),
    ("gouge", "a corner overrun by 1", "G1 X90 Y44 Z0", "G1 X91 Y45 Z0", "G1 X91 Y45 Z0"),
]


def _fault(code: str, what: str, old: str, new: str, line: str, judged: partial) -> Fault:
    text, _ = edited(SOUND, old, new)
    return Fault(code, what, text, line_of(text, line) if line else 0, judged, SOUND)


FAULTS = [_fault(*row, judged) for row in _EDITS for judged in (partial(judge, cell=0.25), partial(judge, cell=1.0))]
