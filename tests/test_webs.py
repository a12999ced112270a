"""The web between two faces: what counts as one, and what is meant to be open."""

from __future__ import annotations

import pytest
from shapely import Point

import toolpaths as tp

BOARD = tp.Board(width=100, height=80, thickness=18)
FRONT = tp.Fixture(board=BOARD)
BACK = FRONT.turned_over("left to right")
RACK = (tp.Cutter(1, tp.flat(6), 1200, 16000), tp.Cutter(2, tp.drill_point(6), 500, 8000, cutting_length=30))
HEAD = "G21 G90\nG0 Z20\nT{} M6\nM3 S8000\nG4 P2\nF400\n"
TAIL = "\nG0 Z20\nM5\nM30\n"
POCKET = HEAD.format(1) + "G0 X46 Y40\nG1 Z-5\nX54\nY44\nX46\nY36\nX54\nY44" + TAIL


def drilled(z: float) -> str:
    return HEAD.format(2) + f"G98 G81 X50 Y40 Z{z} R2\nG80" + TAIL


HOLE = Point(50, 40)
SHALLOW = tp.Recess(area=tp.rectangle(14, 14, (50, 40)), depth=5)


@pytest.mark.parametrize("hole_first", [True, False], ids=["hole first", "pocket first"])
@pytest.mark.parametrize(
    "z, depth, thin",
    [(-18.3, tp.through(0.3), False), (-10.5, 10.5, True), (-9.9, 9.9, False)],
    ids=["through", "2.5 left", "3.1 left"],
)
def test_rim_of_a_hole_meant_to_go_through_is_no_web(hole_first, z, depth, thin):
    """A 118 degree point 18.3 deep has its full width only 16.5 deep: a feather stands at the far rim."""
    hole = tp.CutAlong(line=HOLE, profile=tp.drill_point(6), depth=depth)
    texts, features = ([drilled(z), POCKET], [(hole,), (SHALLOW,)])
    if not hole_first:
        texts, features = texts[::-1], features[::-1]
    part = tp.Part(board=BOARD, front=features[0], back=features[1])
    report = tp.verify([(texts[0], FRONT), (texts[1], BACK)], RACK, part=part, thinnest_web=3)
    assert ("thin-web" in report.codes()) is thin, str(report)
