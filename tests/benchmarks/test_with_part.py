"""The script that measures how long judging with the part takes works, and measures what it says."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.long
def test_a_sample_is_judged_with_its_part_and_without(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))
    bench = runpy.run_path(str(HERE / "with_part.py"))
    found = bench["measured"]("peg_game", 1, cell=2.0)
    assert found.best > 1 and found.seconds > 0
