"""Time to judge the samples with the part meant, as a ratio to judging them without.

    python tests/benchmarks/with_part.py [ROUNDS]

Both judge the same programs of all sides at 0.25 mm cells in one process, turn and turn about. Goal: at most 1.5.
"""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

from ratio import Ratio, ratio

import toolpaths as tp

GOAL = 1.5
SAMPLES = ("weather_station", "organiser_tray", "peg_game")
sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "samples"))


def measured(name: str, rounds: int = 7, cell: float = 0.25) -> Ratio:
    """How many times as long a sample is judged with its part."""
    job: tp.Job = import_module(name).job
    sides = [(text, setup.fixture) for setup, text in zip(job.setups, job.programs().values(), strict=True)]
    cutters = [cutter for setup in job.setups for cutter in setup.cutters]
    return ratio(
        lambda: tp.verify(sides, cutters, cell=cell, part=job.part),
        lambda: tp.verify(sides, cutters, cell=cell),
        rounds,
    )


if __name__ == "__main__":
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    for name in SAMPLES:
        found = measured(name, rounds)
        missed = "  over the goal" if found.best > GOAL else ""
        print(f"{name:16} {found.seconds:.3f} s, ratio {found.best:.2f} best, {found.median:.2f} median{missed}")
    print(f"goal {GOAL:g}, {rounds} rounds")
