"""Time to read a long program, and to read and judge it, as ratios to splitting its lines into words.

    python tests/benchmarks/million_lines.py [LINES] [ROUNDS [KIND]]

The base is `[line.split() for line in text.splitlines()]` of the same text; the garbage collector is off throughout.
Each kind of program is measured in a process of its own, all in turn within it; the best of each counts, since noise
only adds, and the median of the ratios of the rounds is printed beside it. Judged without the part, and with one: a
recess down to the lowest of it, which is what a random path or a relief leaves wood in. Peak memory is that of the
process after the first judging without the part, and after the first with it, the text itself included.

Goals: the ratios of GOALS without the part, half as much again with it; ten times the lines in no more than ten times
the time; 1 GiB with the part. Kinds that have none are measured all the same.
"""

from __future__ import annotations

import gc
import random
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from math import cos, pi, sin
from pathlib import Path

import shapely

from toolpaths import Board, Cutter, Fixture, Part, Recess, ball, flat, simulate
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


# By kind, and times as much that it may be with the part; MB with the part.
GOALS, WITH_PART, MEMORY = {"rows": 3.0, "G1 X Y": 3.0, "flat relief": 6.0, "ball relief": 8.0}, 1.5, 1024.0
RECESS = shapely.buffer(shapely.box(10, 10, 585.5, 389.5), 3)


KINDS = {
    **{name: partial(_walk, line) for name, line in LINES.items()},
    "G2 G3 X I": _arcs,
    "rows": partial(_rows, lambda x, y: f"X{x:.3f} Y{y:.3f}", 1),
    "ball": lambda lines: _walk(LINES["G1 X Y"], lines).replace("T1", "T2"),
    "ball relief": partial(_rows, _hills, 2),
    "flat relief": partial(_rows, _hills, 1),
}


def part_of(kind: str) -> Part:
    depth = 9.0 if "relief" in kind else 1.5 if "Z" in kind else 1.0
    return Part(board=FIXTURE.board, front=[Recess(area=RECESS, depth=depth)])


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    result = work()
    taken = time.perf_counter() - start
    del result
    return taken


def _peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def measure(kind: str, lines: int, rounds: int) -> dict[str, float]:
    """Best seconds of "split", "read", "judge" (which reads too), "part" (with the part), and judging a "tenth" of it;
    "judge median" and "part median" of the ratios to splitting; "peak" and "part peak" in MB."""
    text, tenth, part = KINDS[kind](lines), KINDS[kind](lines // 10), part_of(kind)
    works: dict[str, Callable[[], object]] = {
        "read": lambda: read(text),
        "judge": lambda: simulate(text, FIXTURE, CUTTERS),
        "part": lambda: simulate(text, FIXTURE, CUTTERS, part=part),
        "tenth": lambda: simulate(tenth, FIXTURE, CUTTERS),
        "split": lambda: [line.split() for line in text.splitlines()],
    }
    found, peaks = [], {}
    gc.disable()
    for _ in range(rounds):
        one = {}
        for name, work in works.items():
            one[name] = _seconds(work)
            peaks.setdefault(name, _peak())
        found.append(one)
        gc.collect()
    gc.enable()
    best = {name: min(one[name] for one in found) for name in works}
    medians = {
        f"{name} median": statistics.median(one[name] / one["split"] for one in found) for name in ("judge", "part")
    }
    return {**best, **medians, "peak": peaks["judge"], "part peak": peaks["part"]}


def show(kind: str, lines: int, rounds: int) -> None:
    found = measure(kind, lines, rounds)
    split, goal = found["split"], GOALS.get(kind)
    print(f"{kind:12} split {split:.2f} s, read {found['read'] / split:.2f} times that", end="")
    for name, peak, share in (("judge", "peak", 1.0), ("part", "part peak", WITH_PART)):
        ratio = found[name] / split
        against = "no goal" if goal is None else f"goal {goal * share:g}" + (", over" if ratio > goal * share else "")
        what = "judged" if name == "judge" else "with the part"
        print(f"; {what} {ratio:.2f}, median {found[f'{name} median']:.2f} ({against}), {found[peak]:.0f} MB", end="")
    print(
        f" (goal {MEMORY:g}); {found['judge'] / found['tenth']:.1f} times as long as a tenth of it (goal 10)",
        flush=True,
    )


if __name__ == "__main__":
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 7
    if len(sys.argv) > 3:
        show(sys.argv[3], lines, rounds)
    else:
        for kind in [*GOALS, *(kind for kind in KINDS if kind not in GOALS)]:
            subprocess.run([sys.executable, __file__, str(lines), str(rounds), kind], check=True, cwd=ROOT)
