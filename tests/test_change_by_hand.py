"""Programs without M6: which cutter is in the spindle, to the judge."""

from __future__ import annotations

from dataclasses import replace

import pytest

from toolpaths import Board, Cutter, Fixture, Job, Setup, bore, dowels, flat, simulate, through, verify
from toolpaths import groove as groove_of

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


@pytest.mark.sample(5)
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


@pytest.mark.parametrize(
    "comment", ["T2: flat 4", "T2 flat 4", "T2 FLAT 4", "t2:flat 4", "T2:  FLAT 4, 2 FLUTES, 16000 RPM", "with T2"]
)
def test_a_cutter_that_the_head_alone_names_is_in_the_spindle(comment):
    """Of "(T1 FLAT 6)" above a program for one of two cutters it was said that no cutter is called (once a fault)."""
    report = simulate(f"({comment})\n" + HEAD + groove(60) + "M30\n", FIXTURE, RACK, cell=0.5)
    assert report.ok
    assert (report.stock.top[:, int((45 - report.stock.grid.left) / 0.5)] < -1).sum() * 0.5 == 4.0


def test_comments_that_name_two_cutters_or_another_program_of_the_set_name_none():
    for comments in (
        "(T1 flat 6)\n(T2 flat 4)\n",
        "(Set 3f9a1c2e, 1 of 2: 1-T7; the other is 2-T2)\n",
        "(SET 3F9A1C2E, 1 OF 2: 1-T7; THE OTHER IS 2-T2)\n",
        "(T7 flat 5)\n",
    ):
        report = simulate(comments + HEAD + groove(30) + "M30\n", FIXTURE, RACK, cell=0.5)
        assert report.codes() == ("unknown-tool",), comments


@pytest.mark.sample(1)
@pytest.mark.parametrize("cased", [str.upper, str.lower, str])
def test_the_programs_by_cutter_of_a_job_are_sound_in_capitals_and_small_letters(cased):
    """Capitals hid which line names the other programs of the set, so that each named all cutters (once a fault)."""
    long = replace(RACK[1], cutting_length=30)
    at = [(12, 60), (188, 60), (100, 108)]
    side = Fixture(board=BOARD, dowels=dowels(at, diameter=6, depth=6), grips=(BOARD.outline,))
    hollow = groove_of([(60, 40), (90, 40)], RACK[0], depth=4)
    front = Setup(side, [bore(at, 6, long, depth=through(6)), hollow])
    back = Setup(
        side.turned_over("left to right", grips=(BOARD.outline,)),
        [hollow, groove_of([(60, 80), (90, 80)], long, depth=3)],
        after=front,
    )
    job = Job("By cutter", [front, back], tool_change="files")
    programs = {name: cased(text) for name, text in job.programs().items()}
    sides = [({n: t for n, t in programs.items() if n.startswith(s.fixture.side)}, s.fixture) for s in (front, back)]
    assert len(programs) == 4
    assert verify(sides, [RACK[0], long], cell=0.5, part=job.part).codes() == ()
