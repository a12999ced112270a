"""The script that measures many jobs on processes works, and measures what it says."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.long
def test_jobs_are_written_one_after_the_other_and_on_processes() -> None:
    alone, together = runpy.run_path(str(HERE / "many_jobs.py"))["measured"](2)
    assert alone > 0 and together > 0
