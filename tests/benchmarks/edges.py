"""Rounded edges as the judge sees them, from the text: what they take of the wood, and what judging a slope costs.

    python tests/benchmarks/edges.py

off    share by which the wood taken of each mm of a rounded edge is off (1 - pi/4) R^2, for three radii of
       reference-2.md D.5. Goal: at most 0.3 %
slope  seconds to cut cells by sloped moves of a rounding cutter, as a multiple of those for a bull nose as wide.
       Goal: at most 6: there is no closed form for it, and ramps are short
"""

from __future__ import annotations

from math import pi
from time import process_time

import numpy as np

import toolpaths as tp
from toolpaths.facts.profile import Profile
from toolpaths.judging.wood.field import grid_on
from toolpaths.judging.wood.removal import remove

RADII = (3.175, 6.35, 9.525)
MOST_OFF, MOST_SLOPE = 0.003, 6.0
BOARD = tp.Board(width=100, height=80, thickness=18)
_CELL, _MOVES = 0.1, 400


def off(radius: float) -> float:
    """Share by which what is taken of an edge along X is off the formula."""
    cutter = tp.Cutter(8, tp.rounding(radius, 5), 1500, 16000, step_down=5, shank_diameter=8)
    fixture = tp.Fixture(board=BOARD, overhang=40)
    setup = tp.Setup(fixture, [tp.round_edge(tp.rectangle(150, 40, (50, 20)), cutter)])
    stock = tp.simulate(tp.program_text(setup), fixture, [cutter], cell=_CELL).stock
    beside = np.abs(stock.grid.ys() - 30) < 10, np.abs(stock.grid.xs() - 50) < 10
    taken = -float(stock.top[np.ix_(*beside)].sum(axis=0).mean()) * _CELL
    return abs(taken / ((1 - pi / 4) * radius**2) - 1)


def slope() -> float:
    """Time of sloped moves, over that of a bull nose."""
    rng = np.random.default_rng(3)
    moves = np.zeros((11, _MOVES))
    moves[[0, 3]], moves[[1, 4]] = rng.uniform(10, 90, (2, _MOVES)), rng.uniform(10, 70, (2, _MOVES))
    moves[2], moves[5] = -rng.uniform(0.5, 4, _MOVES), -rng.uniform(4, 6, _MOVES)

    def seconds(profile: Profile) -> float:
        grid = grid_on(BOARD, 0.5)
        begin = process_time()
        remove(np.zeros(grid.shape, np.float32), grid, moves, profile)
        return process_time() - begin

    seconds(tp.bull_nose(18, 6))
    return seconds(tp.rounding(6, 6)) / seconds(tp.bull_nose(18, 6))


def main() -> None:
    for radius in RADII:
        print(f"off {radius:g}: {100 * off(radius):.3f} %, goal {100 * MOST_OFF:g} %")
    print(f"slope: {slope():.1f} times a bull nose's, goal {MOST_SLOPE:g}")


if __name__ == "__main__":
    main()
