"""What each piece of work in a program comes to: ways, time, lifts and lines, all from its text.

    python tests/benchmarks/measure.py PROGRAM.nc ...

A piece of work goes from a comment that has its line to itself to the last cut before the next such comment, and
the lift after it: what comes after that is the change of cutter, or the way home.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np

from toolpaths import Board, Cutter, Fixture, flat
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.simulate import read_for
from toolpaths.judging.trial.case import make_case
from toolpaths.judging.trial.duration import durations
from toolpaths.judging.wood.moves import Z0, Z1

# A program's ways and times do not depend on the board, nor on the cutters.
ANY_FIXTURE = Fixture(board=Board(width=2000, height=2000, thickness=18))
ANY_CUTTER = Cutter(1, flat(6), 1800, 16000)
_HAIR = 1e-6


class Work(NamedTuple):
    """One piece of work; lengths in mm.

    feed : all ways at feed, and of them `level` those below the top that stay at one height, `down` those below it
        that do not: helices, ramps, plunges
    rapid : from above its first place on
    seconds : all of it; `cutting` from the first move at feed to the last, with what is between
    lifts : moves from below the top to the top or above it
    heights : heights below the top at which it goes level at feed, from the top down
    lines : lines of text
    """

    name: str
    feed: float
    level: float
    down: float
    rapid: float
    seconds: float
    cutting: float
    lifts: int
    heights: tuple[float, ...]
    lines: int


def measure(text: str, fixture: Fixture = ANY_FIXTURE) -> list[Work]:
    """The pieces of work of a program, in its order; heights are those of the board held in this fixture."""
    case = make_case(read_for(text, fixture), fixture, [ANY_CUTTER])
    seconds, length = durations(case)
    z0, z1 = case.moves.path[Z0], case.moves.path[Z1]
    feeding, rapid = case.moves.feeding(), case.moves.kind == RAPID
    low = np.minimum(z0, z1) < -_HAIR
    level = feeding & low & (np.abs(z1 - z0) <= _HAIR)
    lifts = (z0 < -_HAIR) & (z1 >= -_HAIR)
    alone = {number for number, line in enumerate(text.splitlines(), start=1) if line.strip().startswith("(")}
    begins = [(line, name) for line, name in case.program.comments if line in alone]
    found = []
    for (line, name), (following, _) in zip(begins, [*begins[1:], (len(text), "")]):
        cuts = np.flatnonzero(feeding & (case.moves.line > line) & (case.moves.line < following))
        if not len(cuts):
            continue
        first, last = np.searchsorted(case.moves.line, line), int(cuts[-1]) + 1
        if last < len(lifts) and lifts[last]:
            last += 1
        here, work = np.zeros(len(length), bool), slice(int(cuts[0]), int(cuts[-1]) + 1)
        here[first:last] = True
        heights = sorted({round(z, 4) for z in z1[here & level].tolist()}, reverse=True)
        found.append(
            Work(
                name,
                feed=float(length[here & feeding].sum()),
                level=float(length[here & level].sum()),
                down=float(length[here & feeding & low & ~level].sum()),
                rapid=float(length[here & rapid].sum()),
                seconds=float(seconds[here].sum()),
                cutting=float(seconds[work].sum()),
                lifts=int(np.count_nonzero(lifts & here)),
                heights=tuple(heights),
                lines=int(case.moves.line[last - 1]) - line,
            )
        )
    return found


def show(works: list[Work]) -> None:
    print(f"{'':24} {'feed':>8} {'level':>8} {'down':>7} {'rapid':>8} {'time':>7} {'lifts':>6} {'lines':>6}")
    for work in works:
        print(
            f"{work.name[:24]:24} {work.feed:8.0f} {work.level:8.0f} {work.down:7.0f} {work.rapid:8.0f} "
            f"{work.seconds:6.0f}s {work.lifts:6} {work.lines:6}"
        )


if __name__ == "__main__":
    for path in sys.argv[1:]:
        print(path)
        show(measure(Path(path).read_text()))
