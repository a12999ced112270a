"""Rows take little more of a board than the parts themselves, and the way from part to part is short."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.long
@pytest.mark.parametrize("name", ["rectangles", "triangles", "mixture"])
def test_boards_are_used_and_ways_are_short(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))
    bench = runpy.run_path(str(HERE / "many_parts.py"))
    found = bench["layout"](name)
    assert bench["share_used"](found) >= bench["GOALS"][name]
    assert 1.0 - 1e-9 <= bench["way_ratio"](found, name) <= bench["WAY_GOAL"]
