"""Of a cut along a closed line with tabs as much wood may be left as its tabs are high, and no more."""

from __future__ import annotations

import pytest
from shapely import box

import toolpaths as tp

BOARD = tp.Board(width=160, height=120, thickness=18)
FIXTURE = tp.Fixture(board=BOARD, grips=[BOARD.outline], spoilboard_depth=0.5)
FLAT = tp.Cutter(1, tp.flat(6), feed_mm_min=900, spindle_rpm=18000, cutting_length=25)


def text(rise: float) -> str:
    """A ring cut through in one round, but for two tabs of this height."""
    z = -18 + rise
    ring = f"G1 Z-18.2 F300\nX74 F900\nZ{z}\nX86\nZ-18.2\nX120\nY90\nX86\nZ{z}\nX74\nZ-18.2\nX40\nY30\n"
    return f"G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S18000\nG0 Z20\nX40 Y30\nZ2\n{ring}G0 Z20\nM5\nM2\n"


@pytest.mark.parametrize(("rise", "fits"), [(3.9, True), (4.4, False), (8, False)])
def test_wood_is_left_over_a_cut_with_tabs_no_higher_than_they_are(rise, fits):
    cut = tp.CutAlong(line=box(40, 30, 120, 90).exterior, profile=FLAT.profile, depth=tp.through(0.2), tabs=2,
                      tab_length=20, tab_width=4, tab_height=4)  # fmt: skip
    report = tp.simulate(text(rise), FIXTURE, [FLAT], part=tp.Part(board=BOARD, front=[cut]), cell=0.5)
    assert ("leftover" not in report.codes()) is fits, str(report)
