"""The curved outline of the reference job stays short: arcs, not chords."""

from __future__ import annotations

import runpy
from pathlib import Path

bench = runpy.run_path(str(Path(__file__).with_name("outline_lines.py")))


def test_outline_takes_few_lines_a_pass() -> None:
    """At most 60 a pass of all that is written for it, ways there and home included."""
    lines, passes = bench["outline"]()
    assert passes >= 2
    assert len(lines) / passes <= bench["GOAL"]


def test_outline_is_arcs() -> None:
    """Below the board's top nothing goes straight but down and up: the outline holds no straight side."""
    lines, _ = bench["outline"]()
    cuts = [line for line in lines if "X" in line and not line.startswith("G0")]
    assert cuts
    mode = ""
    for line in lines:
        mode = line.split()[0] if line[0] == "G" else mode
        if mode == "G1":
            assert "X" not in line and "Y" not in line, line
