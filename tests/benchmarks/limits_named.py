"""Figures that the README's "What it does not do yet" names, and no other benchmark prints.

    python tests/benchmarks/limits_named.py

tracing    a picture of 400 discs, 1200 pixels wide, over its contours by the library. Named: 40 to 110 times
rows       lines of the ball's program of a dish in rows along the grain over that in rings. Named: seven to ten times
islands    way x stepover / area that can be reached, of a pocket with islands at stepovers of 0.48 and 0.5, over that
           at 0.44. Named: up to a tenth more

A star marks a figure above what is named.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from shapely import Polygon, box

import toolpaths as tp

sys.path.insert(0, str(Path(__file__).parent))
from ratio import ratio

TRACING, ROWS, ISLANDS = 110.0, 10.5, 1.10
MILL = tp.Cutter(1, tp.flat(8), 2400, 18000, step_down=4, cutting_length=40)
BALL = tp.Cutter(2, tp.ball(12), 3000, 18000, step_down=6, cutting_length=40)
FINE = tp.Cutter(1, tp.flat(6), 1800, 16000, cutting_length=20)
FIXTURE = tp.Fixture(board=tp.Board(width=200, height=200, thickness=28))


def discs(across: int) -> np.ndarray:
    """Greys of so many discs each way, 60 pixels apart, their edges as an area sampled."""
    rng = np.random.default_rng(1)
    size = 60 * across
    y, x = np.mgrid[:size, :size]
    grey = np.full((size, size), 255.0)
    for place in np.stack(np.meshgrid(range(across), range(across)), axis=-1).reshape(-1, 2):
        (left, low), radius = 60 * place + 30 + rng.uniform(-3, 3, 2), rng.uniform(8, 18)
        near = np.s_[int(low) - 25 : int(low) + 26, int(left) - 25 : int(left) + 26]
        grey[near] = 255 * np.clip(np.hypot(x[near] - left, y[near] - low) - radius + 0.5, 0, 1)
    return grey.astype(np.uint8)


def tracing(across: int) -> float:
    from contourpy import contour_generator

    grey = discs(across)
    picture = tp.read_picture(grey, width=600)
    level = 127.5
    return ratio(lambda: picture.outlines(), lambda: contour_generator(z=grey.astype(float)).lines(level)).best


def rows_over_rings(wide: float, deep: float) -> float:
    lines = {}
    for pattern in ("rings", "along the grain"):
        shape = tp.circle(wide, (100, 100))
        work = [tp.hollow(shape, [MILL, BALL], depth=deep, scallop=0.05, pattern=pattern)]
        text = tp.program_text(tp.Setup(FIXTURE, work))
        lines[pattern] = text[text.rindex("M6") :].count("\n")
    return lines["along the grain"] / lines["rings"]


ROOM = box(30, 25, 150, 105) - tp.circle(18, (60, 60)) - box(95, 50, 115, 80)


def way(room: Polygon, stepover: float) -> float:
    """Of one pass, level ways at feed x stepover / area within reach."""
    deep = FINE.running.step_down
    work = [tp.pocket(room, FINE, depth=deep, stepover=stepover)]
    motions = tp.read(tp.program_text(tp.Setup(FIXTURE, work))).motions
    start, end, turned = motions.start, motions.end, motions.sweep
    level = (np.abs(start[:, 2] + deep) < 1e-6) & (np.abs(end[:, 2] + deep) < 1e-6)
    straight = np.hypot(*(end - start)[:, :2].T)
    round_about = np.abs(turned) * np.hypot(*(start - motions.centre)[:, :2].T)
    long = float(np.where(turned != 0, round_about, straight)[level].sum())
    return long * stepover * FINE.diameter / room.buffer(-3, quad_segs=64).buffer(3, quad_segs=64).area


def _line(name: str, value: float, named: float) -> None:
    print(f"{name:24} {value:6.2f}{'*' if value > named else ' '}  named {named:g}", flush=True)


def main() -> None:
    _line("tracing 400 discs", tracing(20), TRACING)
    for wide, deep in ((60, 6), (120, 8)):
        _line(f"rows, dish of {wide} mm", rows_over_rings(wide, deep), ROWS)
    least = way(ROOM, 0.44)
    for stepover in (0.48, 0.5):
        _line(f"islands at {stepover}", way(ROOM, stepover) / least, ISLANDS)


if __name__ == "__main__":
    main()
