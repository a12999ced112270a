"""Moves cut down to the stretch over the board, and programs with moves of kilometres."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from hand_programs import PROGRAMS
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.facts.board import Board
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import over_board

BOARD = Board(width=100, height=60, thickness=18)
place = st.tuples(st.floats(-200, 300), st.floats(-200, 300), st.floats(-20, 5))


@given(start=place, end=place, share=st.floats(0, 1))
def test_every_place_over_the_board_is_kept_and_no_other(start, end, share):
    table = np.zeros((11, 1))
    table[[X0, Y0, Z0], 0], table[[X1, Y1, Z1], 0] = start, end
    cut, which = over_board(table, BOARD)
    x, y = (a + share * (b - a) for a, b in zip(start[:2], end[:2]))

    if 0.001 < x < 99.999 and 0.001 < y < 59.999:
        assert which.tolist() == [0]
        along = np.hypot(*(cut[[X1, Y1]] - cut[[X0, Y0]]))[0]
        there = np.hypot(cut[X0, 0] - x, cut[Y0, 0] - y), np.hypot(cut[X1, 0] - x, cut[Y1, 0] - y)
        assert abs(sum(there) - along) < 1e-6, "on the stretch kept"
    for row, ends in ((X0, 100), (X1, 100), (Y0, 60), (Y1, 60)):
        assert ((cut[row] > -1e-6) & (cut[row] < ends + 1e-6)).all()


@pytest.mark.parametrize(
    "name, old, new",
    [
        ("drawer_pull", "n29x5.0625y2", "n28g1z-.1\nn29x5.0625y7062500"),
        ("pen_trough", "G1 X160 F1400", "G1 X999999999 F1400"),
        ("trivet", "g1 z-4 f400", "g1 z-999999999 f400"),
        ("lid_back", "G1 X114", "G1 X999999999"),
    ],
)
def test_a_lost_decimal_point_does_not_take_all_memory(name, old, new):
    """A move of kilometres, sideways, down, or where a tab begins."""
    program = PROGRAMS[name]
    assert f"\n{old}\n" in program.text
    text = program.text.replace(f"\n{old}\n", f"\n{new}\n", 1)
    tracemalloc.start()
    report = program.judge(text)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert "travel" in report.codes()
    assert most < 500e6
