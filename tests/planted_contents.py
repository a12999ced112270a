"""Faults of what goes into the part: a dial and a pane that do not go in, screws too long, a clip that cannot turn."""

from __future__ import annotations

from typing import NamedTuple

from planted import planted
from shapely import box

from toolpaths.facts.board import Board
from toolpaths.facts.contents import goes_in, screwed_in, turning_clip
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import Grip
from toolpaths.facts.part import Part
from toolpaths.facts.profile import flat
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.verify import verify
from toolpaths.shapes.plain_shapes import circle

BOARD = Board(width=160, height=90, thickness=12)
FIXTURE = Fixture(board=BOARD, grips=(Grip(area=box(0, 0, 160, 90), by="tape"),))
RACK = [Cutter(1, flat(10), 1200, 16000, cutting_length=25), Cutter(2, flat(3), 600, 18000, cutting_length=14)]

# A dial of 40 in a round recess about (40, 45), and a pane of 46 x 30 about (115, 45) in a square one whose corners
# have bites of the 3 mm cutter; both 4 deep. A clip's foot lies beside the pane, 1 deep like its swing.
DIAL = goes_in(circle(40, (40, 45)), 3.9, fit=0.4, name="dial")
PANE = goes_in(box(92, 30, 138, 60), (2.0, 0.9), fit=0.2, below=1.0, name="pane and card")
SCREWS = screwed_in([(40, 30), (40, 60)], 6, name="dial screws")
CLIP = turning_clip((115, 72), 16, PANE, name="clip")
PART = Part(board=BOARD, contents=[DIAL, PANE, SCREWS, CLIP])

TEXT = """(dial and pane, front)
G21 G90 G17 G94
G0 Z15
T1 M6
M3 S16000
G4 P3
G0 X40 Y45
G1 Z-2 F300
G1 X45.2 F1200
G3 X45.2 Y45 I-5.2 J0
G1 X53 (out)
G3 X53 Y45 I-13 J0
G1 X55.5
G3 X55.5 Y45 I-15.5 J0 (wall)
G1 X40
G1 Z-4 F300 (dial floor)
G1 X45.2 F1200
G3 X45.2 Y45 I-5.2 J0
G1 X53
G3 X53 Y45 I-13 J0
G1 X55.5
G3 X55.5 Y45 I-15.5 J0 (last)
G1 X40
G0 Z15
G0 X120 Y72
G1 Z-1 F300 (clip floor)
G1 X115 F1200
G1 X121 (swing)
G2 X121 Y72 I-6 J0
G1 X126.2
G2 X126.2 Y72 I-11.2 J0 (reach)
G0 Z15
G0 X100 Y38
G1 Z-2 F300
G1 X130 F1200
Y46
X100
Y52
X130
X133.3 Y34.7
X96.7
Y55.3
X133.3
Y34.7
X130 Y38
X100
G1 Z-4 F300 (pane floor)
G1 X130 F1200
Y46
X100
Y52
X130
X133.3 Y34.7
X96.7
Y55.3
X133.3
Y34.7
G0 Z15
T2 M6
M3 S18000
G4 P3
G0 X93.2 Y31.2
G1 Z-2 F200
G1 X92.86 Y30.86 F600
G1 X93.2 Y31.2
G1 X136.8
X137.14 Y30.86
X136.8 Y31.2
Y58.8
X137.14 Y59.14
X136.8 Y58.8
X93.2
X92.86 Y59.14
X93.2 Y58.8
Y31.2
G1 Z-4 F200
G1 X92.86 Y30.86 F600 (corner)
G1 X93.2 Y31.2
G1 X136.8
X137.14 Y30.86
X136.8 Y31.2
Y58.8
X137.14 Y59.14
X136.8 Y58.8
X93.2
X92.86 Y59.14
X93.2 Y58.8
Y31.2
G0 Z15
M5
M2
"""


class Judged(NamedTuple):
    """What the judge says of a text, one side for all."""

    ok: bool
    findings: tuple[Finding, ...]


def judge(text: str) -> Judged:
    report = verify([(text, FIXTURE)], RACK, cell=0.5, part=PART)
    # The part names its contents alone, not what is cut: that wood is missing there is no fault here.
    findings = tuple(each.finding for each in report.findings if each.finding.code not in ("gouge", "leftover"))
    return Judged(not findings, findings)


def fault(code: str, what: str, old: str, new: str):
    return planted(code, what, TEXT, old, new, judge)._replace(line=0)


FAULTS = [
    fault("does-not-go-in", "dial recess a tenth too shallow", "G1 Z-4 F300 (dial floor)", "G1 Z-3.8 F300"),
    fault("does-not-go-in", "dial recess too narrow at its foot", "G3 X55.5 Y45 I-15.5 J0 (last)", "G1 X55.1"),
    fault("does-not-go-in", "one corner of the pane not relieved", "G1 X92.86 Y30.86 F600 (corner)", "G1 X93.2 F600"),
    fault("does-not-go-in", "dial deeper than its play", "G1 Z-4 F300 (dial floor)", "G1 Z-4.6 F300"),
    fault("screw-through", "dial recess too deep for its screws", "G1 Z-4 F300 (dial floor)", "G1 Z-5 F300"),
    fault("screw-through", "digits changed places", "G1 Z-4 F300 (dial floor)", "G1 Z-6.4 F300"),
    fault("clip-swing", "swing cut too small", "G2 X126.2 Y72 I-11.2 J0 (reach)", "G1 X126.2"),
    fault("clip-swing", "swing half a millimetre higher", "G1 X126.2", "G1 X126.2 Z-0.5"),
]
