"""Programs without M6: which cutter is in the spindle, to the judge."""

from __future__ import annotations

import pytest

from toolpaths import Board, Cutter, Fixture, flat, simulate

BOARD = Board(width=200, height=120, thickness=18)
FIXTURE = Fixture(board=BOARD, grips=(BOARD.outline,))
RACK = [Cutter(1, flat(6), 1200, 16000, cutting_length=30), Cutter(2, flat(4), 1200, 16000, cutting_length=20)]
HEAD = "G21 G90 G17 G94\nG0 Z20\n"


def groove(y: float) -> str:
    return f"M3 S16000\nG4 P3\nG0 X30 Y{y}\nG0 Z1\nG1 Z-2 F300\nG1 X60 F900\nG0 Z20\nM5\n"


def found(body: str) -> list[tuple[str, str, int]]:
    report = simulate(HEAD + body + "M30\n", FIXTURE, RACK, cell=0.5)
    assert report.ok or report.findings
    return [(finding.severity, finding.code, finding.line) for finding in report.findings]


def width(body: str, y: float) -> float:
    """mm, of the groove at x = 45 about y."""
    stock = simulate(HEAD + body + "M30\n", FIXTURE, RACK, cell=0.5).stock
    column = stock.top[:, int((45 - stock.grid.left) / stock.grid.cell)]
    low, high = (int((at - stock.grid.low) / stock.grid.cell) for at in (y - 8, y + 8))
    return float((column[low:high] < -1).sum() * stock.grid.cell)


@pytest.mark.parametrize("first", ["T1\nM0\n", "T1 M0\n", "T1\n", "T1\nM1\n", "(MSG, put in T1)\nM0\n"])
@pytest.mark.parametrize("second", ["T2\nM0 (change)\n", "T2 M0\n", "M0 T2\n"])
def test_a_cutter_called_is_put_in_at_the_stop(first, second):
    body = first + groove(30) + second + groove(60)
    assert found(body) == []
    assert (width(body, 30), width(body, 60)) == (6.0, 4.0)


def test_what_the_operator_reads_at_the_stop_goes_before_the_word():
    body = "T1\n" + groove(30) + "T1\n(MSG, put in T2)\nM0\n" + groove(60)
    assert (width(body, 30), width(body, 60)) == (6.0, 4.0)


def test_a_cutter_called_without_a_stop_is_never_put_in():
    body = "T1\n" + groove(30) + "T2\n" + groove(60)
    assert found(body) == [("doubt", "never-put-in", 12)]
    assert width(body, 60) == 6.0
    assert found("T1\n" + groove(30) + "T2 M0\n" + groove(60) + "T1\n") == [], "the first one called again at the end"


def test_a_cutter_that_was_not_given_is_unknown():
    assert found("T9 M0\n" + groove(30)) == [("danger", "unknown-tool", 3)]
    assert found(groove(30)) == [("danger", "unknown-tool", 7)]
