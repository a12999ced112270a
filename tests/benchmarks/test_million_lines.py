"""The benchmark runs, on short programs that read and are judged; nothing is asserted about its times."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from toolpaths.judging.reader.read import read

BENCH = runpy.run_path(str(Path(__file__).with_name("million_lines.py")))


@pytest.mark.sample(1)
@pytest.mark.parametrize("kind", BENCH["KINDS"])
def test_every_kind_of_program_is_read_and_measured(kind: str) -> None:
    assert len(read(BENCH["KINDS"][kind](1_000)).motions) == 1_000 + 5
    found = BENCH["measure"](kind, 100, 1)
    assert all(value > 0 for value in found.values())
