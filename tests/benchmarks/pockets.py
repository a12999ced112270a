"""How well pockets are cleared: eight shapes, large and about a third of it, one pass deep and three.

    python tests/benchmarks/pockets.py [SHAPE ...]

With a flat cutter of 6 mm at its defaults, fed 1800 mm/min. All figures are of the text of the program:

reach      mm2 that the cutter can reach: the opening of the shape by its disc
way        level ways at feed x stepover / reach, all passes together. Links count, rapids do not, helices and ramps
           do not. Goal: at most 1.00
with down  the same with helices, ramps and plunges below the top of the board
time       seconds from the first move at feed to the last, rapids and all, over the volume reached / (depth of a
           pass x stepover x feed). Goal: at most 1.20, of a small pocket 1.50
lifts      from below the top of the board, for each pass
standing   what the simulator finds where just what can be reached is to go, no less and no more. Goal: none

A star marks a goal missed.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from math import cos, pi, sin
from pathlib import Path
from typing import NamedTuple

import shapely
from shapely import Polygon, box

import toolpaths as tp

sys.path.insert(0, str(Path(__file__).parent))
from measure import Work, measure

CUTTER = tp.Cutter(1, tp.flat(6), 1800, 16000, cutting_length=20)
STEPOVER = 0.4 * CUTTER.diameter
BOARD = tp.Board(width=200, height=150, thickness=18)
FIXTURE = tp.Fixture(board=BOARD)
DEPTHS = (CUTTER.running.step_down, 3 * CUTTER.running.step_down)
# Goals; see above.
MOST_WAY = 1.0
MOST_TIME = {"large": 1.2, "small": 1.5}


def _star() -> Polygon:
    radii = (45.0, 20.0) * 5
    return Polygon([(r * sin(i * pi / 5), r * cos(i * pi / 5)) for i, r in enumerate(radii)])


def _letter() -> Polygon:
    """An R of two strokes, a bow and a leg, with its eye."""
    bow = box(0, 40, 25, 90).union(shapely.Point(25, 65).buffer(25, quad_segs=64))
    eye = shapely.intersection(
        box(18, 56, 40, 74), shapely.Point(25, 65).buffer(9, quad_segs=64).union(box(18, 56, 25, 74))
    )
    leg = Polygon([(18, 42), (36, 42), (58, 0), (38, 0)])
    return shapely.union_all([box(0, 0, 18, 90), bow, leg]).difference(eye)


def _comb() -> Polygon:
    return shapely.union_all([box(0, 0, 90, 18), *[box(x, 10, x + 12, 60) for x in (0, 19.5, 39, 58.5, 78)]])


def _sizes(shape: Polygon, across: float, up: float) -> dict[str, Polygon]:
    """Large and small, in the middle of the board."""
    middle = (BOARD.width / 2, BOARD.height / 2)
    small = shapely.affinity.scale(shape, across, up)
    return {"large": tp.centre_on(shape, middle), "small": tp.centre_on(small, middle)}


# Small is a third, or as much more as lets the cutter get in everywhere.
SHAPES = {
    "square": _sizes(box(0, 0, 80, 80), 1 / 3, 1 / 3),
    "L": _sizes(box(0, 0, 90, 35).union(box(0, 0, 35, 90)), 1 / 3, 1 / 3),
    "circle": _sizes(tp.circle(90), 1 / 3, 1 / 3),
    "star": _sizes(_star(), 1 / 3, 1 / 3),
    "comb": _sizes(_comb(), 0.6, 0.6),
    "two islands": _sizes(
        box(0, 0, 110, 70).difference(box(22, 20, 42, 50)).difference(tp.circle(26, (78, 35))), 0.45, 0.45
    ),
    "long thin": _sizes(box(0, 0, 160, 14), 1 / 3, 0.6),
    "letter": _sizes(_letter(), 0.4, 0.4),
}


class Figures(NamedTuple):
    """See above."""

    reach: float
    way: float
    with_down: float
    time: float
    lifts: float
    standing: tuple[str, ...]
    work: Work


def program(name: str, size: str, depth: float) -> str:
    pocket = tp.pocket(SHAPES[name][size], CUTTER, depth=depth, stepover=STEPOVER / CUTTER.diameter)
    return tp.program_text(tp.Setup(FIXTURE, [pocket]))


def reachable(area: Polygon) -> Polygon:
    return area.buffer(-CUTTER.radius, quad_segs=256).buffer(CUTTER.radius, quad_segs=256)


def standing(text: str, area: Polygon, depth: float) -> tuple[str, ...]:
    """What is found against a program that is to clear all that can be reached of an area."""
    part = tp.Part(board=BOARD, front=[tp.Recess(area=reachable(area), depth=depth, corners=CUTTER.radius)])
    return tuple(str(finding) for finding in tp.simulate(text, FIXTURE, [CUTTER], part=part).findings)


def figures(name: str, size: str, depth: float) -> Figures:
    """Everything about one pocket."""
    text, area = program(name, size, depth), SHAPES[name][size]
    (work,) = measure(text, FIXTURE)
    reach = reachable(area).area
    passes = round(depth / CUTTER.running.step_down)
    ideal = passes * reach / STEPOVER
    return Figures(
        reach=reach,
        way=work.level / ideal,
        with_down=(work.level + work.down) / ideal,
        time=work.cutting / (ideal / (CUTTER.feed_mm_min / 60)),
        lifts=work.lifts / passes,
        standing=standing(text, area, depth),
        work=work,
    )


def cases(names: Sequence[str] = ()) -> list[tuple[str, str, float]]:
    return [(name, size, depth) for size in MOST_TIME for depth in DEPTHS for name in names or SHAPES]


def show(name: str, size: str, depth: float) -> None:
    found = figures(name, size, depth)
    long, slow = found.way > MOST_WAY, found.time > MOST_TIME[size]
    print(
        f"{name:11} {size} {depth:g} deep {found.reach:7.0f} {found.way:6.3f}{' *'[long]} {found.with_down:9.3f} "
        f"{found.time:6.2f}{' *'[slow]} {found.lifts:6.2f} {found.work.cutting:6.1f} {found.work.lines:6}  "
        f"{'none' if not found.standing else '* ' + '; '.join(found.standing)}",
        flush=True,
    )


if __name__ == "__main__":
    print(
        f"{'':24} {'reach':>7} {'way':>6}  {'with down':>9} {'time':>6}  {'lifts':>6} {'s':>6} {'lines':>6}  standing"
    )
    for case in cases(sys.argv[1:]):
        show(*case)
