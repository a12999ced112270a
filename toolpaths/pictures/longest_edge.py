"""The longest straight edge of a contour: what shows how a thing lies in its picture."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import ShapeError
from toolpaths.pictures.ring_arcs import fitted_part
from toolpaths.pictures.smooth_rings import STEPS_OFF, SmoothRing
from toolpaths.pictures.straight_sides import Grain

# Pixels: a shorter straight edge shows no direction.
_SHORTEST = 20.0


def longest_edge(ring: SmoothRing) -> Floats:
    """(2, 2) the two ends, pixels, of the line of best fit to the longest straight edge.

    Raises ShapeError where none is long enough.
    """
    sides = [part for part in ring.parts if len(part) == 2]
    if not sides:
        # No corners; a straight edge is a stretch of a smooth ring.
        grain = Grain(1.0, ring.noise, ring.off)
        lines = fitted_part(ring.points, True, grain, STEPS_OFF)
        sides = [np.array([line.start, line.end]) for line in lines if not line.sweep]
    longest = max(sides, key=_length, default=None)
    if longest is None or _length(longest) < _SHORTEST:
        raise ShapeError("level: the largest outline has no straight edge; give two places on a line that is level.")
    return longest


def _length(line: Floats) -> float:
    return float(np.hypot(*(line[1] - line[0])))
