"""B-splines as the Bezier curves of their spans, by their polar form: de Boor's steps, a parameter in each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import InputError, Point
from toolpaths.drawings.curve_segments import Bezier, Line, RationalBezier, Segment

# Degrees beyond what any drawing holds; a span takes the third power of it.
_HIGHEST_DEGREE = 25


def spline_segments(
    degree: int, points: Sequence[Point], knots: Sequence[float], weights: Sequence[float] = ()
) -> list[Segment]:
    """The spans of a spline on its own domain, from the knot number `degree` to that number from the end.

    Raises InputError where the numbers of points, knots and weights do not belong together.
    """
    if not 1 <= degree <= _HIGHEST_DEGREE or len(points) <= degree or len(knots) != len(points) + degree + 1:
        raise InputError(
            f"a spline of degree {degree} with {len(points)} control points needs {len(points) + degree + 1} knots "
            f"and has {len(knots)}"
        )
    if weights and (len(weights) != len(points) or min(weights) <= 0):
        raise InputError("the weights of a spline must be as many as its control points, and above 0")
    knot = np.array(knots, dtype=np.float64)
    if (np.diff(knot) < 0).any():
        raise InputError("the knots of a spline must not fall")
    plain = not weights or max(weights) - min(weights) <= 1e-12 * max(weights)
    weight = np.ones(len(points)) if plain else np.array(weights)
    control = np.column_stack([np.array(points) * weight[:, None], weight])
    found = list[Segment]()
    for i in range(degree, len(points)):
        a, b = float(knot[i]), float(knot[i + 1])
        if b <= a:
            continue
        spans = [_polar(control, knot, i, degree, [a] * (degree - j) + [b] * j) for j in range(degree + 1)]
        places = tuple((float(x / w), float(y / w)) for x, y, w in spans)
        if degree == 1:
            found.append(Line(*places))
        elif plain:
            found.append(Bezier(places))
        else:
            found.append(RationalBezier(places, tuple(float(w) for _, _, w in spans)))
    return found


def _polar(control: Floats, knot: Floats, span: int, degree: int, parameters: Sequence[float]) -> Floats:
    """The polar form of a span at as many parameters as its degree."""
    d = control[span - degree : span + 1].copy()
    for r in range(1, degree + 1):
        for j in range(degree, r - 1, -1):
            low, high = knot[j + span - degree], knot[j + 1 + span - r]
            share = (parameters[r - 1] - low) / (high - low)
            d[j] = (1 - share) * d[j - 1] + share * d[j]
    last: Floats = d[degree]
    return last
