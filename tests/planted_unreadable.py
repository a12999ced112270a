"""Faults of the text itself, in a program in another hand: numbered lines, inches, R arcs, a modal cycle."""

from __future__ import annotations

from functools import partial

from planted import Fault, planted

from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import drill_point, flat
from toolpaths.judging.simulate import simulate

BOARD = Board(width=250, height=150, thickness=19)
RACK = [Cutter(1, flat(6.35), 1500, 16000, cutting_length=25), Cutter(2, drill_point(4), 400, 8000, cutting_length=40)]

SOUND = """%
(shelf side, groove and four pins)
n10 g20 g90 g17 g94
n20 g0 z1.
n30 t1 m6
n40 s16000 m3
n50 g0 x1. y1.
n60 z.1
n70 g1 z-.125 f20.
n80 x 8.5 f59.
n90 g3 x9. y1.5 r.5
n100 g1 y4.5
n110 g0 z1.
n120 t2 m6
n130 s8000 m3
n140 g99 g81 x1. y3. z-.4 r.1 f15.
n150 x2.5
n160 x4. y4.
n170 x5.5
n180 g80
n190 g0 z1.
n200 m5
n210 m30
%
"""

judge = partial(simulate, fixture=Fixture(board=BOARD), cutters=RACK, cell=0.5)


def _fault(what: str, old: str, new: str, found_on: str = "") -> Fault:
    return planted("unreadable", what, SOUND, old, new, judge, found_on)


FAULTS = [
    _fault("letter O for nought", "n80 x 8.5 f59.", "n80 x 8.5 f5O."),
    _fault("comma for point", "n70 g1 z-.125 f20.", "n70 g1 z-,125 f20."),
    _fault("sign twice", "n60 z.1", "n60 z--.1"),
    _fault("two points", "n100 g1 y4.5", "n100 g1 y4.5.0"),
    _fault("letter lost", "n50 g0 x1. y1.", "n50 g0 x1. 1."),
    _fault("axis twice", "n50 g0 x1. y1.", "n50 g0 x1. x1."),
    _fault("two motions", "n190 g0 z1.", "n190 g0 g1 z1."),
    _fault("radius too small", "n90 g3 x9. y1.5 r.5", "n90 g3 x9. y1.5 r.05"),
    _fault("radius lost", "n90 g3 x9. y1.5 r.5", "n90 g3 x9. y1.5"),
    _fault("offset for radius", "n90 g3 x9. y1.5 r.5", "n90 g3 x9. y1.5 i5."),
    _fault("comment not closed", "(shelf side, groove and four pins)", "(shelf side, 1/4 in groove and four pins"),
    _fault("semicolon", "n30 t1 m6", "n30 t1 m6 ; flat"),
    _fault("no such code", "n180 g80", "n180 g8"),
    _fault("cycle without height", "n140 g99 g81 x1. y3. z-.4 r.1 f15.", "n140 g99 g81 x1. y3. z-.4 f15."),
    _fault("cycle upside down", "n140 g99 g81 x1. y3. z-.4 r.1 f15.", "n140 g99 g81 x1. y3. z.4 r.1 f15."),
    _fault("cycle ended too early", "n150 x2.5", "n150 g80\nn155 x2.5", "n155 x2.5"),
    _fault("line number too long", "n20 g0 z1.", "n200000 g0 z1."),
    _fault("two units", "n10 g20 g90 g17 g94", "n10 g20 g21 g90 g17 g94"),
    _fault("cutter compensation", "n50 g0 x1. y1.", "n50 g42 d1 g0 x1. y1."),
    _fault("inverse time", "n10 g20 g90 g17 g94", "n10 g20 g90 g17 g93"),
]
