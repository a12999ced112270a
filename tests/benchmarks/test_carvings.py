"""The script that measures carvings works, and measures what it says."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest
import shapely

HERE = Path(__file__).parent


@pytest.mark.long
def test_carvings_are_measured_against_what_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))
    bench = runpy.run_path(str(HERE / "carvings.py"))

    volume, deep = bench["carved"]("L", (bench["V90"],))
    assert volume == pytest.approx(380.2355, rel=bench["VOLUME"]) and deep == pytest.approx(3.514719, abs=0.01)
    over, inside = bench["off_the_line"](bench["KNOWN"]["plus"].shape)
    assert 0 <= over <= 0.01 and inside <= 0.01
    # Inside a strip of 40 x 1 the middle of which is a row of edges, each a piece long at most.
    assert bench["rough_axes"](shapely.box(0, 0, 40, 1)) >= 40 / bench["PIECE"]
    assert bench["planning"](1).best > 1
