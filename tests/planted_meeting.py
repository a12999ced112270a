"""Faults of a part that opens where nobody asked for it: a recess from each face, and one of them drawn too deep.

The programs make what the part says, so that no line of theirs is the edit: it is a digit of the drawing, from which
text and part both come.
"""

from __future__ import annotations

from functools import partial

from planted import Fault, line_of
from shapely import box

from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.profile import flat
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.verify import verify

BOARD = Board(width=120, height=80, thickness=18)
ABOVE = Fixture(board=BOARD, grips=(BOARD.outline,))
BELOW = ABOVE.turned_over("left to right", grips=ABOVE.grips)
RACK = (Cutter(1, flat(10), 1500, 16000, cutting_length=20, step_down=8),)
# Seen from the front: a tray, and a hollow of the back under its right end.
TRAY, HOLLOW = box(20, 30, 60, 45), box(45, 25, 90, 40)


def _clear(left: float, low: float, right: float, high: float, depth: float) -> str:
    """Two rows and once round, in two depths, with a 10 mm cutter."""
    x0, y0, x1, y1 = left + 5, low + 5, right - 5, high - 5
    lap = f"G1 X{x1} F1500\nG1 Y{y1}\nG1 X{x0}\nG1 Y{y0}\n"
    return (
        f"G21 G17 G90 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P3\nG0 X{x0} Y{y0}\nG0 Z2\n"
        f"G1 Z{-depth / 2:g} F400\n{lap}G1 Z{-depth:g} F400\n{lap}G0 Z20\nM5\nM30\n"
    )


class _SideReport:
    """Findings of a job, as those of one program."""

    def __init__(self, report: JobReport) -> None:
        self.findings: tuple[Finding, ...] = tuple(found.finding for found in report)
        self.ok, self.text = report.ok, str(report)

    def __str__(self) -> str:
        return self.text


def judge(back: str, tray: float, hollow: float) -> _SideReport:
    """The tray so deep, and a program for the hollow on the back."""
    part = Part(board=BOARD, front=[Recess(area=TRAY, depth=tray, corners=5, name="tray")],
                back=[Recess(area=HOLLOW, depth=hollow, corners=5, name="hollow")])  # fmt: skip
    front = _clear(20, 30, 60, 45, tray)
    return _SideReport(verify([(front, ABOVE), (back, BELOW)], RACK, part=part, cell=0.5))


def _back(depth: float) -> str:
    return _clear(30, 25, 75, 40, depth)


# The second time down into the hollow; if the tray is so deep, the first time round it.
_LINE = line_of(_back(9.5), "G1 Z-9.5 F400")

FAULTS = [
    Fault(
        "recesses-meet", "the hollow a millimetre too deep", _back(9.5), _LINE + 1, partial(judge, tray=9, hollow=9.5)
    ),
    Fault(
        "recesses-meet",
        "the hollow as deep as the tray leaves wood",
        _back(9),
        _LINE + 1,
        partial(judge, tray=9, hollow=9),
    ),
    Fault("recesses-meet", "the tray drawn 15 deep for 5", _back(8), _LINE - 4, partial(judge, tray=15, hollow=8)),
]
