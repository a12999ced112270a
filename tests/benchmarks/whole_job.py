"""Time of the whole reference job, as a ratio to importing the libraries it stands on.

    python tests/benchmarks/whole_job.py [ROUNDS]

Both are run as fresh processes, turn and turn about, in one run on one machine, with compiled files kept from a round
before that does not count. The whole job is imports, generation, writing, reading and simulation of both sides at
0.25 mm cells, judging them against the part, and writing programs, report and sheet. Goal: at most 5, which it does
not reach.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

GOAL = 5
ROOT = Path(__file__).resolve().parents[2]
IMPORTS = ["-c", "import numpy, shapely, pyclipper"]


def seconds(arguments: list[str], folder: str) -> float:
    """Wall time of one Python process, which keeps its compiled files in a folder."""
    kept = {**os.environ, "PYTHONPYCACHEPREFIX": str(Path(folder) / "compiled")}
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, cwd=ROOT, env=kept)
    return time.perf_counter() - start


def measure(rounds: int) -> tuple[list[float], list[float]]:
    """Seconds of the imports alone, and of the whole job, in each round."""
    with tempfile.TemporaryDirectory() as folder:
        job = ["samples/weather_station.py", str(Path(folder) / "job")]
        pairs = [(seconds(IMPORTS, folder), seconds(job, folder)) for _ in range(rounds + 1)]
    return [base for base, _ in pairs[1:]], [whole for _, whole in pairs[1:]]


if __name__ == "__main__":
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    base, whole = measure(rounds)
    for name, of in (("best", min), ("median", median)):
        print(f"imports {of(base):.3f} s, whole job {of(whole):.3f} s: ratio {of(whole) / of(base):.2f}, {name}")
    print(f"goal {GOAL:g}, {rounds} rounds")
