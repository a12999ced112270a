"""Time to read a long program, and to read and judge it, as ratios to splitting its lines into words.

    python tests/benchmarks/million_lines.py [LINES] [ROUNDS]

The base is `[line.split() for line in text.splitlines()]` of the same text. Each kind of program is
measured in a process of its own, all in turn within it; the best of each counts, since noise only adds.
Peak memory is that of the process before the base is first measured. Goal: reading and judging within 3.
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from toolpaths import Board, Cutter, Fixture, flat, simulate
from toolpaths.gcode.read import read

ROOT = Path(__file__).resolve().parents[2]
HEAD = "G21 G90 G17 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X300 Y200\nG1 Z-1 F900\n"
TAIL = "G0 Z20\nM5\nM30\n"
FIXTURE = Fixture(board=Board(width=600, height=400, thickness=18))
CUTTERS = [Cutter(1, flat(6), 1500, 16000, cutting_length=20)]


def _walk(line: Callable[[int, float, float, random.Random], str], lines: int) -> str:
    """A cutter that strays over the board in small steps."""
    chance = random.Random(1)
    x, y, body = 300.0, 200.0, []
    for index in range(lines):
        x = min(max(x + chance.uniform(-1, 1), 5.0), 595.0)
        y = min(max(y + chance.uniform(-1, 1), 5.0), 395.0)
        body.append(line(index, x, y, chance))
    return HEAD + "\n".join(body) + "\n" + TAIL


def _arcs(lines: int) -> str:
    """Half turns to and fro, across the board and back."""
    body = []
    for index in range(lines):
        along = index % 400 if index // 400 % 2 == 0 else 400 - index % 400
        step = 1 if index // 400 % 2 == 0 else -1
        body.append(f"G{2 + index % 2} X{100 + along + step} I{step / 2}")
    return HEAD.replace("X300", "X100") + "\n".join(body) + "\n" + TAIL


LINES: dict[str, Callable[[int, float, float, random.Random], str]] = {
    "G1 X Y": lambda index, x, y, chance: f"G1 X{x:.3f} Y{y:.3f}",
    "X": lambda index, x, y, chance: f"X{x:.3f}",
    "N G1 X Y": lambda index, x, y, chance: f"N{index % 99_999} G1 X{x:.3f} Y{y:.3f}",
    "G1 X Y Z F": lambda index, x, y, chance: (
        f"G1 X{x:.3f} Y{y:.3f} Z{-chance.uniform(0.5, 1.5):.3f} F{chance.randint(900, 999)}"
    ),
}


KINDS = {
    **{name: partial(_walk, line) for name, line in LINES.items()},
    "G2 G3 X I": _arcs,
}


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    result = work()
    taken = time.perf_counter() - start
    del result
    return taken


def measure(kind: str, lines: int, rounds: int) -> dict[str, float]:
    """Best seconds of "split", "read" and "judge" (which reads too), and "peak" memory in MB."""
    text = KINDS[kind](lines)
    best = {"split": float("inf"), "read": float("inf"), "judge": float("inf")}
    peak = 0.0
    for _ in range(rounds):
        best["read"] = min(best["read"], _seconds(lambda: read(text)))
        best["judge"] = min(best["judge"], _seconds(lambda: simulate(text, FIXTURE, CUTTERS)))
        peak = peak or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        best["split"] = min(best["split"], _seconds(lambda: [line.split() for line in text.splitlines()]))
    return {**best, "peak": peak}


def show(kind: str, lines: int, rounds: int) -> None:
    found = measure(kind, lines, rounds)
    split, read_, judge = found["split"], found["read"], found["judge"]
    print(
        f"{kind:12} split {split:.2f} s, read {read_:.2f} s: ratio {read_ / split:.2f}; "
        f"read and judge {judge:.2f} s: ratio {judge / split:.2f}, goal 3; peak {found['peak']:.0f} MB",
        flush=True,
    )


if __name__ == "__main__":
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    if len(sys.argv) > 3:
        show(sys.argv[3], lines, rounds)
    else:
        for kind in KINDS:
            subprocess.run([sys.executable, __file__, str(lines), str(rounds), kind], check=True, cwd=ROOT)
