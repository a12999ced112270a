"""Time of the whole reference job, as a ratio to importing the libraries it stands on.

    python tests/benchmarks/whole_job.py [ROUNDS]

Both are run as fresh processes, turn and turn about, in one run on one machine; the best of
each counts, since noise only adds. The whole job is imports, generation, writing, reading and
simulation of both sides at 0.25 mm cells, and judging them against the part, which is about half of it.
Goal: at most 6, which it does not reach.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
IMPORTS = ["-c", "import numpy, shapely, pyclipper"]


def seconds(arguments: list[str]) -> float:
    """Wall time of one Python process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
    return time.perf_counter() - start


def measure(rounds: int) -> tuple[float, float]:
    """Best seconds of the imports alone, and of the whole job."""
    with tempfile.TemporaryDirectory() as folder:
        job = ["samples/weather_station.py", folder]
        pairs = [(seconds(IMPORTS), seconds(job)) for _ in range(rounds)]
    return min(base for base, _ in pairs), min(whole for _, whole in pairs)


if __name__ == "__main__":
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    base, whole = measure(rounds)
    print(f"imports {base:.3f} s, whole job {whole:.3f} s: ratio {whole / base:.2f}, goal 6, best of {rounds}")
