"""The figures of edges.py, held."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest


@pytest.mark.long
def test_rounded_edges_take_what_the_formula_says() -> None:
    bench = runpy.run_path(str(Path(__file__).parent / "edges.py"))
    assert max(bench["off"](radius) for radius in bench["RADII"]) <= bench["MOST_OFF"]
