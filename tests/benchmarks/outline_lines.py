"""Lines of G-code for the curved outline of the reference job, with its six tabs, a pass.

    python tests/benchmarks/outline_lines.py

All lines between the comment of that piece of work and the next, divided by its passes: the heights at which the
cutter goes level, that of the tabs left out. Goal: at most 60.
"""

from __future__ import annotations

import runpy
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from measure import measure

import toolpaths as tp

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "weather_station.py"
GOAL = 60
# Height of the wood left in a tab, as the sample asks for it.
TAB = 4.0


def outline() -> tuple[list[str], int]:
    """The lines of text of the outline, and its passes."""
    front = runpy.run_path(str(SAMPLE))["front"]
    text = tp.program_text(front)
    work = measure(text, front.fixture)[-1]
    assert work.name == "outline"
    lines = text.splitlines()
    begin = lines.index("(outline)") + 1
    end = next((n for n, line in enumerate(lines[begin:], start=begin) if line.startswith("(")), len(lines))
    raised = round(TAB - front.fixture.board.thickness, 4)
    assert raised in work.heights
    return lines[begin:end], len(work.heights) - 1


if __name__ == "__main__":
    lines, passes = outline()

    print(f"{len(lines)} lines, {passes} passes: {len(lines) / passes:.1f} a pass, goal {GOAL}")
