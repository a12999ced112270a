"""What a limit of engagement costs: planning, length, air and short moves, in pockets from slots to wide rooms.

    python tests/benchmarks/limited_engagement.py [SHAPE ...]

One pass of a 6 mm cutter, with engagement_deg=60 and without. Level moves at feed, of the text of the program:

planning   over that of the same pocket without a limit, best and median. Goal: at most 8
length     over that without a limit. Goal: at most 3, in rooms wider than four diameters
air        the part of the length in which the rim meets no wood, by tests/engagement.py. Goal: at most 15 %
short      moves under 0.06 mm, of all. Goal: at most 5 %

A star marks a goal missed.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import NamedTuple

import numpy as np
import shapely
from shapely import Polygon, box

import toolpaths as tp
from toolpaths.judging.reader.read import read
from toolpaths.shapes.track import Segment

sys.path.insert(0, str(Path(__file__).parent.parent))
sys.path.insert(0, str(Path(__file__).parent))
from engagement import Step, measured
from ratio import Ratio, ratio

PLANNING, LENGTH, AIR, SHORT = 8.0, 3.0, 0.15, 0.05
LIMIT_DEG, RADIUS, SHORT_MM = 60.0, 3.0, 0.06
CUTTER = tp.Cutter(1, tp.flat(2 * RADIUS), 1800, 16000, cutting_length=20)
DEPTH = CUTTER.running.step_down
FIXTURE = tp.Fixture(board=tp.Board(width=200, height=150, thickness=18))

SHAPES = {
    "square": box(60, 35, 140, 115),
    "circle": tp.circle(90, (100, 75)),
    "triangle": Polygon([(40, 30), (120, 38), (70, 95)]),
    "U": box(40, 30, 120, 100) - box(67, 57, 93, 101),
    "cross": box(75, 25, 105, 125) | box(40, 60, 150, 90),
    "slot 6.6": tp.slot((60, 75), (120, 75), 6.6),
    "slot 8": tp.slot((60, 75), (120, 75), 8),
    "slot 11": tp.slot((60, 75), (120, 75), 11),
    "room 14": tp.rectangle(80, 14, (100, 75)),
    "room 25": tp.rectangle(80, 25, (100, 75)),
    "islands": box(30, 25, 150, 105) - tp.circle(18, (60, 60)) - box(95, 50, 115, 80),
}


class Figures(NamedTuple):
    """See above."""

    length: float
    air: float
    short: float


def planned(shape: Polygon, limit: float | None) -> object:
    return _pocket(shape, limit).toolpaths(FIXTURE)


def figures(shape: Polygon) -> Figures:
    """All but the time."""
    limited, free = _level(shape, LIMIT_DEG), _level(shape, None)
    lengths = np.array([step.segment.length for step in limited if step.z0 == step.z1 == -DEPTH])
    opened = shapely.buffer(shapely.buffer(shape, -RADIUS, quad_segs=64), RADIUS, quad_segs=64)
    cutting = measured(limited, -DEPTH, RADIUS, opened, LIMIT_DEG)
    return Figures(
        length=float(lengths.sum()) / sum(step.segment.length for step in free if step.z0 == step.z1 == -DEPTH),
        air=1 - cutting.length / float(lengths.sum()),
        short=float((lengths < SHORT_MM).mean()),
    )


def _pocket(shape: Polygon, limit: float | None) -> tp.Operation:
    return tp.pocket(shape, CUTTER, depth=DEPTH, engagement_deg=limit)


def _level(shape: Polygon, limit: float | None) -> list[Step]:
    """All moves at feed below the board's top."""
    motions = read(tp.program_text(tp.Setup(FIXTURE, work=[_pocket(shape, limit)]))).motions
    found = []
    for i in np.flatnonzero((motions.start[:, 2] < 1.0) & (motions.end[:, 2] < 1.0)):
        (x0, y0, z0), (x1, y1, z1) = motions.start[i].tolist(), motions.end[i].tolist()
        x, y = motions.centre[i, :2].tolist()
        found.append(Step(Segment((x0, y0), (x1, y1), (x, y), float(motions.sweep[i])), z0, z1))
    return found


def _marked(value: float, goal: float, form: str) -> str:
    return f"{value:{form}}{'*' if value > goal else ' '}"


def main(names: list[str]) -> None:
    print(f"goal       {PLANNING:15.0f}  {LENGTH:6.1f}  {AIR:6.0%}  {SHORT:6.0%}")
    print("           planning (median)  length    air   short")
    for name in names or SHAPES:
        shape = SHAPES[name]
        time: Ratio = ratio(partial(planned, shape, LIMIT_DEG), partial(planned, shape, None))
        found = figures(shape)
        print(
            f"{name:10} {_marked(time.best, PLANNING, '9.1f')} ({time.median:5.1f})  "
            f"{_marked(found.length, LENGTH, '5.2f')}  {_marked(found.air, AIR, '5.1%')} "
            f"{_marked(found.short, SHORT, '6.1%')}",
            flush=True,
        )


if __name__ == "__main__":
    main(sys.argv[1:])
