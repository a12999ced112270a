"""A cutter that waits in the wood is found wherever in a program that is, as soon as its height has been named."""

from __future__ import annotations

import pytest

import toolpaths as tp

BOARD = tp.Board(width=200, height=120, thickness=18)
FLAT = tp.Cutter(1, tp.flat(6), feed_mm_min=900, spindle_rpm=18000)
FIXTURE = tp.Fixture(board=BOARD, grips=[BOARD.outline])


def waits(lines: str) -> list[int]:
    text = f"G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S18000 F600\n{lines}M5\nM2\n"
    report = tp.simulate(text, FIXTURE, [FLAT])
    return [line for each in report.findings if each.code == "waits-low" for line in each.lines]


@pytest.mark.parametrize("after", [0, 1])
@pytest.mark.parametrize("before", [0, 4])
def test_a_stop_in_the_wood_is_found_after_any_number_of_motions(before, after):
    """However many motions come before Z is named for the first time, and after."""
    across = "".join(f"G0 X{50 + n} Y50\n" for n in range(before))
    along = "".join(f"G1 X{60 + n}\n" for n in range(after))
    line = 3 + before + 1 + after + 1
    assert waits(f"{across}G1 Z-2\n{along}M0\nG0 Z20\n") == [line]
    assert waits(f"{across}G1 Z-2\n{along}G0 Z20\nM0\n") == []
