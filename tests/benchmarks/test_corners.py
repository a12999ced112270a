"""Corners left by a coarse cutter are cleaned in a short way, and beside the wood."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

bench = runpy.run_path(str(Path(__file__).with_name("corners.py")))


@pytest.mark.sample(2)
@pytest.mark.parametrize(("coarse", "fine"), bench["PAIRS"])
def test_corners_are_cleaned_in_a_short_way(coarse: float, fine: float) -> None:
    """At most 6 R at feed for a corner and a level, and a twentieth of it clear of the wood; see corners.py.

    Yet the wood in a corner is as long as the two stretches of wall that the coarse cutter lost, R less r each.
    """
    found = bench["figures"](coarse, fine)
    assert 2 * (coarse - fine) <= found.feed <= bench["MOST_FEED"] * coarse
    assert found.clear <= bench["MOST_CLEAR"]
