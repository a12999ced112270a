"""The longest straight edge of a contour: what shows how a thing lies in its picture."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import ShapeError
from toolpaths.pictures.ring_arcs import fitted_part
from toolpaths.pictures.smooth_rings import STEPS_OFF, SmoothRing

# Pixels: a shorter straight edge shows no direction.
_SHORTEST = 20.0


def longest_edge(ring: SmoothRing) -> Floats:
    """(2, 2) the two ends, pixels, of the line of best fit to the longest straight edge.

    Raises ShapeError where none is long enough.
    """
    lines = [
        (line.length, np.array([line.start, line.end]), part)
        for part in ring.parts
        for line in fitted_part(part, ring.closed, ring.off, STEPS_OFF)
        if line.sweep == 0
    ]
    length, ends, part = max(lines, key=lambda each: each[0], default=(0.0, np.empty((0, 2)), np.empty((0, 2))))
    if length < _SHORTEST:
        raise ShapeError("level: the largest outline has no straight edge; give two places on a line that is level.")
    direction = (ends[1] - ends[0]) / length
    along, aside = (part - ends[0]) @ direction, (part - ends[0]) @ np.array([-direction[1], direction[0]])
    on_it = part[(along >= 0) & (along <= length) & (np.abs(aside) <= 2 * ring.off)]
    middle = on_it.mean(axis=0)
    best = np.linalg.svd(on_it - middle, full_matrices=False)[2][0] * length / 2
    return np.array([middle - best, middle + best])
