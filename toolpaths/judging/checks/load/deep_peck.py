"""The check of pecks: does a cutter go straight down farther at once than its chips clear?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.trial.wood_ahead import highest, sideways
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1, Z0, Z1, lowest_so_far
from toolpaths.judging.wood.sweep import Flags, Ints, spread

# Places under the middle of the cutter, whose chips have to come up, as shares of its radius and angles; and places
# close round its rim, so many mm outside, where they come out.
_MIDDLE = [(0.0, 0.0)] + [(0.5, k * np.pi / 3) for k in range(6)]
_OUTSIDE, _AROUND = 0.3, 12
# Holes looked at for one cutter at most; of more evenly fewer.
_MOST = 800
_PECKS = 83


class Holes(NamedTuple):
    """h places at which a cutter goes straight down; (h,) each.

    first, moves : the first move there, and how many follow each other, all upright
    met : height of the tip when its middle first meets wood
    rim : height at which chips come out, that of the lowest wood close round the cutter
    underside : of the board there
    """

    first: Ints
    moves: Ints
    met: Floats
    rim: Floats
    underside: Floats


class Feeds(NamedTuple):
    """f moves at feed down holes; (f,) each.

    hole : which
    at_once : mm gone down in wood since the tip was last out of the hole
    deep : mm of its end below the rim of the hole
    at_bottom : whether the hole goes on no deeper
    """

    hole: Ints
    move: Ints
    at_once: Floats
    deep: Floats
    at_bottom: Flags

    def too_far(self, cutter: Cutter) -> Flags:
        bears = cutter.bears
        return (self.at_once > bears.deepest_peck + ROUNDING) & (self.deep > bears.deepest_hole + ROUNDING)


def deep_peck(trial: Trial) -> Iterator[Finding]:
    """A cutter goes straight down in a closed hole farther, since its chips were last cleared, than it bears.

    The limit is the user's deepest_peck, in holes deeper than deepest_hole; a drill's deepest_pass or step_down is one
    too. Else two diameters, in holes deeper than that, or than four of a drill (common practice, no source). Chips
    are cleared when the tip is out of the hole.
    """
    case = trial.case
    for tool, cutter in case.cutters.items():
        bears, holes = cutter.bears, _holes(trial, tool, cutter)
        if not len(holes.first):
            continue
        feeds = _feeds(case, _in_wood(trial, cutter, holes))
        far = feeds.too_far(cutter)
        in_one = feeds.at_bottom & (feeds.at_once > feeds.deep - ROUNDING)
        no_peck = in_one & (case.program.motions.cycle[case.moves.motion[feeds.move]] == _PECKS)
        for which, why in ((far & ~no_peck, ""), (far & no_peck, " Its Q is no less than the hole: no peck is made.")):
            move = feeds.move[which]
            if len(move):
                yield folded(
                    "deep-peck", "doubt", case.moves.line[move], case.ends(move), feeds.at_once[which],
                    bears.deepest_peck,
                    f"{cutter} goes {{amount}} mm straight down without clearing its chips; so deep it bears "
                    f"{bears.deepest_peck:g} mm at once.{why} Go down in pecks, out of the wood after each.",
                )  # fmt: skip


def _holes(trial: Trial, tool: int, cutter: Cutter) -> Holes:
    """Where a cutter goes straight down farther than it bears, were all the wood as high as the highest."""
    moves, table = trial.case.moves, trial.case.moves.path
    mine = np.flatnonzero(moves.upright & (moves.tool == tool))
    begins = np.diff(mine, prepend=-2) != 1
    begins[1:] |= (table[X0, mine[1:]] != table[X1, mine[:-1]]) | (table[Y0, mine[1:]] != table[Y1, mine[:-1]])
    begin = np.flatnonzero(begins)
    count = np.diff(begin, append=len(mine))
    lowest = np.minimum.reduceat(moves.low[mine], begin)
    # What goes on sideways from there is a pass, and judged as one.
    then = np.minimum(mine[begin] + count, len(moves) - 1)
    goes_on = sideways(trial.case)[then] & (moves.tool[then] == tool) & (moves.low[then] <= lowest + ROUNDING)
    fed = np.where(moves.feeding()[mine], np.maximum(table[Z0, mine] - table[Z1, mine], 0.0), 0.0)
    at_most = np.minimum(highest(trial) - lowest, np.add.reduceat(fed, begin))
    some = np.flatnonzero((at_most > cutter.bears.deepest_peck) & ~goes_on)
    top = np.full(len(some), highest(trial))
    holes = Holes(mine[begin[some]], count[some], top, top, np.full(len(some), -np.inf))
    feeds = _feeds(trial.case, holes)
    far = np.flatnonzero(np.bincount(feeds.hole[feeds.too_far(cutter)], minlength=len(some)))
    far = far[np.linspace(0, len(far) - 1, min(len(far), _MOST)).astype(np.intp)]
    return Holes(holes.first[far], holes.moves[far], top[far], top[far], holes.underside[far])


def _in_wood(trial: Trial, cutter: Cutter, holes: Holes) -> Holes:
    """The same, in the wood as it then stands."""
    first = holes.first
    share, angle = np.array(_MIDDLE).T
    top, underside = _wood_round(trial, first, share * cutter.radius, angle)
    met = (top - cutter.profile.height(share * cutter.radius)).max(axis=1)
    turn = np.arange(_AROUND) * 2 * np.pi / _AROUND
    rim, _ = _wood_round(trial, first, np.full(_AROUND, cutter.radius + _OUTSIDE), turn)
    return Holes(first, holes.moves, met, rim.min(axis=1), underside.min(axis=1))


def _wood_round(trial: Trial, moves: Ints, out: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """(h, p) upper and lower face of the wood so far out from the axis, (p,) each, when each of these moves begins."""
    x, y = trial.case.moves.path[[[X1], [Y1]], moves]
    places = np.stack([x[:, None] + out * np.cos(angle), y[:, None] + out * np.sin(angle)], axis=-1)
    top, bottom = faces_before(trial, places.reshape(-1, 2), np.repeat(moves, len(out)))
    return top.reshape(places.shape[:2]), bottom.reshape(places.shape[:2])


def _feeds(case: Case, holes: Holes) -> Feeds:
    """The moves at feed in these holes."""
    hole, nth = spread(holes.moves)
    move = holes.first[hole] + nth
    z = case.moves.path[Z1, move]
    low = lowest_so_far(np.minimum(z, holes.met[hole]), hole)
    out = (nth == 0) | (z >= holes.rim[hole] - ROUNDING)
    last_out = np.maximum.accumulate(np.where(out, np.arange(len(z)), 0))
    floor = np.where(nth[last_out] == 0, holes.met[hole], low[last_out])
    end = np.maximum(z, holes.underside[hole])
    bottom = low[np.cumsum(holes.moves)[hole] - 1]
    some = np.flatnonzero(case.moves.feeding()[move])
    deep = (holes.rim[hole] - end)[some]
    return Feeds(hole[some], move[some], (floor - end)[some], deep, (z <= bottom + ROUNDING)[some])
