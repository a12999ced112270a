"""Bezier curves of any degree, as chords that stay within a tolerance of the curve."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, hypot, sqrt

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point

# So small a share of one chord is rounding: the curve is straight.
_STRAIGHT = 1e-3


def chords_needed(controls: Sequence[Point], sagitta: float) -> float:
    """How many chords lie within `sagitta` mm of the curve, as a number that is not whole.

    A chord over a parameter step h is off by at most h^2/8 times the largest second derivative, which for degree n is
    n (n - 1) times the largest second difference of the control points.
    """
    degree = len(controls) - 1
    most = 0.0
    for (ax, ay), (bx, by), (cx, cy) in zip(controls, controls[1:], controls[2:]):
        most = max(most, hypot(ax - 2 * bx + cx, ay - 2 * by + cy))
    return sqrt(degree * (degree - 1) * most / (8 * sagitta))


def bezier(controls: Sequence[Point], sagitta: float, *, fewest: int = 1) -> Floats:
    """(n, 2) points of the curve with these control points, its ends among them; by de Casteljau's steps.

    fewest : chords of a curve that is not straight
    """
    needed = chords_needed(controls, sagitta)
    t = np.linspace(0.0, 1.0, max(1 if needed < _STRAIGHT else fewest, ceil(needed)) + 1)[:, None]
    level = [np.array(place) for place in controls]
    level = [(1 - t) * a + t * b for a, b in zip(level, level[1:])]
    while len(level) > 1:
        level = [(1 - t) * a + t * b for a, b in zip(level, level[1:])]
    level[0][0], level[0][-1] = controls[0], controls[-1]
    return level[0]
