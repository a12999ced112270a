"""Faults of countersunk holes: a V cutter plunged into the mouths of two drilled holes, written by hand."""

from __future__ import annotations

from functools import partial

from planted import Fault, edited, line_of
from shapely import MultiPoint

from toolpaths import Board, Cone, CutAlong, Cutter, Fixture, Part, drill_point, simulate, v_point

BOARD = Board(width=120, height=80, thickness=18, name="shelf")
FRONT = Fixture(board=BOARD, grips=(BOARD.outline,))
RACK = (
    Cutter(1, drill_point(4), 600, 8000, plunge_mm_min=300, cutting_length=30),
    Cutter(2, v_point(12, 90), 900, 12000, step_down=6, plunge_mm_min=300),
)
HOLES = MultiPoint([(40, 30), (80, 30)])
# A head 9 wide at 90 degrees sits in a cone 4.5 deep.
PART = Part(
    board=BOARD,
    front=[
        CutAlong(line=HOLES, profile=drill_point(4), depth=12, name="pilot holes"),
        Cone(places=HOLES, diameter=9, angle_deg=90, name="screw heads"),
    ],
)

SOUND = """(two countersunk holes)
G21 G17 G90 G94
G0 Z20
T1 M6
M3 S8000
G4 P2
G98 G83 X40 Y30 Z-12 R2 Q4 F300
X80
G80
T2 M6
M3 S12000
G4 P2
G0 X40 Y30
G0 Z2
G1 Z-4.5 F300
G0 Z2
G0 X80
G1 Z-4.5
G0 Z20
M5
M30
"""


def judge(text: str, cell: float, part: Part = PART):
    return simulate(text, FRONT, RACK, cell=cell, part=part)


# The edit, and the line on which it is found; wood left over is found in the whole program.
_EDITS = [
    ("leftover", "countersink 0.2 too small", "G1 Z-4.5 F300", "G1 Z-4.4 F300", ""),
    ("leftover", "countersink forgotten", "G1 Z-4.5", "", ""),
    ("gouge", "countersink 0.2 too wide", "G1 Z-4.5 F300", "G1 Z-4.6 F300", "G1 Z-4.6 F300"),
    ("gouge", "countersink 0.9 too deep", "G1 Z-4.5", "G1 Z-5.4", "G1 Z-5.4"),
    ("gouge", "countersink 0.2 off its place", "G0 X80", "G0 X80.2", "G1 Z-4.5"),
    ("leftover", "countersink 0.2 off its place", "G0 X80", "G0 X80.2", ""),
    ("gouge", "countersink where no hole is", "G0 X80", "G0 X60", "G1 Z-4.5"),
]


def _fault(code: str, what: str, old: str, new: str, line: str, judged: partial) -> Fault:
    text, _ = edited(SOUND, old, new)
    return Fault(code, what, text, line_of(text, line) if line else 0, judged, SOUND)


FAULTS = [_fault(*row, judged) for row in _EDITS for judged in (partial(judge, cell=0.5), partial(judge, cell=2.0))]
