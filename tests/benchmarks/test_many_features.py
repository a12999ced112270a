"""The benchmark runs on few features: nothing asserted about the time it takes. What is counted instead is work."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest
import shapely
from toolpaths.judging.checks.part import target, wood_at
from toolpaths.judging.trial import exact_heights

BENCH = runpy.run_path(str(Path(__file__).with_name("many_features.py")))
ALL = [*BENCH["KINDS"], BENCH["MIXED"]]


@pytest.mark.parametrize("kind", ALL)
def test_both_are_measured_and_no_part_is_off(kind):
    judged = BENCH["program"](kind, 3)
    without, with_it = BENCH["measure"](judged, 1.0, 1)
    assert 0 < without and 0 < with_it
    found = judged.judge(1.0, judged.part).codes()
    assert found == judged.judge(1.0).codes()
