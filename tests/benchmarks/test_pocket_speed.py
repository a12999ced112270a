"""The script that measures how long pockets take works, and measures what it says."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def test_pockets_are_timed_over_their_offsets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))
    bench = runpy.run_path(str(HERE / "pocket_speed.py"))
    heptagon = bench["SHAPES"]["heptagon"]

    # 62 cos(pi / 7) to each side, less a radius, and 2.4 mm from loop to loop.
    assert bench["zones"](heptagon) == bench["walls"](heptagon) == 23
    by_zones, by_walls = bench["figures"]("heptagon", 1)
    assert by_zones.best > 1 and by_walls.best > 1
