"""How long a toolpath takes, before it is text: to weigh one path against another."""

from __future__ import annotations

from math import inf

import numpy as np

from toolpaths.facts.machine import Machine
from toolpaths.facts.pace import pace
from toolpaths.making.motion.toolpath import DRILL, RAPID, Move, Toolpath


def seconds_of(path: Toolpath, machine: Machine) -> float:
    """About how many seconds the machine takes from rest above the first place of a path to rest at its end.

    As `pace` works it out. Dwells count; changes of cutter, the spindle and the operator do not.
    """
    if not path.moves:
        return 0.0
    first = path.moves[0]
    # A path begins at the height at which it ends.
    rows, halts, waits = [_row(first, path.moves[-1].z, inf)], list[int](), 0.0
    for move in path.moves[1:] if first.kind == RAPID else path.moves:
        if move.kind != DRILL or move.hole is None:
            rows.append(_row(move, move.z, inf if move.kind == RAPID else move.feed_mm_min / 60))
            continue
        # A hole is reached at the height where the move before it ended.
        rows.append(_row(move, rows[-1][2], inf))
        rows += [_row(move, z, inf if kind == RAPID else move.feed_mm_min / 60) for kind, z in move.hole.strokes()]
        if move.hole.dwell_s:
            waits += move.hole.dwell_s
            halts.append(len(rows) - 1)
        rows.append(_row(move, move.z, inf))
    columns = np.array(rows).T
    ends, centre, sweep, speed = columns[:3], columns[3:5, 1:], columns[5, 1:], columns[6, 1:]
    # A feed of next to nothing takes for ever.
    with np.errstate(over="ignore", invalid="ignore"):
        taken = pace(ends[:, :-1], ends[:, 1:], centre, sweep, speed, np.array(halts, np.intp), machine)
    return float(taken.seconds.sum()) + waits


def _row(move: Move, z: float, speed: float) -> tuple[float, ...]:
    return move.x, move.y, z, *move.centre, move.sweep, speed
