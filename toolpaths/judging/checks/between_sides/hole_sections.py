"""A hole about a place at one height or between two, looked for in the moves themselves: its walls and its widths.

A cutter takes all that is above it, so a hole is nowhere wider than at its mouth and nowhere narrower than at its end;
what lies between two heights at which it is alike is alike too, and is not looked at.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.exact_heights import lowest_over
from toolpaths.judging.trial.findings import SHAVING
from toolpaths.judging.wood.sweep import Flags

# mm of height within which it is found where a hole changes its width.
_STEP = 0.25
# Directions in which the hole's wall is looked for, (24, 2); places in each direction; how often the search closes in.
DIRECTIONS = np.array([(np.cos(angle), np.sin(angle)) for angle in np.arange(24) * np.pi / 12])
_LOOKS = 10
_CLOSING_IN = 4


class Section(NamedTuple):
    """A hole at one height: its walls (24, 2), looked for so far from the dowel's place, its middle from there, and the
    widths across that."""

    level: float
    farthest: float
    walls: Floats
    middle: Floats
    narrowest: float
    widest: float


def sections_between(cases: list[Case], centre: Floats, upper: Section, lower: Section) -> list[Section]:
    """The hole about a centre from one height down to another, wherever its walls change, from the top."""
    found, at = [upper, lower], 0
    while at + 1 < len(found):
        one, next_ = found[at], found[at + 1]
        if one.level - next_.level <= _STEP or np.abs(one.walls - next_.walls).max() <= SHAVING:
            at += 1
        else:
            found.insert(at + 1, section_at(cases, centre, one.farthest, (one.level + next_.level) / 2, one))
    return found


def section_at(
    cases: list[Case], centre: Floats, farthest: float, level: float, near: Section | None = None
) -> Section:
    """The hole about a centre at a level.

    farthest : from the centre that its walls are looked for
    near : it at another level: where it is no narrower below, or no wider above, it is the same
    """
    if near is not None:
        within = np.copysign(SHAVING / 2, near.level - level)
        cut = _cut_to(cases, centre + near.walls - within * DIRECTIONS, level)
        if (cut if within > 0 else ~cut).all():
            return near._replace(level=level)
    walls = _walls(cases, centre, farthest, level)
    return Section(level, farthest, walls, *_round(walls))


def _walls(cases: list[Case], centre: Floats, farthest: float, level: float) -> Floats:
    """(n, 2) places on the wall of the hole about a centre at a level, from that centre, one in each direction."""
    low, step = np.zeros(len(DIRECTIONS)), farthest / _LOOKS
    for _ in range(_CLOSING_IN):
        out = low[:, None] + np.arange(1, _LOOKS + 1) * step
        cut = _cut_to(cases, centre + (DIRECTIONS[:, None, :] * out[:, :, None]).reshape(-1, 2), level)
        low += np.minimum.accumulate(cut.reshape(out.shape), axis=1).sum(axis=1) * step
        step /= _LOOKS
    return np.asarray(DIRECTIONS * (low + step * _LOOKS / 2)[:, None])


def _cut_to(cases: list[Case], places: Floats, level: float) -> Flags:
    """(k,) whether the wood is cut away down to a level at these places (k, 2)."""
    cut = np.zeros(len(places), bool)
    for case in cases:
        cut |= lowest_over(case, places) <= level
    return cut


def _round(walls: Floats) -> tuple[Floats, float, float]:
    """The middle of the circle that fits best, and the least and greatest width across it."""
    sums = np.column_stack([2 * walls, np.ones(len(walls))])
    (a, b, _), *_ = np.linalg.lstsq(sums, (walls**2).sum(axis=1), rcond=None)
    middle = np.array([a, b])
    away = np.hypot(*(walls - middle).T)
    return middle, 2 * float(away.min()), 2 * float(away.max())
