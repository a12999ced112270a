"""What a finer cutter takes to clean the four corners of a rectangle after a coarser one, from the text.

    python tests/benchmarks/corners.py

feed   mm at feed for a corner and a level, ways in and out included, and as a multiple of the coarse radius R.
       Goal: at most 6 R
clear  share of it with the rim farther from the wood that the coarse cutter left than the finer one's radius.
       Goal: at most 5 %
axis   the same for the axis: as short a way as this is never within it all the time. No goal
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np
import shapely
from shapely import box

import toolpaths as tp
from toolpaths.judging.reader.motions import ARC, FEED
from toolpaths.shapes.track import Segment

sys.path.insert(0, str(Path(__file__).parent))
from measure import measure

SHAPE = box(40, 30, 150, 100)
FIXTURE = tp.Fixture(board=tp.Board(width=200, height=150, thickness=18))
LEVELS = 4
# Radius of the coarse cutter and of the finer one, mm.
PAIRS = ((2.0, 1.0), (3.0, 1.0), (3.0, 1.5), (4.0, 2.0), (6.0, 1.5), (6.0, 3.0))
MOST_FEED, MOST_CLEAR = 6.0, 0.05


class Figures(NamedTuple):
    """See above; feed in mm."""

    feed: float
    clear: float
    axis: float


def figures(coarse: float, fine: float) -> Figures:
    """The corners after a cutter of one radius, cleaned by one of another."""
    first, second = (
        tp.Cutter(number, tp.flat(2 * radius), 1800, 16000, cutting_length=20)
        for number, radius in ((1, coarse), (2, fine))
    )
    work = tp.pocket(SHAPE, [first, second], depth=LEVELS * second.running.step_down)
    text = tp.program_text(tp.Setup(FIXTURE, [work]))
    *_, rest = measure(text, FIXTURE)
    left = SHAPE.difference(SHAPE.buffer(-coarse, quad_segs=64).buffer(coarse, quad_segs=64))
    motions = tp.read(text).motions
    total = np.zeros(3)
    for i in np.flatnonzero((motions.tool == 2) & np.isin(motions.kind, (FEED, ARC))):
        (x0, y0, z0), (x1, y1, z1), (cx, cy, _) = motions.start[i], motions.end[i], motions.centre[i]
        segment = Segment((x0, y0), (x1, y1), (cx, cy), float(motions.sweep[i]))
        away = np.array([left.distance(shapely.Point(segment.at(share))) for share in np.linspace(0, 1, 20)])
        long = float(np.hypot(segment.length, z1 - z0))
        total += long * np.array([1.0, (away > 2 * fine).mean(), (away > fine * 1.001).mean()])
    assert abs(total[0] - rest.feed) < 1e-3 * rest.feed, "the two ways to measure it differ"
    return Figures(rest.feed / 4 / LEVELS, total[1] / total[0], total[2] / total[0])


if __name__ == "__main__":
    print("   R     r    feed    of R   clear    axis")
    for coarse, fine in PAIRS:
        found = figures(coarse, fine)
        share = "  ".join(f"{part:6.1%}" for part in (found.clear, found.axis))
        print(f"{coarse:4.1f}  {fine:4.1f}  {found.feed:6.2f}  {found.feed / coarse:6.2f}  {share}")
