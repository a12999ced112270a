"""Faults of tabs: cut away by a later cut, too thin, too narrow, too few."""

from __future__ import annotations

from dataclasses import replace

from planted import Fault, line_of, planted
from planted_pieces import BARE, BOARD, RACK, judge
from shapely import box

from toolpaths.facts.features.parting import Parting
from toolpaths.facts.part import Part
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate

# An outline in two depths, four square tabs 8 mm wide and 4 mm thick, one on each side; a last round at half depth.
FOUR = """(cover 154 x 74, 6 mm cutter)
G21 G90 G17
T1 M6
M3 S16000
G4 P2
G0 Z10
G0 X40 Y30
G0 Z1
G1 Z-9 F400 (first round)
G1 X200 F1200
G1 Y110
G1 X40
G1 Y30
G1 Z-18.2 F400 (second round, over the tabs)
G1 X113 F1200
G1 Z-14
G1 X127
G1 Z-18.2
G1 X200
G1 Y63
G1 Z-14
G1 Y77
G1 Z-18.2
G1 Y110
G1 X127.5
G1 Z-14.0
G1 X113.5
G1 Z-18.2
G1 X40
G1 Y77.5
G1 Z-14
G1 Y63.5
G1 Z-18.2
G1 Y30
G0 Z10
M5
M30
"""

# The same cut, and then the upper edge gone over with the 3 mm cutter along the part's own wall, at half depth.
REST = (
    FOUR.replace("M5\nM30\n", "")
    + """M5
T2 M6
M3 S18000
G4 P2
G0 Z10
G0 X60 Y108.5
G0 Z1
G1 Z-9 F300
G1 X160 F700 (the wall once more)
G0 Z10
M5
M30
"""
)

# A disc with three sloped tabs, arcs given by R, inches, lower case, blanks.
SLOPED = """g20 g90 g17 g94
m6 t1
m3 s16000
g4 p2
g0 z.5
g0 x3.0 y3.9
g0 z.05
g1 z-.3 f15
g2 x3.0 y1.5 r1.2 f50
g2 x3.0 y3.9 r1.2
g1 z-.5 f15
g2 x3.0 y1.5 r1.2 f50
g2 x3.0 y3.9 r1.2
g1 z-.72 f15
g2 x4.2 y2.7 r1.2 f50
g2 x4.165 y2.413 z-.55 r1.2 (up)
g2 x4.039 y2.1 r1.2
g2 x3.849 y1.851 z-.72 r1.2 (down)
g2 x3.0 y1.5 r1.2
g2 x1.8 y2.7 r1.2
g2 x1.835 y2.987 z-.55 r1.2
g2 x1.961 y3.3 r1.2
g2 x2.151 y3.549 z-.72 r1.2
g2 x3.0 y3.9 r1.2
g0 z.5
m5
m30
"""

# Each tab left by stopping before it, lifting clear and going on behind it; over a first round at 13 mm.
LIFTED = """G90 G21
T1M6
M3S15000
G4P3
G0Z8
G0X40Y40
G0Z1
G1Z-13F300
X200F1000
Y100
X40
Y40
G0Z8
G0X40Y40
G0Z-12.5
G1Z-18.2F300
X112F1000
G0Z8
X128
G0Z-12.5
G1Z-18.2F300
X200F1000
Y100
X130
G0Z8
G0X114
G0Z-12.5
G1Z-18.2F300
X40F1000
Y40
G0Z8
M5
M30
"""

# The same outline, and a slot right through the part, in two depths.
SLOT = (
    FOUR.replace("M5\nM30\n", "")
    + """g0 x70 y90
g0 z1
g1 z-9.5 f300
x150 f700
z-18.2 f300
x70 f700
g0 z10
m5
m30
"""
)

MEANT = Part(board=BOARD, front=[Parting(area=box(43, 33, 197, 107), waste="outside", tabs=4)])


def _meant(text: str) -> Report:
    return simulate(text, BARE, RACK, cell=0.5, part=MEANT)


# The same part, with the size of its tabs as well.
_SIZED = replace(MEANT, front=[replace(MEANT.front[0], tab_width=8, tab_height=4)])


def _sized(text: str) -> Report:
    return simulate(text, BARE, RACK, cell=0.5, part=_SIZED)


def _after(sound: str, line: str, more: str) -> str:
    return sound.replace(line + "\n", line + "\n" + more)


_AGAIN = _after(FOUR, "G1 Y63.5\nG1 Z-18.2\nG1 Y30", "G1 X200 (once more)\n")

FAULTS = [
    Fault("tab-cut", "one more time along the edge", _AGAIN, line_of(_AGAIN, "G1 X200 (once more)"), judge, FOUR),
    planted("tab-cut", "the rest pass goes through", REST, "G1 Z-9 F300", "G1 Z-18.2 F300", judge,
            "G1 X160 F700 (the wall once more)"),
    planted("tab-cut", "a digit puts a slot into the outline", SLOT, "g0 x70 y90", "g0 x70 y110", judge, "x70 f700"),
    planted("weak-tab", "a digit of the height", FOUR, "G1 Z-14.0", "G1 Z-17.4", judge),
    planted("weak-tab", "a digit of the length", FOUR, "G1 X127", "G1 X120", judge, "G1 Z-14"),
    planted("weak-tab", "sloped, and too low", SLOPED, "g2 x4.165 y2.413 z-.55 r1.2 (up)",
            "g2 x4.165 y2.413 z-.68 r1.2 (up)", judge),
    planted("tab-size", "lower by a digit", FOUR, "G1 Z-14.0", "G1 Z-15.0", _sized, "G1 X113.5"),
    planted("tab-size", "narrower by a digit", FOUR, "G1 X127", "G1 X125", _sized, "G1 Z-18.2"),
    planted("tab-size", "the rest pass lowers one", REST, "G1 Z-9 F300", "G1 Z-16.9 F300", _sized,
            "G1 X160 F700 (the wall once more)"),
    planted("tab-count", "a tab forgotten", FOUR, "G1 Z-14.0", "G1 Z-18.2", _meant, ""),
    planted("tab-count", "a tab no longer than the cutter is wide", FOUR, "G1 Y63", "G1 Y73", _meant, ""),
]  # fmt: skip
# How many there are is said of no line.
FAULTS = [fault._replace(line=0) if fault.code == "tab-count" else fault for fault in FAULTS]
