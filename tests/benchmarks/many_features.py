"""Time to judge a program of many features with the part meant, as a ratio to judging it without.

    python tests/benchmarks/many_features.py [ROUNDS [KIND ...]]

Features of one kind stand in rows on a board as large as they need. Both are timed in one process, turn and turn
about; the best of each counts, since noise only adds. Goal: at most 2, at any number of features of any kind.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from typing import NamedTuple

import toolpaths as tp

GOAL = 2.0
NUMBERS = (20, 86, 200)
CELLS = (0.5, 1.0)
# mm from feature to feature, and from the first to the board's edge.
APART = 40
MILL = tp.Cutter(1, tp.flat(3), feed_mm_min=1500, spindle_rpm=18000, step_down=2, cutting_length=22)
DRILL = tp.Cutter(2, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000)
VEE = tp.Cutter(3, tp.v_point(12, 90), feed_mm_min=900, spindle_rpm=18000, step_down=2)
TABS = tp.Tabs(count=3, width=5, height=3)

KINDS: dict[str, Callable[[tuple[float, float]], list[tp.Operation]]] = {
    "plates": lambda at: [tp.contour(tp.circle(24, at), MILL, depth=tp.through(0.3), tabs=TABS)],
    "ring pockets": lambda at: [tp.pocket(tp.circle(30, at) - tp.circle(16, at), MILL, depth=2)],
    "grooves": lambda at: [tp.groove(tp.circle(24, at).exterior, MILL, depth=2)],
    "drilled holes": lambda at: [tp.drill([at], DRILL, depth=6)],
    "chamfered holes": lambda at: [
        tp.bore([at], 5, MILL, depth=6),
        tp.chamfer(tp.circle(5, at), VEE, width=1, side="inside"),
    ],
}
MIXED = "mixed"


class Judged(NamedTuple):
    """A program with the fixture and the part that it is judged with."""

    text: str
    setup: tp.Setup
    part: tp.Part

    def judge(self, cell: float, part: tp.Part | None = None) -> tp.Report:
        return tp.simulate(self.text, self.setup.fixture, self.setup.cutters, cell=cell, part=part)


def program(kind: str, number: int) -> Judged:
    """So many features of a kind in rows, or of all kinds by turns."""
    columns = math.ceil(math.sqrt(number * 1.5))
    rows = math.ceil(number / columns)
    board = tp.Board(width=APART * (columns + 1), height=APART * (rows + 1), thickness=18)
    places = [(APART * (1 + i % columns), APART * (1 + i // columns)) for i in range(number)]
    kinds = list(KINDS.values()) if kind == MIXED else [KINDS[kind]]
    work = [operation for i, at in enumerate(places) for operation in kinds[i % len(kinds)](at)]
    setup = tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), [tp.any_order(*work)])
    return Judged(tp.program_text(setup), setup, tp.intended_part(setup))


def measure(judged: Judged, cell: float, rounds: int) -> tuple[float, float]:
    """Best CPU seconds of judging without the part, and with it."""

    def seconds(part: tp.Part | None) -> float:
        start = time.process_time()
        judged.judge(cell, part)
        return time.process_time() - start

    pairs = [(seconds(None), seconds(judged.part)) for _ in range(rounds)]
    return min(without for without, _ in pairs), min(with_it for _, with_it in pairs)


if __name__ == "__main__":
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    print(f"{'':16} {'number':>6} {'cell':>5} {'without':>9} {'with':>9} {'ratio':>6}")
    for kind in sys.argv[2:] or [*KINDS, MIXED]:
        for number in NUMBERS:
            judged = program(kind, number)
            for cell in CELLS:
                without, with_it = measure(judged, cell, rounds)
                ratio = with_it / without
                missed = "  over the goal" if ratio > GOAL else ""
                print(
                    f"{kind:16} {number:6} {cell:5} {without:7.2f} s {with_it:7.2f} s {ratio:6.2f}{missed}", flush=True
                )
    print(f"goal {GOAL:g}, best of {rounds}")
