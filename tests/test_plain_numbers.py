"""What is found of numbers without numpy.ma is what numpy finds, to the last digit; a plain job loads nothing more."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.base.plain_numbers import distinct, median, quantile

FLOATS = st.lists(st.floats(-1e6, 1e6) | st.sampled_from([0.0, 1.0, 1.0 + 1e-15]), min_size=1, max_size=40)

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
    "numpy.ma", "multiprocessing", "concurrent.futures", "fractions", "difflib", "shutil", "uuid",
    "toolpaths.job.replay", "toolpaths.job.restart", "toolpaths.judging.study", "toolpaths.judging.fit.laid_in",
    "toolpaths.making.operations.clearing.limited.limited_clearing",
}  # fmt: skip


@given(FLOATS)
def test_distinct_numbers_are_those_that_numpy_finds(numbers: list[float]) -> None:
    assert np.array_equal(distinct(np.array(numbers)), np.unique(numbers))


def test_of_no_numbers_none_are_distinct_and_rows_are_taken_together() -> None:
    assert distinct(np.empty(0, np.intp)).dtype == np.intp and not len(distinct(np.empty(0)))
    assert distinct(np.array([[2, 1], [1, 3]])).tolist() == [1, 2, 3]


@given(FLOATS, st.sampled_from([0.0, 0.1, 0.25, 0.5, 0.75, 0.9, 1.0]))
def test_a_quantile_is_that_of_numpy_to_the_last_digit(numbers: list[float], share: float) -> None:
    assert quantile(np.array(numbers), share) == np.quantile(numbers, share)


@given(FLOATS)
def test_a_median_is_that_of_numpy_to_the_last_digit(numbers: list[float]) -> None:
    assert median(np.array(numbers)) == np.median(numbers)


def test_a_plain_job_loads_nothing_that_it_does_not_need() -> None:
    done = subprocess.run([sys.executable, "-c", PLAIN_JOB], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "toolpaths.judging.simulate" in loaded
    assert not loaded & UNNEEDED
