"""The line that works nearest to a place at which wood stands that should be gone."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.exact_heights import cut_at
from toolpaths.judging.trial.operations_named import sections_named
from toolpaths.judging.wood.moves import taken
from toolpaths.judging.wood.paths import boxes_near, nearest
from toolpaths.judging.wood.sweep import Ints

# mm by which a cut may end off a depth and be one at that depth; mm beside a cutter, or its diameter, within which it
# works beside a place.
_AS_DEEP, _BESIDE = 0.05, 3.0
# mm; what is as near as that is as near.
_AS_NEAR = 0.01


class Nearest(NamedTuple):
    """The line that works nearest to a place, and what it does there, in a sentence."""

    line: int
    words: str


def nearest_cut(case: Case, x: float, y: float, depth: float, feature: str) -> Nearest | None:
    """What works nearest to a place of the board as it lies; None where nothing of the program can be said to.

    That is what cuts over it, though not deep enough; else what cuts beside it at that depth, first of all in the work
    that is named as the feature is; else that work, from its first line on.
    depth : z to which it should be cut there
    feature : the name of the feature that lies there; "" for none
    """
    _, move = cut_at(case, np.array([[x, y]]))
    if move[0] >= 0:
        line = int(case.moves.line[move[0]])
        return Nearest(line, f"line {line} cuts lowest there")
    stretches = sections_named(case.program, feature)
    lines, which = case.moves.line, _as_deep(case, x, y, depth)
    inside = [which[(lines[which] >= first) & (lines[which] < end)] for first, end in stretches]
    near = _nearest_of(case, np.concatenate(inside) if inside else which, x, y)
    if near is not None:
        return Nearest(near, f"line {near} cuts nearest to it at that depth")
    if stretches:
        first = stretches[-1][0]
        return Nearest(first, f"it belongs to {feature}, from line {first} on")
    return None


def _as_deep(case: Case, x: float, y: float, depth: float) -> Ints:
    """The moves near a place that cut just so deep; right through, as deep at least."""
    which = case.cutting_moves
    deep = case.moves.low[which]
    as_deep = deep <= depth + _AS_DEEP
    if depth > case.fixture.underside_z:
        as_deep &= deep >= depth - _AS_DEEP
    which = which[as_deep]
    reach = 3 * case.radii(which) + _BESIDE
    return np.asarray(which[boxes_near(taken(case.moves.box, which), x, y, reach)])


def _nearest_of(case: Case, which: Ints, x: float, y: float) -> int | None:
    """The line of the move that comes nearest with its cutter, the last of such as come as near."""
    if not len(which):
        return None
    radius = case.radii(which)
    away = nearest(taken(case.moves.path, which), x, y)[0] - radius
    least = float(away.min())
    if least > max(_BESIDE, 2 * float(radius[away.argmin()])):
        return None
    return int(case.moves.line[which[np.flatnonzero(away <= least + _AS_NEAR)[-1]]])
