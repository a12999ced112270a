"""The one table of what a program does: a row for each move on the board, with all that checks read of it."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import ARC, FEED, Motions
from toolpaths.judging.trial.known_places import Places
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1, on_board, path_keys, repeated
from toolpaths.judging.wood.paths import extents, seen_lengths
from toolpaths.judging.wood.sweep import Flags, Ints


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Moves:
    """n moves in the order of the program; (n,) each but for those that say otherwise.

    A motion of the text is one move; an arc in the XZ or YZ plane is as many as there are lines for it.

    path : (11, n) where it goes, mm from the board's lower-left corner and top; see wood/moves.py
    motion : index of the motion of the text
    kind : RAPID, FEED, ARC or DWELL
    line : of the text
    tool : number of the cutter in the spindle
    feed_mm_min : 0 where none was ever set
    spindle : 0 stopped or at no speed, 1 clockwise, -1 anticlockwise
    rpm : of the spindle
    dwell_s : seconds of a dwell
    named : (n, 3) whether x, y, z at its end have been named by the program
    away : (n, 3) whether they were, but have since been left to a place that only the machine knows
    fresh : (n, 3) whether they are named here, after they were not known
    low : lowest z
    length : mm of its path as seen from above
    slope : radians below level, pi / 2 straight down; below 0 where it rises
    box : (4, n) least and greatest x, least and greatest y of the tip
    upright : whether it goes straight up or down, or nowhere
    leaving : whether it goes straight up from where the same cutter already is: it does nothing that the move
        before has not done
    again : whether it repeats an earlier move of the same cutter below the top of the board, place for place
    """

    path: Floats
    motion: Ints
    kind: Ints
    line: Ints
    tool: Ints
    feed_mm_min: Floats
    spindle: Ints
    rpm: Floats
    dwell_s: Floats
    named: Flags
    away: Flags
    fresh: Flags
    low: Floats
    length: Floats
    slope: Floats
    box: Floats
    upright: Flags
    leaving: Flags
    again: Flags

    def __len__(self) -> int:
        return len(self.kind)

    def __repr__(self) -> str:
        return f"<Moves: {len(self)}>"

    def some(self, which: Ints) -> Moves:
        """Only these moves."""
        columns = {field.name: getattr(self, field.name) for field in fields(self)}
        across = ("path", "box")
        return Moves(**{name: all_[..., which] if name in across else all_[which] for name, all_ in columns.items()})

    def below(self, z: float) -> Flags:
        """(n,) those that go lower than z, but for such as only leave where the same cutter already is."""
        return np.asarray((self.low < z) & ~self.leaving)

    def feeding(self) -> Flags:
        """(n,) those at feed, straight or round."""
        return np.asarray((self.kind == FEED) | (self.kind == ARC))


def moves_on_board(places: Places, tool: Ints, zero: tuple[float, float, float]) -> Moves:
    """The moves of motions whose places are known as far as they can be.

    tool : (m,) the cutter of each motion
    zero : of the program, from the board's lower-left corner and top
    """
    motions = places.motions
    path, motion = on_board(motions, zero)
    # Nothing is copied where every motion is a move.
    rows: Ints | slice = slice(None) if len(motion) == len(motions) else motion
    tool = tool[rows]
    upright = (path[X0] == path[X1]) & (path[Y0] == path[Y1]) & (path[SWEEP] == 0)
    leaving = upright & (path[Z1] >= path[Z0]) & (np.diff(tool, prepend=-1) == 0)
    low, length = np.minimum(path[Z0], path[Z1]), seen_lengths(path)
    slope = np.arctan2(path[Z0] - path[Z1], length)
    return Moves(
        path, motion, motions.kind[rows], motions.line[rows], tool, motions.feed_mm_min[rows],
        _turning(motions)[rows], motions.spindle_rpm[rows], motions.seconds[rows],
        places.named[rows], places.away[rows], places.fresh[rows],
        low, length, slope, extents(path), upright, leaving,
        _again(path, tool, np.flatnonzero(low < 0)),
    )  # fmt: skip


def _again(path: Floats, tool: Ints, which: Ints) -> Flags:
    """(n,) those of some moves, in the order of the program, that an earlier one has made in every number."""
    found = np.zeros(path.shape[1], bool)
    key = path_keys([path[row] for row in (X0, Y0, Z0, X1, Y1, Z1, SWEEP)])[which]
    some = repeated(key)
    some = some[np.argsort(key[some], kind="stable")]
    earlier, later = which[some[:-1]], which[some[1:]]
    for column in (*path, tool):
        same = column[earlier] == column[later]
        earlier, later = earlier[same], later[same]
    found[later] = True
    return found


def _turning(motions: Motions) -> Ints:
    return np.where(motions.spindle_rpm > 0, motions.spindle, 0)
