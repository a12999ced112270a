"""A toolpath takes as long as the simulator says of the text written from it."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

import toolpaths as tp
from toolpaths.making.motion.seconds import seconds_of
from toolpaths.making.motion.toolpath import CUT, RAPID, Move, Toolpath
from toolpaths.making.plan.steps import Step

BOARD = tp.Board(width=200, height=150, thickness=18)
T1 = tp.Cutter(1, tp.flat(6), 1800, 16000, cutting_length=20)
T2 = tp.Cutter(2, tp.drill_point(4), 600, 12000, cutting_length=30)
AREA = tp.centre_on(tp.rectangle(60, 40, corner_radius=5), (100, 75))
WORK = {
    "pocket": tp.pocket(AREA, T1, depth=6),
    "contour": tp.contour(AREA, T1, depth=6, side="outside"),
    "face": tp.face(AREA, T1, depth=1),
    "bore": tp.bore([(50, 50), (90, 60)], 10, T1, depth=8),
    "drill": tp.drill([(50, 50), (90, 60), (60, 110)], T2, depth=8, peck=0),
    "pecks": tp.drill([(50, 50), (90, 60)], T2, depth=16, peck=3),
    "dwell": tp.drill([(50, 50), (90, 60)], T2, depth=8, peck=0, dwell_s=0.5),
}


@pytest.mark.parametrize("name", WORK)
def test_as_long_as_its_text(name):
    """The text adds the ways from and to the place of waiting, and the time for the spindle: each from rest to rest."""
    machine = tp.Machine(corner_rounding=0.02)
    setup = tp.Setup(tp.Fixture(board=BOARD, machine=machine), [WORK[name]])
    (step,) = setup.steps
    assert isinstance(step, Step)
    first = step.path.moves[0]
    fixture = replace(setup.fixture, wait_at=(first.x, first.y), wait_height=setup.fixture.safe_z)
    setup = tp.Setup(fixture, [WORK[name]])
    report = tp.simulate(tp.program_text(setup, cycles="spelled out"), fixture, [step.path.cutter], cell=1.0)
    last = step.path.moves[-1]
    across = max(abs(last.x - first.x), abs(last.y - first.y))
    home = 2 * sqrt(across / 500) if across < (5000 / 60) ** 2 / 500 else across / (5000 / 60) + 5000 / 60 / 500
    assert seconds_of(step.path, machine) == pytest.approx(report.seconds - 3 - home, abs=0.03)


def test_a_path_by_hand():
    """10 mm down by rapid on to 5 mm/s, 1 mm at that, straight back up 11 mm."""
    moves = (Move(RAPID, 0, 0, 10), Move(RAPID, 0, 0, 0), Move(CUT, 0, 0, -1, 300), Move(RAPID, 0, 0, 10))
    top = sqrt(500 * 10 + 5 * 5 / 2)
    fall = (2 * top - 5) / 500 + (1 - 25 / 1000) / 5 + 5 / 500
    assert seconds_of(Toolpath(T1, moves), tp.Machine()) == pytest.approx(fall + 2 * sqrt(11 / 500))
    assert seconds_of(Toolpath(T1, ()), tp.Machine()) == 0
