"""Smooth rings as lines and tangent arcs within a tolerance, drawn in chords of which every vertex lies on its arc."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.counted_lengths import all_counted
from toolpaths.pictures.level_contours import ring_area
from toolpaths.pictures.straight_sides import Grain, with_straight_sides
from toolpaths.shapes import arc_fit
from toolpaths.shapes.curves import arc, sweep_between
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN
from toolpaths.shapes.track import Segment, circle_track


def fitted_part(points: Floats, closed: bool, grain: Grain, tolerance: float) -> list[Segment]:
    """Lines and arcs within the tolerance of (n, 2) points, or of the straight sides and single arcs that these are."""
    # Sums over many places differ in their last digits between versions of numpy, and by them a fit takes another way.
    kept = arc_fit.distinct(all_counted(points), closed)
    if len(kept) == 2 and not closed:
        return [Segment(tuple(kept[0].tolist()), tuple(kept[-1].tolist()))]
    single = _circle(kept, grain.off) if closed else _arc(kept, grain.off)
    if single:
        return single
    line = arc_fit.distinct(all_counted(with_straight_sides(kept, closed, grain)), closed)
    return list(arc_fit.fit(line, closed, tolerance).segments)


def _circle(points: Floats, tolerance: float) -> list[Segment]:
    """The circle of best fit, in halves; nothing where it is not within the tolerance of all points."""
    middle = points.mean(axis=0)
    x, y = (points - middle).T
    # x^2 + y^2 = 2 a x + 2 b y + c: linear in what is looked for.
    (a, b, c), *_ = np.linalg.lstsq(np.column_stack([2 * x, 2 * y, np.ones(len(x))]), x**2 + y**2)
    radius = float(np.sqrt(c + a * a + b * b))
    if np.abs(np.hypot(x - a, y - b) - radius).max() > tolerance:
        return []
    centre = (float(middle[0] + a), float(middle[1] + b))
    clockwise = ring_area(points) < 0
    return list(circle_track(centre, radius, clockwise).segments)


def _arc(points: Floats, tolerance: float) -> list[Segment]:
    """The arc of best fit from the first point to the last; nothing where it is not within the tolerance of all."""
    middle = (points[0] + points[-1]) / 2
    chord = points[-1] - points[0]
    half = float(np.hypot(*chord)) / 2
    if half < tolerance:
        return []
    across = np.array([-chord[1], chord[0]]) / (2 * half)
    aside, apart = (points - middle) @ across, ((points - middle) ** 2).sum(axis=1) - half**2
    if (aside**2).sum() < 1e-12:
        return []
    # Its centre on the line across the middle of the chord, linear in what is looked for.
    centre = middle + across * float(aside @ apart / (2 * aside @ aside))
    radius = float(np.hypot(*(points[0] - centre)))
    if np.abs(np.hypot(*(points - centre).T) - radius).max() > tolerance:
        return []
    (x, y), start, end = centre.tolist(), tuple(points[0].tolist()), tuple(points[-1].tolist())
    sweep = sweep_between((x, y), start, end, clockwise=bool(aside.mean() > 0))
    return [Segment(start, end, (x, y), sweep)]


def chords_of(segments: list[Segment]) -> Floats:
    """(n, 2) segments end to end as chords; the end of the last is not among them."""
    drawn = []
    for segment in segments:
        if segment.sweep == 0:
            drawn.append(np.array([segment.start]))
        else:
            drawn.append(arc(segment.centre, segment.start, segment.sweep, FLATTEN * DEFAULT_TOLERANCE)[:-1])
    return np.vstack(drawn)
