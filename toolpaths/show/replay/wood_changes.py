"""Which squares of the board fall to which height in which frame, so that a page can cut the board by these alone."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.progress import step_by_step
from toolpaths.judging.trial.case import Case
from toolpaths.judging.wood.field import Heights, Wood
from toolpaths.judging.wood.removal import cuts, portions
from toolpaths.judging.wood.sweep import Ints
from toolpaths.show.replay.frames import Frames

# mm of one step of height: less than can be told apart in grey.
LEVEL = 0.05
# Cells looked at together.
_PORTION = 1_000_000

Levels = NDArray[np.int64]


class WoodChanges(NamedTuple):
    """Rows of cells that fall together, (r,) each, in the order in which that happens, and how low.

    frame : in which
    first, cells : the first cell of the row, by flat index, and how many
    level : (c,) the new height of each cell of each row, in LEVEL mm
    """

    frame: Ints
    first: Ints
    cells: Ints
    level: Levels


def levels(heights: Heights | Floats) -> Levels:
    """Heights in whole steps."""
    return np.asarray(np.rint(np.asarray(heights, np.float64) / LEVEL), np.int64)


def wood_changes(case: Case, before: Wood, frames: Frames) -> WoodChanges:
    """All of a program, as it cuts the wood before it."""
    top = levels(before.top).reshape(-1)
    found = [np.zeros((3, 0), np.int64)]
    for profile, pieces in case.openings_in_turn(np.flatnonzero(case.cutting)):
        # Moves of a cutter are one stretch of the program, with others between that take nothing.
        chosen = np.flatnonzero(np.isin(frames.move, pieces))
        some_at_a_time = list(portions(before.grid, frames.pieces[:, chosen], profile.diameter, _PORTION))
        for begin, end in step_by_step(f"Playing T{case.moves.tool[pieces[0]]}", some_at_a_time):
            here = chosen[begin:end]
            cut = list(cuts(before.grid, frames.pieces[:, here], profile))
            if cut:
                cell, z, piece = (np.concatenate(column) for column in zip(*cut, strict=True))
                some = np.flatnonzero(z < 0)  # at the rim of a slope some cells are not reached
                found.append(_falls(top, cell[some], levels(z[some]), frames.of_piece[here[piece[some]]]))
    frame, cell, level = np.concatenate(found, axis=1)
    order = np.lexsort([cell, frame])
    return _rows(frame[order], cell[order], level[order])


def _falls(top: Levels, cell: Ints, level: Levels, frame: Ints) -> Levels:
    """(3, f) frame, cell and new level wherever a cell falls; `top` is lowered in place."""
    if not len(cell):
        return np.zeros((3, 0), np.int64)
    order = np.lexsort([frame, cell])
    cell, level, frame = cell[order], level[order], frame[order]
    first = np.flatnonzero((np.diff(cell, prepend=-1) != 0) | (np.diff(frame, prepend=-1) != 0))
    lowest, cell, frame = np.minimum.reduceat(level, first), cell[first], frame[first]
    begins = np.diff(cell, prepend=-1) != 0
    # Each cell's heights lie below those of all cells before it: one running minimum serves for all.
    apart = (np.cumsum(begins) - 1) * 2 * (int(np.abs(lowest).max()) + int(np.abs(top).max()) + 1)
    stands = np.minimum(np.minimum.accumulate(lowest - apart) + apart, top[cell])
    stood = np.where(begins, top[cell], np.roll(stands, 1))
    fell = stands < stood
    np.minimum.at(top, cell, stands)
    return np.stack([frame[fell], cell[fell], stands[fell]])


def _rows(frame: Ints, cell: Ints, level: Levels) -> WoodChanges:
    """Cells side by side that fall in one frame are one row."""
    first = np.flatnonzero((np.diff(frame, prepend=-1) != 0) | (np.diff(cell, prepend=-2) != 1))
    return WoodChanges(frame[first], cell[first], np.diff(first, append=len(cell)), level)
