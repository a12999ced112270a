"""Smooth rings as lines and tangent arcs within a tolerance, drawn in chords of which every vertex lies on its arc."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.shapes import arc_fit
from toolpaths.shapes.curves import arc
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN
from toolpaths.shapes.track import Segment

# Of a pixel: how far lines and arcs lie off the smooth contour, unless it is said.
PIXEL_SHARE = 1 / 8


def fitted_part(points: Floats, closed: bool, tolerance: float) -> list[Segment]:
    """Lines and arcs within the tolerance of (n, 2) points; a straight part is one line."""
    kept = arc_fit.distinct(points, closed)
    if not closed and _aside(kept) <= tolerance:
        return [Segment(tuple(kept[0].tolist()), tuple(kept[-1].tolist()))]
    return list(arc_fit.fit(kept, closed, tolerance).segments)


def _aside(points: Floats) -> float:
    """Distance of the farthest of (n, 2) points from the line through the first and the last."""
    (x, y), (dx, dy) = points[0], points[-1] - points[0]
    length = float(np.hypot(dx, dy))
    if length < 1e-9:
        return float("inf")
    return float(np.abs((points[:, 0] - x) * dy - (points[:, 1] - y) * dx).max()) / length


def chords_of(segments: list[Segment]) -> Floats:
    """(n, 2) segments end to end as chords; the end of the last is not among them."""
    drawn = []
    for segment in segments:
        if segment.sweep == 0:
            drawn.append(np.array([segment.start]))
        else:
            drawn.append(arc(segment.centre, segment.start, segment.sweep, FLATTEN * DEFAULT_TOLERANCE)[:-1])
    return np.vstack(drawn)
