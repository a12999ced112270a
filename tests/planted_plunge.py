"""Faults of the way down of a cutter that does not cut at its centre: too narrow for its dead middle, by hand."""

from __future__ import annotations

from functools import cache

from planted import Fault, edited, line_of, planted

from toolpaths import Board, Cutter, Fixture, flat, simulate

FIXTURE = Fixture(board=Board(width=120, height=80, thickness=18, wood="softwood"))
RACK = [Cutter(1, flat(6), 1500, 16000, centre_cutting=False, cutting_length=20)]

# A hole on a helix, one on a helix written as chords, and a short slot entered to and fro, each 2 mm deep or less.
SOUND = """(holes for cable ties)
G21 G90 G17 G94
G0 Z20
T1 M6
M3 S16000
G4 P3
G0 X32 Y30
G0 Z1
G1 Z0 F900
G3 X32 Y30 Z-0.5 I-2 J0 F1200
G3 X32 Y30 Z-1 I-2 J0
G3 X32 Y30 Z-1.5 I-2 J0
G3 X32 Y30 Z-2 I-2 J0
G3 X32 Y30 I-2 J0
G0 Z20
G0 X60 Y30
G0 Z1
G1 Z0 F900
G91
G1 X4 Z-0.2 F1200
G1 Y4 Z-0.2
G1 X-4 Z-0.2
G1 Y-4 Z-0.2
G1 X4
G1 Y4
G1 X-4
G1 Y-4
G90
G0 Z20
G0 X80 Y50
G0 Z1
G1 Z0 F900
G1 X92 Z-1 F1200
G1 X80 Z-2
G1 X92
G1 X80
G0 Z20
M5
M30
"""


@cache
def judge(text: str):
    return simulate(text, FIXTURE, RACK, cell=0.5)


def _throughout(what: str, pairs: list[tuple[str, str]], found_on: str) -> Fault:
    """A slip of one kind on several lines."""
    text = SOUND
    for old, new in pairs:
        text, _ = edited(text, old, new)
    return Fault("plunge", what, text, line_of(text, found_on), judge, SOUND)


TURNS = [f"G3 X32 Y30{z} I-{{}} J0{f}" for z, f in ((" Z-0.5", " F1200"), (" Z-1", ""), (" Z-1.5", ""), (" Z-2", ""))]
CHORDS = ["G1 X{} Z-0.2 F1200", "G1 Y{} Z-0.2", "G1 X-{} Z-0.2", "G1 Y-{} Z-0.2"]
CHORDS += [chord.removesuffix(" F1200").removesuffix(" Z-0.2") for chord in CHORDS]
STROKES = ["G1 X92 Z-1 F1200", "G1 X80 Z-2", "G1 X92", "G1 X80"]
SHORT = ["G1 X81 Z-0.2 F1200\nG1 X80 Z-0.4", "G1 X81 Z-0.6\nG1 X80 Z-0.8", "G1 X81 Z-1\nG1 X80 Z-1.2", "G1 X81\nG1 X80"]

FAULTS = [
    _throughout("helix of the wrong radius", [(turn.format("2"), turn.format("0.7")) for turn in TURNS],
                "G3 X32 Y30 Z-1 I-0.7 J0"),
    _throughout("decimal point slipped in chords", [(chord.format("4"), chord.format("0.4")) for chord in CHORDS],
                "G1 X-0.4 Z-0.2"),
    _throughout("to and fro by a millimetre", list(zip(STROKES, SHORT, strict=True)), "G1 X80 Z-0.8"),
    planted("plunge", "a ramp of two millimetres", SOUND, "G1 X92 Z-1 F1200",
            "G1 X82 Z-0.3 F1200\nG0 Z1\nG0 X80\nG1 Z0", judge),
]  # fmt: skip
