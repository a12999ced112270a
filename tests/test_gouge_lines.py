"""A gouge names the plunge that set its depth, however small its share of the cells."""

from __future__ import annotations

import pytest

import toolpaths as tp

BOARD = tp.Board(width=240, height=160, thickness=18)
FIXTURE = tp.Fixture(board=BOARD, grips=[BOARD.outline])
FLAT = tp.Cutter(1, tp.flat(6), feed_mm_min=900, spindle_rpm=18000)
PART = tp.Part(board=BOARD, front=[tp.Recess(area=tp.rectangle(160, 100, (120, 80), corner_radius=3), depth=3)])


@pytest.mark.parametrize(
    "x", [120, pytest.param(43, marks=pytest.mark.long), pytest.param(197, marks=pytest.mark.long)]
)
def test_the_plunge_is_named_first(x):
    rows = "".join(f"Y{y}\nX{197 if n % 2 else 43}\n" for n, y in enumerate(range(33, 128, 5)))
    head = "G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S18000 F900\nG0 Z20"
    text = f"{head}\nX{x} Y33\nZ2\nG1 Z-3.5\nX197\n{rows}Y127\nX43\nG0 Z20\nM5\nM2\n"
    report = tp.simulate(text, FIXTURE, [FLAT], part=PART, cell=0.5)
    (found,) = [each for each in report.findings if each.code == "gouge"]
    assert found.first_line == 7 and found.amount == pytest.approx(0.5, abs=0.01)
