"""Faults of form: modes never named, states left on, words never used, places that only the machine knows."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from planted import Fault, edited, planted
from planted_machine import BOARD, FIXTURE, INCHES, NUMBERED, RACK, judge, judge_inches

from toolpaths.facts.board import Dowel, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.machine import Machine
from toolpaths.facts.profile import ball, bull_nose, drill_point, flat
from toolpaths.judging.simulate import simulate
from toolpaths.making.operations.contour import contour
from toolpaths.making.operations.drill import drill
from toolpaths.making.operations.groove import groove
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.program import program_text
from toolpaths.shapes.plain_shapes import circle

KNOWN = Fixture(board=BOARD, machine=Machine(travel=(600, 400, 120)), zero_in_machine=(-500, -300, -90))
judge_known = partial(simulate, fixture=KNOWN, cutters=RACK, cell=0.5)

# Length offsets, the next cutter called early, machine coordinates where the zero is known, incremental pieces.
OFFSETS = """G21 G90 G54 G17 G94
G53 G0 Z0
T1 M6
T2
M3 S16000
G4 P3
G0 X40 Y40
G43 H1 Z10
G1 Z-2 F400
G91 X60 F1200
Y30
X-60
Y-30
G90
G0 Z10
M5
G49 G53 G0 Z0
T2 M6
T1
M3 S12000
G4 P3
G0 X50 Y50
G43 H2 Z10
G81 X50 Y50 Z-8 R2 F300
G80
G0 Z10
M5
G49
G53 G0 Z0
M2
"""

# Only rough places: screws in the way, low lifts between cuts.
LOW = """( lifts no higher than needed )
G90 G21
G0 Z12
T1 M6
M3 S16000
G0 X100 Y20
G0 Z1
G1 Z-2 F900
G1 X140
G0 Z1
G0 X150 Y40 Z6
G0 Z1
G1 Z-2
G1 X180
G0 Z6
G0 X20 Y20 Z12
M5
M30
"""
SCREWED = Fixture(board=BOARD, screws=screws([(120, 60), (20, 120)], head_diameter=9, height=3))
judge_low = partial(simulate, fixture=SCREWED, cutters=RACK, cell=0.5)

# Our own, so that the head can be held against what lies on the machine.
DOWELS = tuple(Dowel(x=x, y=70, diameter=8, depth=6) for x in (10, 210))
FRONT = Fixture(board=BOARD, dowels=DOWELS)
BACK = FRONT.turned_over("left to right", zero_at="lower right")
OURS = [
    Cutter(1, flat(6), 1200, 16000, cutting_length=25),
    Cutter(2, ball(6), 1200, 16000),
    Cutter(3, bull_nose(6, 1), 1200, 16000),
    Cutter(4, drill_point(2.5), 300, 9000),
]
WORK = [drill([(60, 70)], OURS[3], depth=6), groove(circle(40, (140, 70)).exterior, OURS[1], depth=1),
        contour(circle(60, (140, 70)), OURS[0], depth=4)]  # fmt: skip
HEADED = program_text(Setup(FRONT, WORK), title="Coaster")
HEADED_BACK = program_text(Setup(BACK, WORK), title="Coaster", units="inch", tool_change="stop")
judge_headed = partial(simulate, fixture=FRONT, cutters=OURS, cell=0.5)
judge_headed_back = partial(simulate, fixture=BACK, cutters=OURS, cell=0.5)


def _line(text: str, begin: str) -> str:
    return next(line for line in text.splitlines() if line.startswith(begin))


def _in_line(code: str, what: str, sound: str, begin: str, old: str, new: str, judge: partial[object]) -> Fault:
    """One slip in the first line that begins so."""
    line = _line(sound, begin)
    assert old in line
    return planted(code, what, sound, line, line.replace(old, new), judge)


def _given(code: str, what: str, sound: str, begin: str, **other: object) -> Fault:
    """The right program on the wrong fixture or with the wrong rack, found on the line that begins so."""
    _, line = edited(sound, _line(sound, begin), "")
    return Fault(code, what, sound, line, partial(simulate, cell=0.5, **other))


FAULTS = [
    planted("modes", "units never named", NUMBERED, "N10 G17 G21 G90 G94 G40 G49 G80", "N10 G17 G90 G94 G40 G49 G80",
            judge, "N20 G0 Z30"),
    planted("modes", "distance mode never named", LOW, "G90 G21", "G21", judge_low, "G0 Z12"),
    planted("modes", "units named too late", LOW, "G90 G21", "G90\nG0 Z20\nG21", judge_low, "G0 Z20"),
    planted("state-left", "still turning at the end", NUMBERED, "N440 M5", "", judge, "N450 M30"),
    planted("state-left", "no G90 after the incremental piece", LOW, "G1 X180", "G1 G91 X30\nG0 Z8", judge_low, "M30"),
    planted("state-left", "length offset left on", OFFSETS, "G49", "", judge_known, "G43 H2 Z10"),
    planted("state-left", "G92 left on", INCHES, "x0 y0", "x0 y0\ng92 x1 y1", judge_inches, "g92 x1 y1"),
    planted("state-left", "incremental over a change of cutter", OFFSETS, "M3 S12000", "G91\nM1\nG0 Z5\nG90\nM3 S12000",
            judge_known, "G0 Z5"),
    planted("after-end", "end put in too soon", INCHES, "g0 z1", "g0 z1\nm5 m2", judge_inches, "x0 y0"),
    planted("after-end", "words after the closing percent line", NUMBERED, "N430 G0 Z30",
            "N430 G0 Z30\nM5\n%", judge, "N440 M5"),
    planted("cuts-nothing", "sign lost", INCHES, "g1 z-.1 f12", "g1 z.1 f12", judge_inches),
    planted("cuts-nothing", "zero of the spoilboard meant", LOW.replace("G0 X150 Y40 Z6\nG0 Z1\nG1 Z-2\nG1 X180\n", ""),
            "G1 Z-2 F900", "G1 Z16 F900", judge_low),
    planted("never-put-in", "M6 lost", NUMBERED, "N130 T1 M6", "N130 T1", judge),
    planted("never-put-in", "called early, then forgotten", OFFSETS, "T2 M6", "", judge_known, "T2"),
    planted("other-length", "number of the other cutter", OFFSETS, "G43 H1 Z10", "G43 H2 Z10", judge_known,
            "G1 Z-2 F400"),
    planted("other-length", "offset of the cutter before", OFFSETS, "G43 H2 Z10", "G43 H1 Z10", judge_known,
            "G81 X50 Y50 Z-8 R2 F300"),
    planted("long-dwell", "milliseconds", NUMBERED, "N290 G4 P3", "N290 G4 P3000", judge),
    planted("long-dwell", "in the wood", NUMBERED, "N200 G3 X170 Y50 R10", "N200 G3 X170 Y50 R10\nG4 P50", judge,
            "G4 P50"),
    planted("sideways-lift", "lift and way in one", NUMBERED, "N240 G0 Z30", "N240 G0 X90 Z30", judge),
    planted("sideways-lift", "beside a screw", LOW, "G0 X150 Y40 Z6", "G0 X110 Y62 Z6", judge_low),
    planted("sideways-lift", "line lost before it", LOW, "G0 Z6", "", judge_low, "G0 X20 Y20 Z12"),
    planted("other-zero", "digit of the work system", OFFSETS, "G21 G90 G54 G17 G94", "G21 G90 G55 G17 G94",
            judge_known),
    planted("other-zero", "home", NUMBERED, "N440 M5", "N440 M5\nG28 Z30", judge, "G28 Z30"),
    planted("other-zero", "machine coordinates, zero unknown", NUMBERED, "N430 G0 Z30", "N430 G53 G0 Z0", judge),
    planted("other-zero", "zero set where the cutter stands", INCHES, "g0z1", "g92 z1", judge_inches),
    _in_line("head-differs", "thickness", HEADED, "(Board", "x 18 mm", "x 13 mm", judge_headed),
    _in_line("head-differs", "other cutter put in", HEADED, "T2 M6", "T2", "T1", judge_headed),
    _in_line("head-differs", "cutter renumbered in the head", HEADED, "(T1: ", "T1", "T3", judge_headed),
    _in_line("head-differs", "other cutter by hand", HEADED_BACK, "(MSG, Fit T2", "T2", "T4", judge_headed_back),
    _in_line("head-differs", "zero corner", HEADED_BACK, "(X0 Y0 is the lower", "the lower right", "the lower left",
             judge_headed_back),
    _given("head-differs", "front text on the back", HEADED, "(Front up", fixture=BACK, cutters=OURS),
    _given("head-differs", "back text on the front", HEADED_BACK, "(Back up", fixture=FRONT, cutters=OURS),
    _in_line("head-differs", "turned the other way", HEADED_BACK, "(Back up", "left to right", "top to bottom",
             judge_headed_back),
    _in_line("head-differs", "another kind of cutter in the head", HEADED, "(T2: ", "ball", "flat", judge_headed),
    _in_line("head-differs", "dowel moved in the head", HEADED, "(Dowel", "X10", "X11", judge_headed),
    _in_line("head-differs", "dowel from the other corner", HEADED_BACK, "(Dowel", "X-", "X", judge_headed_back),
    _given("head-differs", "a thicker dowel given", HEADED, "(Dowel", cutters=OURS,
           fixture=replace(FRONT, dowels=tuple(replace(dowel, diameter=10) for dowel in DOWELS))),
    _in_line("head-differs", "safe height", HEADED, "(Safe height", "5", "2", judge_headed),
    _in_line("head-differs", "depth of an operation", HEADED, "(3. ", "4 deep", "14 deep", judge_headed),
    _in_line("head-differs", "speed of a drill", HEADED_BACK, "(T4: ", "9000", "900", judge_headed_back),
    _given("head-differs", "zero on the spoilboard", HEADED, "(Z0 is", cutters=OURS,
           fixture=replace(FRONT, zero_on="spoilboard")),
    _given("head-differs", "a thinner board in inches", HEADED_BACK, "(Board", cutters=OURS,
           fixture=replace(BACK, board=replace(BOARD, thickness=17.9))),
    _given("head-differs", "another cutter in the rack", HEADED, "(T1: ", fixture=FRONT,
           cutters=[Cutter(1, flat(6.35), 1200, 16000), *OURS[1:]]),
]  # fmt: skip
assert FIXTURE.highest == 14, "the clamp is part of what NUMBERED is sound on"
