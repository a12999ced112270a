"""Is a program read in the units that it was written in? One G20 for a G21 makes everything 25.4 times too large."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.board import Board
from toolpaths.facts.head_lines import BOARD
from toolpaths.judging.reader.motions import ARC, DWELL, FEED
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.wood.moves import X1, Y1, Z1
from toolpaths.judging.wood.sweep import Flags

# mm that a cutter may go beside the board, below it, and above it, in a program that fits it (memory of what programs
# do, no source): more is no slip, but another scale.
_BESIDE, _BELOW, _ABOVE = 60.0, 30.0, 250.0
# mm: no program keeps its cutter as low as this over the board all along (common practice, no source: 5 mm and more).
_TOO_LOW = 2.0
# Shares of the cuts that do not fit as read, and of all motions that do in the other units.
_MOST, _NEARLY_ALL = 0.5, 0.95
# Of the moves that one word makes 25.4 times too small, none is longer than this share of the board.
_SMALL = 0.1


def other_units(case: Case) -> Iterator[Finding]:
    """Read in inches it goes far off the board, or read in mm it never leaves a corner, and in the others it fits."""
    codes = [(line, code) for code, line in case.program.codes if code in ("G20", "G21")]
    first_line = int(case.moves.line[0]) if len(case.moves) else 0
    named = sorted(codes) or [(first_line, "G20" if case.program.units == "inch" else "G21")]
    # The units that are named last hold from there on: of two only those lines may be wrong that come after.
    line, code = named[-1]
    moving = case.moves.kind != DWELL
    moving &= case.moves.line >= (line if len(named) > 1 else 0)
    if not moving.any() or case.program.left.units != ("inch" if code == "G20" else "mm"):
        return
    board, zero = case.fixture.board, np.array(case.fixture.zero)
    ends = case.moves.path[[X1, Y1, Z1]].T
    scale, other = (1 / MM_PER_INCH, "G21") if code == "G20" else (MM_PER_INCH, "G20")
    if code == "G20":
        cuts = moving & np.isin(case.moves.kind, (FEED, ARC))
        wrong = cuts.any() and (~_fits(board, ends[cuts])).mean() >= _MOST
    else:
        low = ends[moving, 2].max() < _TOO_LOW
        wrong = low and np.ptp(ends[moving, :2], axis=0).max() < _SMALL * max(board.width, board.height)
    if not wrong and not _head_says(case, other):
        return
    in_other = (ends[moving] - zero) * scale + zero
    if in_other[:, 2].max() >= _TOO_LOW and _fits(board, in_other).mean() >= _NEARLY_ALL:
        reach = float(np.abs(ends[moving] - zero).max())
        words = {"G20": "inches", "G21": "mm"}
        yield Finding(
            "other-units", "danger", line, NOWHERE, reach, reach * scale,
            f"read in {words[code]}, by {code}, the program goes as far as {reach:.4g} mm from its zero, on a board of "
            f"{board.width:g} x {board.height:g} x {board.thickness:g} mm; read in {words[other]} it fits, and goes "
            f"{reach * scale:.4g} mm. Is {other} meant?",
            1, (line,),
        )  # fmt: skip


def _fits(board: Board, places: Floats) -> Flags:
    """(k,) whether a program for this board may go to places (k, 3)."""
    low = np.array([-_BESIDE, -_BESIDE, -board.thickness - _BELOW])
    high = np.array([board.width + _BESIDE, board.height + _BESIDE, _ABOVE])
    return np.asarray(((places >= low) & (places <= high)).all(axis=1))


def _head_says(case: Case, code: str) -> bool:
    """Whether the program's own head counts the board in the units of that code, and nothing else."""
    heads = [found for _, text in case.program.comments if (found := BOARD.read(text))]
    return bool(heads) and heads[0]["units"] == ("inch" if code == "G20" else "mm")
