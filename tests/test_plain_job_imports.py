"""A plain job loads nothing that it does not need."""

from __future__ import annotations

import subprocess
import sys

PLAIN_JOB = """
import sys, numpy, shapely, pyclipper
before = set(sys.modules)
import toolpaths as tp

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
board = tp.Board(width=120, height=90, thickness=18, wood="oak")
side = tp.Fixture(board=board, grips=(board.outline,))
tabs = tp.Tabs(count=2, width=8, height=4)
outline = tp.contour(tp.rectangle(60, 40, (60, 45)), T1, depth=tp.through(0.3), tabs=tabs)
job = tp.Job("Tile", [tp.Setup(side, [tp.pocket(tp.circle(20, (60, 45)), T1, depth=5), outline])])
assert "Tile" in job.sheet(job.report(cell=1.0))
print(*(set(sys.modules) - before))
"""
# What starts processes, reads fractions, compares words and copies files; and rooms for what is seldom done.
UNNEEDED = {
    "multiprocessing", "concurrent.futures", "fractions", "difflib", "shutil", "uuid",
    "toolpaths.job.replay", "toolpaths.job.restart", "toolpaths.judging.study", "toolpaths.judging.fit.laid_in",
    "toolpaths.making.operations.clearing.limited.limited_clearing",
}  # fmt: skip


def test_a_plain_job_loads_nothing_that_it_does_not_need() -> None:
    done = subprocess.run([sys.executable, "-c", PLAIN_JOB], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "toolpaths.judging.simulate" in loaded
    assert not loaded & UNNEEDED
