"""Boxes about lines and arcs, many at once."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.shapes.track import Segment

# Right, up, left and down of a centre.
_QUARTERS = np.arange(4) * pi / 2


def segment_bounds(segments: Sequence[Segment]) -> Floats:
    """(n, 4) left, low, right and high of each segment, the bulge of an arc included."""
    rows = np.array([(*segment.start, *segment.end, *segment.centre, segment.sweep) for segment in segments])
    rows = rows.reshape(-1, 7)
    return bounds_of(rows[:, :2], rows[:, 2:4], rows[:, 4:6], rows[:, 6])


def bounds_of(start: Floats, end: Floats, centre: Floats, sweep: Floats) -> Floats:
    """The same of n segments in columns.

    start, end, centre : (n, 2) mm
    sweep : (n,) radians, 0 for a line
    """
    boxes = np.hstack([np.minimum(start, end), np.maximum(start, end)])
    arcs = np.flatnonzero(sweep)
    if len(arcs):
        ray, sweep, (x, y) = start[arcs] - centre[arcs], sweep[arcs], centre[arcs].T
        first = np.arctan2(ray[:, 1], ray[:, 0]) + np.minimum(sweep, 0.0)
        passed = (_QUARTERS - first[:, None]) % (2 * pi) <= np.abs(sweep)[:, None]
        right, up, left, down = np.where(passed, np.hypot(*ray.T)[:, None], -np.inf).T
        low, high = np.column_stack([x - left, y - down]), np.column_stack([x + right, y + up])
        boxes[arcs] = np.hstack([np.minimum(boxes[arcs, :2], low), np.maximum(boxes[arcs, 2:], high)])
    return boxes
