"""The figures of hangers.py, held: volumes from the text, by solids and by the simulator."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest


@pytest.mark.long
def test_hangers_and_cups_take_what_the_formulas_say() -> None:
    bench = runpy.run_path(str(Path(__file__).parent / "hangers.py"))
    found = bench["keyhole"]()
    assert found["swept"] == pytest.approx(bench["VOLUME"], abs=0.15)
    assert found["simulated"] == pytest.approx(bench["VOLUME"], rel=0.002)
    assert found["bearing"] == pytest.approx(bench["BEARING"], abs=1e-9)
    assert bench["cup"]() == pytest.approx(bench["CUP"], rel=0.001)
