"""How long a pocket takes, in a setup, over the bare offsets that it needs; and how that grows with their number.

    python tests/benchmarks/pocket_speed.py [SHAPE ...]

The offsets: the outline with vertices dropped within a hundredth of the tolerance, its loops a stepover apart until
nothing is left, by the engine for zones and by that for walls. Goal: at most 12 times those by the faster one.

The exponent with which the seconds of one pocket of many areas grow, from 10 to 160 of them. Goal: at most 1.1.

A star marks a goal missed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from math import cos, log, pi, sin
from pathlib import Path
from time import perf_counter

import numpy as np
import shapely
from shapely import Polygon, box

import toolpaths as tp
from toolpaths.shapes import offset

sys.path.insert(0, str(Path(__file__).parent))
from ratio import Ratio, fresh, ratio

GOAL, MOST_GROWTH = 12.0, 1.1
TOLERANCE = 0.01
CUTTER = tp.Cutter(1, tp.flat(6), 1500, 18000, cutting_length=20)
FINE = tp.Cutter(1, tp.flat(3), 1500, 18000, cutting_length=20)
FIXTURE = tp.Fixture(board=tp.Board(width=200, height=150, thickness=18))
DEPTH = 2 * CUTTER.running.step_down
MIDDLE = (100.0, 75.0)
COUNTS = (10, 40, 160)


def _smooth(count: int) -> Polygon:
    """A lobed curve in so many chords."""
    turn = np.linspace(0, 2 * pi, count, endpoint=False)
    radius = 40 + 7 * np.cos(3 * turn) + 4 * np.sin(2 * turn)
    return Polygon(np.column_stack([MIDDLE[0] + 1.3 * radius * np.cos(turn), MIDDLE[1] + radius * np.sin(turn)]))


def _polygon(corners: int, radius: float, centre: tuple[float, float] = MIDDLE) -> Polygon:
    turns = [2 * pi * i / corners + 0.3 for i in range(corners)]
    return Polygon([(centre[0] + radius * cos(turn), centre[1] + radius * sin(turn)) for turn in turns])


SHAPES = {
    "smooth 200": _smooth(200),
    "smooth 1000": _smooth(1000),
    "heptagon": _polygon(7, 62),
    "Z": box(30, 20, 110, 55) | box(75, 40, 110, 110) | box(75, 95, 165, 130),
    "round islands": box(25, 20, 175, 130) - tp.circle(30, (70, 60)) - tp.circle(22, (125, 95)),
    "square islands": _polygon(9, 65) - box(80, 60, 105, 80) - box(115, 90, 130, 100),
}


def pocketed(shape: Polygon) -> tuple[object, ...]:
    """A pocket of two passes, asked for as a user asks, to its toolpath."""
    return tp.Setup(FIXTURE, [tp.pocket(shape, CUTTER, depth=DEPTH)], tolerance=TOLERANCE).steps


def bare(shape: Polygon, moved: Callable[[shapely.Geometry, float], shapely.Geometry]) -> int:
    """The loops by one engine; how many."""
    slim = shapely.simplify(shape, TOLERANCE / 10)
    count = 0
    while not moved(slim, -CUTTER.radius - 0.4 * CUTTER.diameter * count).is_empty:
        count += 1
    return count


def zones(shape: Polygon) -> int:
    return bare(shape, shapely.buffer)


def walls(shape: Polygon) -> int:
    return bare(shape, lambda area, distance: offset.wall(area, distance, TOLERANCE))


def figures(name: str, rounds: int = 7) -> tuple[Ratio, Ratio]:
    """Over the offsets by the engine for zones, and over those for walls."""
    shape = SHAPES[name]
    thing = partial(pocketed, shape)
    return ratio(thing, partial(zones, shape), rounds), ratio(thing, partial(walls, shape), rounds)


def growth(counts: tuple[int, ...] = COUNTS) -> float:
    """The exponent with which seconds grow with the number of areas, from the first to the last of some counts."""
    taken = []
    for count in counts:
        areas = [tp.rectangle(9, 8, (15.0 + 11 * (i % 16), 15.0 + 11 * (i // 16))) for i in range(count)]
        pocket = tp.pocket(areas, FINE, depth=2)
        best = min(_seconds(partial(pocket.toolpaths, FIXTURE, TOLERANCE)) for _ in range(3))
        taken.append(best)
    return log(taken[-1] / taken[0]) / log(counts[-1] / counts[0])


def _seconds(call: Callable[[], object]) -> float:
    fresh()
    begin = perf_counter()
    call()
    return perf_counter() - begin


if __name__ == "__main__":
    print(f"{'':16}{'ms':>6}{'over zones':>12}{'median':>8}{'over walls':>12}{'median':>8}   goal {GOAL:g}")
    for name in sys.argv[1:] or SHAPES:
        by_zones, by_walls = figures(name)
        print(
            f"{name:16}{by_zones.seconds * 1000:6.0f}{by_zones.best:12.1f}{by_zones.median:8.1f}{by_walls.best:12.1f}"
            f"{by_walls.median:8.1f}{'  *' if by_zones.median > GOAL else ''}",
            flush=True,
        )
    if not sys.argv[1:]:
        exponent = growth()
        print(f"growth from {COUNTS[0]} to {COUNTS[-1]} areas: {exponent:.2f}, goal {MOST_GROWTH}", end="")
        print("  *" if exponent > MOST_GROWTH else "")
