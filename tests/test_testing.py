"""The assertions for users' own tests: each passes what is sound and fails what is not."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

import toolpaths as tp
from toolpaths import testing

TURNS = np.arange(10) * np.pi / 5
STAR = Polygon(np.column_stack([np.cos(TURNS), np.sin(TURNS)]) * np.where(np.arange(10) % 2, 18, 45)[:, None])
SHAPES = {
    "square": box(0, 0, 40, 40),
    "L": Polygon([(0, 0), (60, 0), (60, 25), (25, 25), (25, 70), (0, 70)]),
    "star": STAR,
    "comb": shapely.union_all([box(0, 0, 90, 12), *[box(x, 10, x + 9, 50) for x in range(0, 90, 16)]]),
    "circle": tp.circle(50),
    "ring": tp.circle(80).difference(tp.circle(40, (5, 3))),
    "two islands": box(0, 0, 100, 60).difference(shapely.union(tp.circle(20, (30, 30)), box(60, 20, 80, 45))),
    "ellipse": tp.ellipse(90, 30),
    "relieved": tp.relieve_corners(tp.rectangle(84, 60), 1.5),
}


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("distance", [0.2, 1.5, 3.175, 12, -0.2, -1.0, -3.175])
def test_two_engines_agree_on_offsets(name: str, distance: float) -> None:
    """GEOS and pyclipper, which share no code, offset odd shapes alike within the tolerance."""
    testing.assert_offset_agrees(SHAPES[name], distance)


def test_assert_offset_agrees_fails_where_the_engines_differ(monkeypatch: pytest.MonkeyPatch) -> None:
    """An offset off by two tolerances is caught, with its place."""
    monkeypatch.setattr(testing, "offset", lambda shape, distance, tolerance: shape.buffer(distance + 0.02))
    with pytest.raises(AssertionError, match="differ by"):
        testing.assert_offset_agrees(SHAPES["square"], 3)


def test_assert_safe_passes_a_sound_program_and_fails_a_tampered_one() -> None:
    """A lowered retract is found, and the message shows the finding."""
    board = tp.Board(width=120, height=80, thickness=18)
    side = tp.Fixture(board=board)
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    text = tp.program_text(tp.Setup(side, [tp.bore([(30, 40), (90, 40)], 9, cutter, depth=6)]))

    assert testing.assert_safe(text, side, [cutter]).ok
    assert text.count("G0 Z5\n") >= 2
    with pytest.raises(AssertionError, match="rapid"):
        testing.assert_safe(text.replace("G0 Z5\nX", "G0 Z-3\nX"), side, [cutter])
