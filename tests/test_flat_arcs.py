"""Arcs that nothing would be left of but a radius of many metres are written as lines."""

from __future__ import annotations

from math import asin, hypot

import pytest
from test_write import path_setup

import toolpaths as tp
from toolpaths.making.motion.toolpath import CUT, RAPID, Move


@pytest.mark.parametrize(("bulge", "as_arc"), [(0.00015, False), (0.00019, False), (0.00021, True), (0.001, True)])
@pytest.mark.parametrize("side", [1, -1])
def test_an_arc_is_written_as_one_where_it_bulges_by_two_digits_or_more(bulge, as_arc, side):
    """Bulge b over a chord c: the radius is (c^2 / 4 + b^2) / (2 b), the arc turns by 2 asin(c / 2 r)."""
    chord = 6.0
    radius = (chord**2 / 4 + bulge**2) / (2 * bulge)
    turn = side * 2 * asin(chord / 2 / radius)
    centre = (50 + chord / 2, 50 + side * (radius - bulge))
    assert hypot(50 - centre[0], 50 - centre[1]) == pytest.approx(radius, rel=1e-9)
    moves = [Move(RAPID, 50, 50, 5.0), Move(CUT, 50, 50, -1, 500.0)]
    moves += [Move(CUT, 50 + chord, 50, -1, 500.0, centre=centre, sweep=turn), Move(RAPID, 50 + chord, 50, 5.0)]
    text = tp.program_text(path_setup(moves))
    assert any(code in text for code in ("G2 ", "G3 ")) is as_arc
