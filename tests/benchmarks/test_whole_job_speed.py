"""The benchmark runs: one round, nothing asserted about the time it takes."""

from __future__ import annotations

import runpy
from pathlib import Path


def test_whole_job_measures_both_halves() -> None:
    """Imports alone and the whole job are both measured."""
    bench = runpy.run_path(str(Path(__file__).with_name("whole_job.py")))
    base, whole = bench["measure"](1)
    assert 0 < base < whole
