"""Faults of a board levelled all over: how low it lies once it is turned, and on which face Z zero is then set."""

from __future__ import annotations

from functools import partial

from planted import Fault, line_of, planted

from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import flat
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.verify import verify

BOARD = Board(width=120, height=80, thickness=16)
RACK = [
    Cutter(1, flat(25), 1500, 12000, step_down=2.5, cutting_length=20),
    Cutter(2, flat(6), 900, 16000, cutting_length=20),
]
# Rows over the whole face, by hand, and a trench below it with another cutter.
FRONT = """(Board 120 x 80 x 16 mm, thickness as measured)
(Front up)
(Z0 is the top of the board)
G21 G90 G17 G94
G0 Z30
(MSG, Fit T1 flat 25, then set its Z zero)
M0
M3 S12000
G0 Z30
G0 X-20 Y10
G0 Z3
G1 Z-1.2 F500
G1 X140 F1500
G1 Y30
G1 X-20
G1 Y50
G1 X140
G1 Y70
G1 X-20
G0 Z30
M5
(MSG, Fit T2 flat 6, then set Z-1.2 on the highest face left)
M0
M3 S16000
G0 Z30
G0 X30 Y40
G0 Z2
G1 Z-4 F300
G1 X90 F900
G0 Z30
M5
M30
"""
# The same with M6: what is to be set at the second change is shown before it.
CHANGED = FRONT.replace("(MSG, Fit T1 flat 25, then set its Z zero)\nM0", "T1 M6").replace("left)\nM0", "left)\nT2 M6")
# The same by cutter, in inches.
SECOND = """(Board 4.7244 x 3.1496 x 0.6299 inch, thickness as measured)
(Front up)
(Z0 is the top of the board)
(Z0 is cut away: set Z-0.0472 on the highest face left)
(T2: flat 0.2362, 2 flutes, 16000 rpm)
G20 G90 G17 G94
G0 Z1.2
M3 S16000
G0 X1.2 Y1.6
G0 Z.1
G1 Z-.16 F12
G1 X3.5 F35
G0 Z1.2
M5
M30
"""
# From the other side: a slot through what is left, 14.8 mm, and a tray.
BACK = """(Board 120 x 80 x 16 mm, thickness as measured)
(Face below levelled by 1.2 mm: 14.8 thick now)
(Back up, turned over left to right)
(Z0 is the top of the board)
G21 G90 G17 G94
G0 Z30
T2 M6
M3 S16000
G0 Z30
G0 X20 Y15
G0 Z2
G1 Z-5 F300
G1 X100 F900
G1 Z-10 F300
G1 X20 F900
G1 Z-15.1 F300
G1 X100 F900
G0 Z30
G0 X40 Y60
G0 Z2
G1 Z-3 F300
G1 X80 F900
G0 Z30
M5
M30
"""
SIDE = Fixture(board=BOARD, overhang=40, grips=(BOARD.outline,))
FACTS = "levelled 1.2"


def back_of(facts: str, zero_on: str = "top") -> Fixture:
    """The back, from a line of facts."""
    return SIDE.turned_over("left to right", levelled=float(facts.split()[1]), grips=SIDE.grips)


def judge_front(text: str):
    return simulate(text, SIDE, RACK, cell=0.5)


class Found:
    """The findings of a job without their sides."""

    def __init__(self, sides) -> None:
        self.job = verify(sides, RACK, cell=0.5)
        self.findings: tuple[Finding, ...] = tuple(found.finding for found in self.job)
        self.ok = self.job.ok

    def __str__(self) -> str:
        return str(self.job)


def judge_front_of_job(text: str) -> Found:
    return Found([(text, SIDE), (BACK, back_of(FACTS))])


def judge_back(text: str) -> Found:
    return Found([(FRONT, SIDE), (text, back_of(FACTS))])


def judge_facts(facts: str) -> Found:
    # Its head names the facts as well.
    return Found(
        [
            (FRONT, SIDE),
            (
                BACK.replace("(Face below levelled by 1.2 mm: 14.8 thick now)\n", "").replace(
                    "(Board 120 x 80 x 16 mm, thickness as measured)\n", ""
                ),
                back_of(facts),
            ),
        ]
    )


def judge_second(text: str) -> Found:
    first = FRONT[: FRONT.index("(MSG, Fit T2")] + "M30\n"
    return Found([([first, text], SIDE)])


front, back = partial(planted, sound=FRONT, judge=judge_front), partial(planted, sound=BACK, judge=judge_back)


def on_the_back(what: str, old: str, new: str) -> Fault:
    """A fault of the front that shows in how the board lies on it."""
    return planted("levelled-face", what, FRONT, old, new, judge_front_of_job)._replace(line=0)


FAULTS = [
    on_the_back("levelled by a digit more", "G1 Z-1.2 F500", "G1 Z-1.5 F500"),
    on_the_back("levelled by a tenth less", "G1 Z-1.2 F500", "G1 Z-1.1 F500"),
    on_the_back("a row left out: a strip keeps the board up", "G1 Y30", "G1 Y36"),
    on_the_back("a rim left standing at the edge", "G0 X-20 Y10", "G0 X-20 Y13"),
    Fault("levelled-face", "nothing said of the face", "levelled 0", 0, judge_facts, FACTS),
    Fault("levelled-face", "digits changed places", "levelled 2.1", 0, judge_facts, FACTS),
    front("head-differs", "Z zero on a face that is cut away", old="(MSG, Fit T2 flat 6, then set Z-1.2 on the "
          "highest face left)", new="(MSG, Fit T2 flat 6, then set its Z zero)"),
    front("head-differs", "Z of the face left with the wrong sign", old="(MSG, Fit T2 flat 6, then set Z-1.2 on the "
          "highest face left)", new="(MSG, Fit T2 flat 6, then set Z1.2 on the highest face left)"),
    front("head-differs", "Z of a face before it is levelled", old="(MSG, Fit T1 flat 25, then set its Z zero)",
          new="(MSG, Fit T1 flat 25, then set Z-1.2 on the highest face left)"),
    Fault("head-differs", "an M6 without a word of the face that is left",
          CHANGED.replace("(MSG, Fit T2 flat 6, then set Z-1.2 on the highest face left)\n", ""),
          line_of(CHANGED, "T2 M6") - 1, judge_front, CHANGED),
    planted("head-differs", "at an M6 the Z of a face before it is levelled", CHANGED, "(MSG, Fit T2 flat 6, then "
            "set Z-1.2 on the highest face left)", "(MSG, Fit T2 flat 6, then set its Z zero)", judge_front),
    Fault("head-differs", "Z0 on a face that an earlier program cut away",
          SECOND.replace("(Z0 is cut away: set Z-0.0472 on the highest face left)\n", ""), 3, judge_second, SECOND),
    planted("head-differs", "Z in the other units", SECOND, "(Z0 is cut away: set Z-0.0472 on the highest face left)",
            "(Z0 is cut away: set Z-1.2 on the highest face left)", judge_second),
    back("head-differs", "another amount of the face below", old="(Face below levelled by 1.2 mm: 14.8 thick now)",
         new="(Face below levelled by 1 mm: 15 thick now)"),
    back("head-differs", "what is left of the board", old="(Face below levelled by 1.2 mm: 14.8 thick now)",
         new="(Face below levelled by 1.2 mm: 16 thick now)"),
    Fault("head-differs", "no word of the face below",
          BACK.replace("(Face below levelled by 1.2 mm: 14.8 thick now)\n", ""), 1, judge_back, BACK),
]  # fmt: skip
