"""The movements of a program in short pieces, each with the time at which the machine has made it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.duration import durations
from toolpaths.judging.wood.moves import CX, CY, RADIUS, START, SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Ints, spread

# mm, and radians of an arc: as far as the cutter goes in one frame, so that it is seen to go.
_SHORT, _BENT = 5.0, np.pi / 8
# Frames of a page: all the movements of 100,000 lines.
_MOST = 120_000


class Frames(NamedTuple):
    """What is shown one after the other; (k,) each, at the end of the frame, but for `of_piece` and `every`.

    place : (3, k) of the tip, mm from the board's lower-left corner and top
    seconds : since the program began
    line : of the text
    tool : in the spindle
    feed_mm_min : 0 at rapid
    pieces : (11, n) table of short moves; move, of_piece : (n,) the move, and the frame, that each belongs to
    every : how many pieces are shown as one
    """

    place: Floats
    seconds: Floats
    line: Ints
    tool: Ints
    feed_mm_min: Floats
    pieces: Floats
    move: Ints
    of_piece: Ints
    every: int


def frames_of(case: Case, most: int = _MOST) -> Frames:
    """At most so many frames: where a program has more pieces, several in a row are one."""
    moves = case.moves
    seconds, length = durations(case)
    shortest = max(_SHORT, 2 * float(length.sum()) / most)
    count = np.maximum(np.ceil(length / shortest), np.ceil(np.abs(moves.path[SWEEP]) / _BENT))
    count = np.maximum(count, 1).astype(np.intp)
    if count.sum() > most:  # then they are short anyway, or all that can be shown
        count[:] = 1
    move, nth = spread(count)
    pieces = _shares(moves.path[:, move], nth / count[move], (nth + 1) / count[move])
    every = -(-len(move) // most)
    of_piece = np.arange(len(move)) // every
    last = np.flatnonzero(np.diff(of_piece, append=len(move)))
    reached = np.cumsum(seconds[move] / count[move])
    feed = np.where(moves.kind == RAPID, 0.0, moves.feed_mm_min)
    shown = move[last]
    return Frames(
        pieces[[[X1], [Y1], [Z1]], last], reached[last], moves.line[shown], moves.tool[shown], feed[shown],
        pieces, move, of_piece, every,
    )  # fmt: skip


def _shares(table: Floats, begin: Floats, end: Floats) -> Floats:
    """(11, n) the stretch of each of n moves from one share of its length to another."""
    found = table.copy()
    for rows, share in (((X0, Y0, Z0), begin), ((X1, Y1, Z1), end)):
        # What begins or ends a move stays as it is, to the last digit.
        first, last = table[[X0, Y0, Z0]], table[[X1, Y1, Z1]]
        found[list(rows)] = np.where(share == 1, last, first + share * (last - first))
        on_arc = np.flatnonzero((table[SWEEP] != 0) & (share > 0) & (share < 1))
        angle, radius = table[START, on_arc] + (share * table[SWEEP])[on_arc], table[RADIUS, on_arc]
        found[rows[0], on_arc] = table[CX, on_arc] + radius * np.cos(angle)
        found[rows[1], on_arc] = table[CY, on_arc] + radius * np.sin(angle)
    found[START] += begin * table[SWEEP]
    found[SWEEP] *= end - begin
    return found
