"""Time to plan a contour over that of the bare offset it needs, and how it grows with the vertices of the outline.

    python tests/benchmarks/outline_speed.py [MOST]

Outlines of 100 vertices and more, up to MOST (100,000): smooth ones, and rough ones, whose vertices lie to either side
of a curve, or make a coast. Planned is from the shape to the toolpath; bare is one offset of the outline, less the
vertices that the tolerance may drop. Goals: the ratio at most 8 on smooth outlines up to ten thousand vertices, the
growth exponent at most 1.1, a hundred thousand vertices in a minute. The ratio is missed below some thousands.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable

import numpy as np
import shapely
from ratio import ratio
from shapely import Polygon

import toolpaths as tp
from toolpaths.shapes.offset import wall
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, SIMPLIFY

RATIO, EXPONENT, SECONDS = 8.0, 1.1, 60.0
MIDDLE = 150.0
CUTTER = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3, cutting_length=22)
FIXTURE = tp.Fixture(board=tp.Board(width=2 * MIDDLE, height=2 * MIDDLE, thickness=18))


def _ring(far: np.ndarray) -> Polygon:
    turns = np.arange(len(far)) * 2 * np.pi / len(far)
    return Polygon(np.column_stack([far * np.cos(turns), far * np.sin(turns)]) + MIDDLE)


def _wave(count: int) -> np.ndarray:
    turns = np.arange(count) * 2 * np.pi / count
    return np.asarray(80 * (1 + 0.08 * np.sin(2 * turns + 0.4) + 0.05 * np.cos(5 * turns)))


def smooth(count: int) -> Polygon:
    """A wavy closed curve."""
    return _ring(_wave(count))


def ragged(count: int) -> Polygon:
    """The same with noise of 0.2 mm to either side."""
    return _ring(_wave(count) + np.random.default_rng(count).uniform(-0.2, 0.2, count))


def coast(count: int) -> Polygon:
    """A coast line: each half of it shifted by half as much again."""
    random, far, shift = np.random.default_rng(5), np.full(4, 90.0), 12.0
    while len(far) < count:
        middles = (far + np.roll(far, -1)) / 2 + random.uniform(-shift, shift, len(far))
        far, shift = np.column_stack([far, middles]).ravel(), shift / 2
    return _ring(far[np.linspace(0, len(far), count, endpoint=False).astype(int)])


KINDS: dict[str, Callable[[int], Polygon]] = {"smooth": smooth, "ragged": ragged, "coast": coast}


def plan(shape: Polygon) -> tp.Setup:
    """A contour round an outline of which nothing is known yet."""
    return tp.Setup(FIXTURE, [tp.contour(Polygon(shapely.get_coordinates(shape)), CUTTER, depth=6)])


def bare(shape: Polygon) -> None:
    """The offset that it needs."""
    wall(shapely.simplify(shape, SIMPLIFY * DEFAULT_TOLERANCE), CUTTER.radius, DEFAULT_TOLERANCE, slim=False)


def main(most: int) -> None:
    plan(smooth(100))
    for kind, outline in KINDS.items():
        counts = [count for count in (100, 300, 1000, 3000, 10_000, 30_000, 100_000) if count <= most]
        spent = []
        for count in counts:
            shape = outline(count)
            found = ratio(lambda shape=shape: plan(shape), lambda shape=shape: bare(shape), 7 if count <= 3000 else 1)
            spent.append(found.seconds)
            print(f"{kind:7} {count:7} vertices: {found.seconds:8.3f} s, {found.best:6.1f} bare offsets", flush=True)
        if len(counts) > 1:
            exponent = math.log(spent[-1] / spent[0]) / math.log(counts[-1] / counts[0])
            print(f"{kind:7} growth exponent {exponent:.2f}, goal {EXPONENT}; ratio goal {RATIO:g} (smooth); 100,000 "
                  f"vertices in {SECONDS:g} s")  # fmt: skip


if __name__ == "__main__":
    main(int(float(sys.argv[1])) if len(sys.argv) > 1 else 100_000)
