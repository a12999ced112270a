"""How the time to plan and write a program grows with the number of its features.

    python tests/benchmarks/growth.py [MOST [KIND ...]]

Features of one kind stand in rows on a board as large as they need, each work of its own, in a list and in any order,
or all of them one piece of work. Timed is all from the calls that make the operations to the text, in seconds of the
processor; the best of a few counts, since noise only adds. The exponent between two numbers of features is log of the
ratio of the times over log of the ratio of the numbers. Goal: at most 1.1, between the last two and from one hundred
to the most.
"""

from __future__ import annotations

import gc
import math
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from time import process_time

import shapely

import toolpaths as tp

sys.path.insert(0, str(Path(__file__).parent))
from ratio import fresh

GOAL = 1.1
NUMBERS = (1, 10, 100, 500, 1000, 2000)
# The exponent over all is taken from here on: below it what is done once for any program counts most.
MANY = 100
# mm from feature to feature, and from the first to the board's edge.
APART = 40.0
MILL = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, plunge_mm_min=500, spindle_rpm=18000, cutting_length=32)
DRILL = tp.Cutter(2, tp.drill_point(3), feed_mm_min=600, spindle_rpm=8000, cutting_length=30)
TABS = tp.Tabs(count=3, width=5, height=3)

Places = list[tuple[float, float]]


def _comb(number: int) -> tp.Operation:
    """A comb with so many tabs along its teeth, about 50 mm of edge to each."""
    teeth = max(math.ceil(math.sqrt(number / 2)), 1)
    tall = 50.0 * max(number, 2) / teeth / 2
    left, right, low = APART, APART + 40.0 * teeth, APART + 40.0
    edge = [(left, APART), (right, APART)]
    for tooth in reversed(range(teeth)):
        x = left + 40.0 * tooth
        edge += [(x + 40, low), (x + 40, low + tall), (x + 20, low + tall), (x + 20, low)]
    comb = shapely.Polygon([*edge[:2], *edge[3:], (left, low)])
    return tp.contour(comb, MILL, depth=tp.through(0.3), tabs=tp.Tabs(spacing=comb.length / number, width=5, height=3))


def _drilled(at: tuple[float, float]) -> tp.Operation:
    return tp.drill([at], DRILL, depth=6)


def _contoured(at: tuple[float, float]) -> tp.Operation:
    return tp.contour(tp.circle(24, at), MILL, depth=tp.through(0.3), tabs=TABS)


def _pocketed(at: tuple[float, float]) -> tp.Operation:
    return tp.pocket(tp.rectangle(24, 20, at, corner_radius=4), MILL, depth=4)


def _each(make: Callable[[tuple[float, float]], tp.Operation]) -> dict[str, Callable[[Places], Sequence[tp.Work]]]:
    return {
        "in a list": lambda at: [make(place) for place in at],
        "in any order": lambda at: [tp.any_order(*[make(place) for place in at])],
    }


KINDS: dict[str, Callable[[Places], Sequence[tp.Work]]] = {
    "holes, one drilling": lambda at: [tp.drill(at, DRILL, depth=6)],
    **{f"holes, {how}": work for how, work in _each(_drilled).items()},
    "contours, one groove": lambda at: [tp.groove([tp.circle(24, place).exterior for place in at], MILL, depth=2)],
    **{f"contours, {how}": work for how, work in _each(_contoured).items()},
    "tabs, one contour": lambda at: [_comb(len(at))],
    "pockets, one area": lambda at: [
        tp.pocket(shapely.union_all([tp.circle(24, place) for place in at]), MILL, depth=4)
    ],
    **{f"pockets, {how}": work for how, work in _each(_pocketed).items()},
    "all kinds, in any order": lambda at: [
        tp.any_order(*[(_drilled, _contoured, _pocketed)[k % 3](place) for k, place in enumerate(at)])
    ],
}


def text(kind: str, number: int) -> str:
    """The program of so many features of a kind, in rows."""
    columns = math.ceil(math.sqrt(number * 1.5))
    rows = math.ceil(number / columns)
    places = [(APART * (1 + i % columns), APART * (1 + i // columns)) for i in range(number)]
    board = tp.Board(width=APART * (columns + 3), height=APART * (rows + 5), thickness=10)
    return tp.program_text(tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), KINDS[kind](places)))


def seconds(kind: str, number: int) -> float:
    """The best time of a few to make the program; fewer where one takes long."""
    taken: list[float] = []
    while len(taken) < 7 and sum(taken) < 1.0:
        gc.collect()
        fresh()
        begin = process_time()
        text(kind, number)
        taken.append(process_time() - begin)
    return min(taken)


def exponent(few: int, brief: float, many: int, long: float) -> float:
    """By which power of the number the time grows."""
    return math.log(long / brief) / math.log(many / few)


def measured(kind: str, most: int = NUMBERS[-1]) -> dict[int, float]:
    """Seconds at each number of features up to the most."""
    return {number: seconds(kind, number) for number in NUMBERS if number <= most}


if __name__ == "__main__":
    most = int(sys.argv[1]) if len(sys.argv) > 1 else NUMBERS[-1]
    text("holes, in a list", 1)
    for kind in sys.argv[2:] or KINDS:
        taken = measured(kind, most)
        a, b = list(taken)[-2:]
        last = exponent(a, taken[a], b, taken[b])
        over_all = exponent(MANY, taken[MANY], b, taken[b]) if b > MANY else last
        row = " ".join(f"{number}: {took:.3f}" for number, took in taken.items())
        missed = "  over the goal" if max(last, over_all) > GOAL else ""
        print(f"{kind:24} {row} s; exponent {last:.2f} last, {over_all:.2f} over all{missed}", flush=True)
    print(f"goal {GOAL:g}")
