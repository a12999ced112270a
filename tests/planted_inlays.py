"""Faults of a recess into which an insert no longer fits: cut with a wider cutter, and less deep."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from planted import planted

import toolpaths as tp
from toolpaths.judging.checks.between_boards.inlay_gap import inlay_gap
from toolpaths.judging.fit.laid_in import laid_in
from toolpaths.judging.job_programs import read_sides
from toolpaths.judging.trial.case import Case, make_case
from toolpaths.judging.trial.findings import Finding

LID = tp.Board(width=80, height=60, thickness=12, name="lid")
VENEER = tp.Board(width=80, height=60, thickness=4, name="veneer")
FRONT, INSERT = (tp.Fixture(board=board, grips=(board.outline,)) for board in (LID, VENEER))
# The second is what was put in by mistake for the first.
RACK = [tp.Cutter(n, tp.flat(wide), feed_mm_min=900, spindle_rpm=18000) for n, wide in ((1, 4), (2, 4.2))]
LEAF = tp.straight_inlay(tp.rectangle(30, 20, (40, 30)), RACK[0], gap=0.05, depth=3, thickness=4, at=(40, 30))

# Twice round, 2 mm and so the cutter's radius inside walls that lie 0.05 outside the leaf.
TEXT = """(lid, front)
G21 G90 G17 G94
G0 Z15
T1 M6
M3 S18000
G4 P3
G0 X30 Y30
G1 Z-1.5 F300
G1 X50 F900
G1 Z-3 F300 (floor)
G1 X30 F900
G1 X28 Y25
G1 X52
G1 Y35
G1 X28
G1 Y25
G1 X26.95 Y21.95
G1 X53.05
G1 Y38.05 (right)
G1 X26.95
G1 Y21.95
G1 X31.6 Y27.6
G1 X48.4
G1 Y32.4
G1 X31.6
G1 Y27.6
G0 Z15
M5
M2
"""


def _cases(text: str, fixture: tp.Fixture) -> list[Case]:
    return [make_case(each.program, each.fixture, each.cutters) for each in read_sides([(text, fixture)], RACK)]


@cache
def _insert() -> list[Case]:
    return _cases(tp.program_text(tp.Setup(INSERT, LEAF.insert)), INSERT)


class Judged(NamedTuple):
    """What a report says."""

    findings: list[Finding]

    @property
    def ok(self) -> bool:
        return not self.findings


def judge(text: str) -> Judged:
    """The insert, cut as it should be, in the recess of a text."""
    fit = laid_in(LEAF.laid, _cases(text, FRONT), _insert())
    return Judged([found.finding for found in inlay_gap(fit, 0.03)])


FAULTS = [
    planted("inlay-gap", "recess cut with a wider cutter", TEXT, "T1 M6", "T2 M6", judge)._replace(line=0),
    planted("inlay-gap", "recess less deep", TEXT, "G1 Z-3 F300 (floor)", "G1 Z-2.6 F300", judge)._replace(line=0),
]
