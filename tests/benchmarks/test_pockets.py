"""Pockets keep to their goals; the figures are those of the text and of simulated time, the same on every machine."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import pockets

import toolpaths as tp


@pytest.mark.sample(6)
@pytest.mark.parametrize("name, size, depth", pockets.cases())
def test_pocket_is_cleared_on_a_short_way_in_good_time(name, size, depth):
    found = pockets.figures(name, size, depth)
    assert not found.standing
    assert found.way <= pockets.MOST_WAY
    assert found.time <= pockets.MOST_TIME[size]


def test_wood_left_standing_and_wood_gone_too_far_are_seen():
    """A pocket is not that of another area, 0.2 mm more or less."""
    text = pockets.program("L", "small", 3.0)
    for off in (0.2, -0.2):
        area = pockets.SHAPES["L"]["small"].buffer(off, join_style="mitre")
        assert pockets.standing(text, area, 3.0)
    assert not pockets.standing(text, pockets.SHAPES["L"]["small"], 3.0)


def test_a_way_gone_twice_counts_twice():
    """All of it again, from the first place on, with one lift more."""
    text = pockets.program("circle", "small", 3.0)
    begin, end = text.index("(pocket)\n") + len("(pocket)\n"), text.index("G0 Z5", text.index("(pocket)"))
    twice = text[:end] + "G0 Z5\n" + text[begin:end] + text[end:]
    once, again = (pockets.measure(one, pockets.FIXTURE)[0] for one in (text, twice))
    assert again.level == pytest.approx(2 * once.level)
    assert again.down == pytest.approx(2 * once.down)
    assert again.lifts == once.lifts + 1
    assert again.cutting > 2 * once.cutting
    assert tp.read(twice)
