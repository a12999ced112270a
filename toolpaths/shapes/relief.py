"""Corner reliefs: the extra bite at an inside corner that lets a square-cornered part sit in a pocket."""

from __future__ import annotations

from math import cos, pi, radians

import numpy as np
import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import length
from toolpaths.base.checks import tolerance as checked_tolerance
from toolpaths.base.errors import DoesNotFitError, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.curves import arc
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

# A corner that turns less than this is part of a curve, in which nothing square sits.
_LEAST_TURN_DEG = 20.0


def relieve_corners(shape: BaseGeometry, radius: float, *, tolerance: float = DEFAULT_TOLERANCE) -> BaseGeometry:
    """The area with a circle of `radius` added at every corner into which a round cutter does not reach.

    The circle passes through the corner, its centre on the bisector, so the cutter of that radius
    overcuts each wall of a square corner by 0.293 radius. Corners turning 20 degrees or less are
    left alone.

    >>> from toolpaths import rectangle, relieve_corners
    >>> relieved = relieve_corners(rectangle(84, 60), 1.5)
    >>> round(relieved.bounds[2] - 42, 3)
    0.439

    Raises ShapeError where no corner needs a relief, and DoesNotFitError where one would reach
    the end of its wall or another wall.
    """
    radius = length("radius", radius)
    tolerance = checked_tolerance("tolerance", tolerance)
    reliefs: list[Polygon] = []
    parts = door.polygons("shape", shape)
    for part in parts:
        for ring in (part.exterior, *part.interiors):
            points = door.ring_points(ring)
            before, after = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
            walls = np.minimum(np.hypot(*before.T), np.hypot(*after.T))
            before /= np.hypot(*before.T)[:, None]
            after /= np.hypot(*after.T)[:, None]
            # Rings run with the area on their left, so a left turn is a corner of the area.
            left = after[:, 0] * before[:, 1] - after[:, 1] * before[:, 0] > 0
            turn = (before * after).sum(axis=1) > -cos(radians(_LEAST_TURN_DEG))
            for i in np.flatnonzero(left & turn):
                bisector = before[i] + after[i]
                # Half the corner's angle has the cosine |bisector|/2: that is the mouth's share of the diameter.
                mouth = float(np.hypot(*bisector)) * radius
                middle = points[i] + bisector / np.hypot(*bisector) * radius
                relief = Polygon(arc(tuple(middle), points[i], 2 * pi, tolerance * FLATTEN)[:-1])
                overcut = shapely.difference(relief, part)
                lobe = shapely.distance(shapely.get_parts(overcut), Point(points[i])) <= tolerance
                if mouth > walls[i] or not lobe.all():
                    x, y = points[i].tolist()
                    raise DoesNotFitError(
                        f"A relief of radius {radius:g} at the corner ({x:.3f}, {y:.3f}) would cut through a wall "
                        "that is not of this corner; use a smaller radius.",
                        (x, y),
                    )
                reliefs.append(relief)
    if not reliefs:
        raise ShapeError("No corner of the shape needs a relief.")
    return shapely.union_all([*parts, *reliefs])
