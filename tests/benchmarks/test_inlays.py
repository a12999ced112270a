"""Inserts fit their recesses within 0.02 mm of what was asked, as the benchmark has them."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

BENCH = runpy.run_path(str(Path(__file__).parent / "inlays.py"))


@pytest.mark.sample(0, long=4)
@pytest.mark.parametrize("kind", BENCH["KINDS"])
@pytest.mark.parametrize("shape", BENCH["SHAPES"])
def test_gaps_are_within_the_goal(shape: str, kind: str) -> None:
    found = BENCH["fit"](shape, kind)
    assert found.off <= BENCH["GOAL"]
    assert found.overlap_mm3 <= 0.001 * found.walls_mm2
