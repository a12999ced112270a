"""Time to write many jobs one after the other, as a ratio to writing them on processes of their own.

    python tests/benchmarks/many_jobs.py [SIZES]

Sizes of the drawer front of samples/size_range.py, judged at 1 mm cells and written. The time of the processes contains
their start. Goal: at least 1.7 on two cores that are idle.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path
from time import perf_counter

import toolpaths as tp

GOAL = 1.7
sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "samples"))


def measured(count: int) -> tuple[float, float]:
    """Seconds one after the other, and on processes."""
    import size_range

    jobs = [size_range.front(*size) for size in size_range.sizes()[:count]]
    jobs[0].report(cell=1.0)  # what is imported once is so before either is timed
    with tempfile.TemporaryDirectory() as folder:
        begun = perf_counter()
        for number, job in enumerate(jobs):
            job.write(Path(folder) / str(number), cell=1.0)
        between = perf_counter()
        assert all(outcome.ok for outcome in tp.write_all(jobs, Path(folder) / "all", cell=1.0))
        return between - begun, perf_counter() - between


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    alone, together = measured(count)
    missed = "  below the goal" if alone / together < GOAL else ""
    print(f"{count} sizes: {alone:.1f} s one after the other, {together:.1f} s on {os.cpu_count()} processes")
    print(f"ratio {alone / together:.2f}, goal {GOAL:g}{missed}")
