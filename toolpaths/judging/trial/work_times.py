"""How long each piece of work of a program takes, by cutter and by kind of motion."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import DWELL, RAPID
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.operations_named import beginnings
from toolpaths.judging.wood.moves import Z0, Z1


class WorkTime(NamedTuple):
    """Seconds of one piece of work with one cutter, as the comments of the program name it.

    operation : its name; "" for what comes before all of them
    line : of the program, on which it begins
    cutter : number of the cutter; 0 before one is fitted
    cutting_s : at feed, level or rising
    entries_s : at feed, downwards: plunges, ramps, helices, pecks
    crossings_s : at rapid
    waits_s : dwells
    """

    operation: str
    line: int
    cutter: int
    cutting_s: float
    entries_s: float
    crossings_s: float
    waits_s: float

    @property
    def seconds(self) -> float:
        """All of it."""
        return self.cutting_s + self.entries_s + self.crossings_s + self.waits_s


def work_times(case: Case, seconds: Floats) -> tuple[WorkTime, ...]:
    """In the order in which they begin.

    seconds : (n,) of each move, dwells included
    """
    moves = case.moves
    if not len(moves):
        return ()
    begins, names = beginnings(case.program)
    nth = np.searchsorted(np.array(begins, np.intp), moves.line, "right")
    # A new piece of work, or another cutter.
    first = np.flatnonzero((np.diff(nth, prepend=-1) != 0) | (np.diff(moves.tool, prepend=-1) != 0))
    down = moves.path[Z1] < moves.path[Z0]
    kinds = np.select([moves.kind == DWELL, moves.kind == RAPID, down], [3, 2, 1], 0)
    sums = np.stack([np.add.reduceat(np.where(kinds == kind, seconds, 0.0), first) for kind in range(4)])
    rows = [
        WorkTime(names[at - 1] if at else "", begins[at - 1] if at else 1, tool, *each)
        for at, tool, each in zip(nth[first].tolist(), moves.tool[first].tolist(), sums.T.tolist(), strict=True)
    ]
    return tuple(_with_what_leads_to_them(rows))


def _with_what_leads_to_them(rows: list[WorkTime]) -> Iterator[WorkTime]:
    """What another cutter does before the next work is named belongs to that work."""
    before: WorkTime | None = None
    for number, row in enumerate(rows):
        mine = row if before is None else _together(row, before)
        before = None
        fitted = not row.operation or (number and rows[number - 1].line == row.line)
        if fitted and number + 1 < len(rows):
            before = mine
        elif mine.seconds:
            yield mine


def _together(row: WorkTime, before: WorkTime) -> WorkTime:
    return row._replace(
        cutting_s=row.cutting_s + before.cutting_s,
        entries_s=row.entries_s + before.entries_s,
        crossings_s=row.crossings_s + before.crossings_s,
        waits_s=row.waits_s + before.waits_s,
    )
