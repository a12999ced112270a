"""What stops leave behind: a cutter in the wood is found wherever in a program that is, as soon as its height has been
named; and moves counted from wherever the operator left the machine."""

from __future__ import annotations

import pytest

import toolpaths as tp

BOARD = tp.Board(width=200, height=120, thickness=18)
FLAT = tp.Cutter(1, tp.flat(6), feed_mm_min=900, spindle_rpm=18000)
FIXTURE = tp.Fixture(board=BOARD, grips=[BOARD.outline])


def found(code: str, lines: str) -> list[int]:
    """Lines of the findings of a code; these lines begin with line 4."""
    text = f"G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S18000 F600\n{lines}M5\nM2\n"
    report = tp.simulate(text, FIXTURE, [FLAT])
    return [line for each in report.findings if each.code == code for line in each.lines]


def waits(lines: str) -> list[int]:
    return found("waits-low", lines)


@pytest.mark.parametrize("after", [0, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("before", [0, 4])
def test_a_stop_in_the_wood_is_found_after_any_number_of_motions(before, after):
    """However many motions come before Z is named for the first time, and after."""
    across = "".join(f"G0 X{50 + n} Y50\n" for n in range(before))
    along = "".join(f"G1 X{60 + n}\n" for n in range(after))
    line = 3 + before + 1 + after + 1
    assert waits(f"{across}G1 Z-2\n{along}M0\nG0 Z20\n") == [line]
    assert waits(f"{across}G1 Z-2\n{along}G0 Z20\nM0\n") == []


@pytest.mark.parametrize(
    "stop", ["M0", pytest.param("M1", marks=pytest.mark.long), pytest.param("M6 T1", marks=pytest.mark.long)]
)
def test_after_a_stop_no_move_is_counted_from_where_the_machine_stands(stop):
    """Incremental moves before a stop, or after a place that is named first, are no fault."""
    up = "G0 Z20\nX50 Y50\n"
    assert found("state-left", f"{up}G91\n{stop}\nM3\nG0 X5\nG90 X50\n") == [9]
    assert found("state-left", f"{up}G91\nG0 X5\nG90\n{stop}\nM3\nG0 X50\n") == []
    assert found("state-left", f"{up}G91\n{stop}\nM3\nG90 G0 X50 Y50\nG91 X5\nG90 X50\n") == []
