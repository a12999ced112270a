"""Bezier curves of second and third degree, as chords that stay within a tolerance of the curve."""

from __future__ import annotations

from math import ceil, sqrt

import numpy as np

from toolpaths.base.checks import Floats


def bezier(controls: Floats, sagitta: float) -> Floats:
    """(n, 2) points of the curve with (3, 2) or (4, 2) control points, its ends among them.

    The chord over a step h of the parameter lies within h^2/8 of the greatest second derivative; that is linear in
    the parameter, so it is greatest at an end (de Boor's and any numerical text's estimate).
    """
    degree = len(controls) - 1
    bends = np.hypot(*(controls[:-2] - 2 * controls[1:-1] + controls[2:]).T)
    steps = max(1, ceil(sqrt(degree * (degree - 1) * float(bends.max()) / (8 * sagitta))))
    t = np.linspace(0.0, 1.0, steps + 1)[:, None]
    points = [controls[i] * np.ones_like(t) for i in range(degree + 1)]
    while len(points) > 1:
        points = [a * (1 - t) + b * t for a, b in zip(points, points[1:])]
    points[0][[0, -1]] = controls[[0, -1]]
    return np.asarray(points[0])
