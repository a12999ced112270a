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
    ends = np.array([(*segment.start, *segment.end) for segment in segments]).reshape(-1, 2, 2)
    boxes = np.concatenate([ends.min(axis=1), ends.max(axis=1)], axis=1)
    arcs = [number for number, segment in enumerate(segments) if segment.sweep]
    if arcs:
        centres = np.array([segments[number].centre for number in arcs])
        sweep = np.array([segments[number].sweep for number in arcs])
        ray = ends[arcs, 0] - centres
        first = np.arctan2(ray[:, 1], ray[:, 0]) + np.minimum(sweep, 0.0)
        passed = (_QUARTERS - first[:, None]) % (2 * pi) <= np.abs(sweep)[:, None]
        right, up, left, down = np.where(passed, np.hypot(*ray.T)[:, None], -np.inf).T
        farthest = np.column_stack(
            [centres[:, 0] - left, centres[:, 1] - down, centres[:, 0] + right, centres[:, 1] + up]
        )
        low, high = farthest[:, :2], farthest[:, 2:]
        boxes[arcs] = np.hstack([np.minimum(boxes[arcs, :2], low), np.maximum(boxes[arcs, 2:], high)])
    return boxes
