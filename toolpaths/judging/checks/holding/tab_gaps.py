"""Where a cutter that goes through the board rises and comes down again: the gaps in which a program leaves tabs.

All from the moves, closed form. A ramp, a helix or a zigzag down rises nowhere; a cutter that rises and
comes down on the same spot leaves nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.exact_heights import lowest_over
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.moves import SWEEP, Z0, Z1
from toolpaths.judging.wood.paths import along_line, places_on
from toolpaths.judging.wood.sweep import Ints

# mm of path; a longer gap is no tab but another cut, a shorter one, or a shorter cut, no more than a wobble.
_LONGEST, _SHORTEST = 60.0, 1.0
# mm by which two ends of one track may miss each other.
_MEET = 0.1
# Cosine of the largest angle by which a cut may turn away from the gap it leaves by lifting clear of the wood.
_AHEAD = 0.7
# Halvings of a tab's height: 1e-7 mm is left.
_HALVINGS = 28


class Gap(NamedTuple):
    """A gap in a cut through the board, over which the cutter was raised.

    tool : its number
    rise, fall : the moves in which it leaves the depth of a through cut and comes back to it; for a cut
        that closes at its own beginning, `fall` is the earlier one
    begun : the move with which the cut before the gap began
    path : (k, 3) places of the tip over the gap, both ends at the depth of the through cut
    lifted : whether it rose clear of the wood
    """

    tool: int
    rise: int
    fall: int
    begun: int
    path: Floats
    lifted: bool

    def ends(self, z: float) -> tuple[Floats, Floats]:
        """The two places, (2,) each, between which the tip is no lower than z."""
        return _first_at(self.path, z), _first_at(self.path[::-1], z)

    def chord(self, z: float) -> float:
        """mm straight from one of these places to the other."""
        one, other = self.ends(z)
        return float(np.hypot(*(other - one)))


def meant_in(case: Case, gap: Gap) -> tuple[float, float]:
    """(width, top) of the tab that a gap is to leave: mm at its narrowest, and height of its upper face.

    The ends of a cut are as round as the cutter, so a tab is narrowest midway, by the distance
    between the ends less the cutter's diameter. Where that is nothing at its very top, as over a peak,
    the top is as high as the wood is any width at all, and the width that at half its height. Zero or
    less: nothing is left.
    """
    profile = case.cutters[gap.tool].profile
    low, high = through_level(case), min(float(gap.path[:, 2].max()), 0.0)
    tip = case.fixture.underside_z

    def width(z: float) -> float:
        return gap.chord(z) - 2 * profile.radius_at(z - tip)

    if width(high - 1e-9) > _MEET:
        return width(high - 1e-9), high
    if width(low) <= 0:
        return width(low), low
    below, above = low, high
    for _ in range(_HALVINGS):
        middle = (below + above) / 2
        below, above = (middle, above) if width(middle) > 0 else (below, middle)
    return width((low + below) / 2), below


def through_level(case: Case) -> float:
    """z of the tip below which a cut leaves no skin that holds."""
    return case.fixture.underside_z + SKIN - ROUNDING


def gaps(case: Case) -> Iterator[Gap]:
    """All gaps in cuts through the board that may be tabs, in the order of the program."""
    moves = case.moves
    level = through_level(case)
    if not (moves.low < level).any():
        return
    table = moves.path
    below0, below1 = table[Z0] < level, table[Z1] < level
    rises, falls = np.flatnonzero(below0 & ~below1), np.flatnonzero(~below0 & below1)
    if not len(rises) or not len(falls):
        return
    toolpath, tool = _Toolpath(case, level), moves.tool
    begun = np.maximum(np.searchsorted(falls, rises) - 1, 0)
    # Plunges beside each other leave wood for a cut that is to come: a cut has some length. A ramp down is part of
    # it: it may pass the level of a through cut only just before it rises for the first tab.
    cut = (falls[begun] < rises) & (tool[falls[begun]] == tool[rises])
    cut &= np.isin(tool[rises], list(case.cutters))
    cut &= toolpath.along(rises) - toolpath.before[toolpath.ramps(falls)[begun]] >= _SHORTEST
    after = np.minimum(begun + 1, len(falls) - 1)
    end = np.append(rises, len(moves.low) - 1)[np.searchsorted(rises, falls[after])]
    again = cut & (falls[after] > rises) & (tool[falls[after]] == tool[rises])
    again &= toolpath.along(end) - toolpath.along(falls[after]) >= _SHORTEST
    again &= toolpath.along(falls[after]) - toolpath.along(rises) <= _LONGEST
    starts = toolpath.at(falls)
    for k in np.flatnonzero(cut).tolist():
        rise, first = int(rises[k]), int(falls[begun[k]])
        found = _between(case, toolpath, rise, int(falls[after[k]]), first) if again[k] else None
        if found is None:
            found = _closing(case, toolpath, rise, falls, starts, int(begun[k]))
        if found is not None:
            yield found


class _Toolpath:
    """Places and lengths along all the moves, at the height of a through cut."""

    def __init__(self, case: Case, level: float) -> None:
        self.case, self.level = case, level
        self.length = np.where(case.moves.upright, 0.0, case.moves.length)
        self.before = np.cumsum(self.length) - self.length
        self.sideways = np.flatnonzero(self.length > 0)
        self.clear = np.flatnonzero(case.moves.path[Z1] >= 0)

    def part(self, which: Ints) -> Floats:
        """Share of each of these moves at which it passes the level."""
        z0, z1 = self.case.moves.path[Z0, which], self.case.moves.path[Z1, which]
        return np.asarray(np.clip((self.level - z0) / np.where(z0 == z1, 1.0, z1 - z0), 0.0, 1.0))

    def along(self, which: Ints) -> Floats:
        """mm of toolpath, seen from above, up to where these moves pass the level."""
        return np.asarray(self.before[which] + self.part(which) * self.length[which])

    def ramps(self, which: Ints) -> Ints:
        """The moves with which the ramps begin that end in these; a plunge is its own."""
        table = self.case.moves.path
        other = (table[Z1] >= table[Z0]) | (self.length == 0)
        last = np.maximum.accumulate(np.where(other, np.arange(len(other)), -1))[which]
        return np.asarray(np.minimum(last + 1, which))

    def at(self, which: Ints) -> Floats:
        """(m, 2) where these moves pass the level."""
        return places_on(self.case.moves.path[:, which], self.part(which))[:, :2]

    def lift(self, move: int) -> int:
        """The first move from this one on that ends clear of the wood; -1 if none does."""
        at = int(np.searchsorted(self.clear, move))
        return int(self.clear[at]) if at < len(self.clear) else -1


def _between(case: Case, toolpath: _Toolpath, rise: int, fall: int, begun: int) -> Gap | None:
    """The gap from where a cut ends to where the next begins."""
    ends = toolpath.at(np.array([rise, fall]))
    if case.moves.path[[Z0, Z1], rise : fall + 1].max() < 0:
        if toolpath.along(np.array([fall])) - toolpath.along(np.array([rise])) < _SHORTEST:
            return None
        return Gap(int(case.moves.tool[rise]), rise, fall, begun, _trace(case, toolpath, rise, fall), False)
    across = ends[1] - ends[0]
    wide = float(np.hypot(*across))
    headings = _heading(case, toolpath, rise, True), _heading(case, toolpath, fall, False)
    if not _SHORTEST <= wide <= _LONGEST or any(heading @ across < _AHEAD * wide for heading in headings):
        return None
    z = np.array([toolpath.level, 0.0, 0.0, toolpath.level])
    return Gap(int(case.moves.tool[rise]), rise, fall, begun, np.column_stack([ends[[0, 0, 1, 1]], z]), True)


def _closing(case: Case, toolpath: _Toolpath, rise: int, falls: Ints, starts: Floats, nth: int) -> Gap | None:
    """The gap of a cut that goes on raised, in the wood, to or past the place where it or an earlier one began.

    falls, starts : the moves with which cuts begin, and where; the nth is the one that rises
    """
    tool = case.moves.tool
    out = toolpath.lift(rise)
    if out < 0 or not _SHORTEST <= toolpath.before[out] - toolpath.along(np.array([rise]))[0] <= _LONGEST:
        return None
    # It may pass the beginning as it rises clear on a slope, or come down behind it for a cut too short to be one.
    end = min(out, *falls[nth + 1 : nth + 2].tolist(), len(tool) - 1)
    path = _trace(case, toolpath, rise, end)
    line, begins = shapely.linestrings(path[:, :2]), shapely.points(starts[: nth + 1])
    near = np.flatnonzero(shapely.dwithin(line, begins, _MEET) & (tool[falls[: nth + 1]] == tool[rise]))
    reached = shapely.line_locate_point(line, begins[near])
    near, reached = near[reached >= _SHORTEST], reached[reached >= _SHORTEST]
    if not len(near):
        return None
    first = float(reached.min())
    fall = int(falls[near[reached <= first + _MEET].max()])
    # Its far side is as the earlier cut came down.
    down = _trace(case, toolpath, int(toolpath.ramps(np.array([fall]))[0]), fall)
    first -= float(np.hypot(*np.diff(down[:, :2], axis=0).T).sum())
    if first <= 0:
        return None
    path = np.vstack([_up_to(path, first), down])
    # Where it rises on a slope, the top of the tab is as earlier passes left it.
    middle = along_line(path[:, :2], np.array([0.5]))[0]
    top = max(float(lowest_over(case, middle, np.array([rise]))[0]), toolpath.level)
    path[:, 2] = np.minimum(path[:, 2], top)
    return Gap(int(tool[rise]), rise, fall, int(falls[nth]), path, False)


def _heading(case: Case, toolpath: _Toolpath, move: int, backwards: bool) -> Floats:
    """(2,) the direction of a cut where it ends, or begins."""
    nth = int(np.searchsorted(toolpath.sideways, move, "right" if backwards else "left")) - backwards
    if not 0 <= nth < len(toolpath.sideways):
        return np.zeros(2)
    i = toolpath.sideways[nth]
    parts = np.array([1 - 1e-4, 1.0]) if backwards else np.array([0.0, 1e-4])
    one, other = places_on(np.repeat(case.moves.path[:, [i]], 2, axis=1), parts)[:, :2]
    return np.asarray((other - one) / np.hypot(*(other - one)))


def _trace(case: Case, toolpath: _Toolpath, rise: int, fall: int) -> Floats:
    """(k, 3) the tip from where it rises above the level to where it falls below it, in steps on curves."""
    traced = []
    for i in range(rise, fall + 1):
        table = case.moves.path[:, i]
        first = float(toolpath.part(np.array([i]))[0]) if i == rise and table[Z0] < toolpath.level else 0.0
        last = float(toolpath.part(np.array([i]))[0]) if i == fall and table[Z1] < toolpath.level else 1.0
        steps = int(np.ceil(toolpath.length[i] * (last - first) / 0.25)) if table[SWEEP] else 1
        parts = np.linspace(first, last, max(steps, 1) + 1)
        traced.append(places_on(np.repeat(table[:, None], len(parts), axis=1), parts))
    return np.concatenate(traced)


def _up_to(path: Floats, length: float) -> Floats:
    """A path as far as a length seen from above."""
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path[:, :2], axis=0).T))])
    i = max(int(np.searchsorted(far, length - 1e-9)), 1)
    end = path[i - 1] + (path[i] - path[i - 1]) * (length - far[i - 1]) / (far[i] - far[i - 1])
    return np.vstack([path[:i], end])


def _first_at(path: Floats, z: float) -> Floats:
    """Where a path first reaches height z."""
    high = path[:, 2] >= z
    i = int(np.argmax(high))
    if i == 0 or not high[i]:
        return np.asarray(path[i, :2])
    low, up = path[i - 1], path[i]
    return np.asarray(low[:2] + (up[:2] - low[:2]) * (z - low[2]) / (up[2] - low[2]))
