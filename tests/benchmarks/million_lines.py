"""Time to read a long program, and to read and judge it, as ratios to splitting its lines into words.

    python tests/benchmarks/million_lines.py [LINES] [ROUNDS]

The base is `[line.split() for line in text.splitlines()]` of the same text. Each kind of program is
measured in a process of its own, all in turn within it; the best of each counts, since noise only adds.
Peak memory is that of the process before the base is first measured. Goal: reading and judging within 3
where every move of a flat cutter is at one depth, and ten times the lines in no more than ten times the time.
The other kinds, a ball and surfaces in three dimensions, are measured without a goal.
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from math import cos, pi, sin
from pathlib import Path

from toolpaths import Board, Cutter, Fixture, ball, flat, simulate
from toolpaths.judging.reader.read import read

ROOT = Path(__file__).resolve().parents[2]
HEAD = "G21 G90 G17 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X300 Y200\nG1 Z-1 F900\n"
TAIL = "G0 Z20\nM5\nM30\n"
FIXTURE = Fixture(board=Board(width=600, height=400, thickness=18))
CUTTERS = [Cutter(1, flat(6), 1500, 16000, cutting_length=20), Cutter(2, ball(6), 1500, 16000)]


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


def _rows(place: Callable[[float, float], str], tool: int, lines: int) -> str:
    """Rows half a millimetre apart, each of 1200 short lines, to and fro."""
    body = []
    for index in range(lines):
        row, step = divmod(index, 1200)
        along = step if row % 2 == 0 else 1199 - step
        body.append(place(10 + along * 0.48, 10 + row % 760 * 0.5))
    head = HEAD.replace("T1", f"T{tool}").replace("X300 Y200", "X9.5 Y10")
    return head + "\n".join(body) + "\n" + TAIL


def _hills(x: float, y: float) -> str:
    return f"G1 X{x:.3f} Y{y:.3f} Z{-5 + 4 * sin(x / 40 * 2 * pi) * cos(y / 50 * 2 * pi):.3f}"


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
    "rows": partial(_rows, lambda x, y: f"X{x:.3f} Y{y:.3f}", 1),
    "ball": lambda lines: _walk(LINES["G1 X Y"], lines).replace("T1", "T2"),
    "ball relief": partial(_rows, _hills, 2),
    "flat relief": partial(_rows, _hills, 1),
}


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    result = work()
    taken = time.perf_counter() - start
    del result
    return taken


def measure(kind: str, lines: int, rounds: int) -> dict[str, float]:
    """Best seconds of "split", "read", "judge" (which reads too) and judging a "tenth" of it; "peak" memory in MB."""
    text, tenth = KINDS[kind](lines), KINDS[kind](lines // 10)
    best = {"split": float("inf"), "read": float("inf"), "judge": float("inf"), "tenth": float("inf")}
    peak = 0.0
    for _ in range(rounds):
        best["read"] = min(best["read"], _seconds(lambda: read(text)))
        best["judge"] = min(best["judge"], _seconds(lambda: simulate(text, FIXTURE, CUTTERS)))
        peak = peak or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        best["tenth"] = min(best["tenth"], _seconds(lambda: simulate(tenth, FIXTURE, CUTTERS)))
        best["split"] = min(best["split"], _seconds(lambda: [line.split() for line in text.splitlines()]))
    return {**best, "peak": peak}


def show(kind: str, lines: int, rounds: int) -> None:
    found = measure(kind, lines, rounds)
    split, read_, judge = found["split"], found["read"], found["judge"]
    print(
        f"{kind:12} split {split:.2f} s, read {read_:.2f} s: ratio {read_ / split:.2f}; "
        f"read and judge {judge:.2f} s: ratio {judge / split:.2f}, "
        f"{judge / found['tenth']:.1f} times as long as a tenth of it; peak {found['peak']:.0f} MB",
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
