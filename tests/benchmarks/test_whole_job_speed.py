"""The benchmark runs: the round that keeps compiled files, nothing asserted about the time it takes."""

from __future__ import annotations

import runpy
import tempfile
from pathlib import Path

import pytest


@pytest.mark.long
def test_whole_job_measures_both_halves() -> None:
    """Imports alone and the whole job are both measured."""
    bench = runpy.run_path(str(Path(__file__).with_name("whole_job.py")))
    with tempfile.TemporaryDirectory() as folder:
        base = bench["seconds"](bench["IMPORTS"], folder)
        whole = bench["seconds"](["samples/weather_station.py", str(Path(folder) / "job")], folder)
        assert any((Path(folder) / "compiled").rglob("*.pyc"))
    assert 0 < base < whole
