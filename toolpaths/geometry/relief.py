"""Corner reliefs: the extra bite at an inside corner that lets a square-cornered part sit in a pocket."""

from __future__ import annotations

from math import cos, radians

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.checks import positive
from toolpaths.errors import ShapeError
from toolpaths.geometry import door
from toolpaths.geometry import tolerance as share
from toolpaths.geometry.shapes import circle

# A corner that turns less than this is part of a curve, in which nothing square sits.
_LEAST_TURN_DEG = 20.0


def relieve_corners(shape: BaseGeometry, radius: float, *, tolerance: float = share.DEFAULT) -> BaseGeometry:
    """The area with a circle of `radius` added at every corner into which a round cutter does not reach.

    The circle passes through the corner, its centre on the bisector, so the cutter of that radius
    overcuts each wall of a square corner by 0.293 radius. Corners turning 20 degrees or less are
    left alone. Raises ShapeError where no corner needs a relief.
    """
    positive("radius", radius)
    reliefs = []
    for part in door.polygons("shape", shape):
        for ring in (part.exterior, *part.interiors):
            points = door.ring_points(ring)
            before, after = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
            before /= np.hypot(*before.T)[:, None]
            after /= np.hypot(*after.T)[:, None]
            # Rings run with the area on their left, so a left turn is a corner of the area.
            left = after[:, 0] * before[:, 1] - after[:, 1] * before[:, 0] > 0
            turn = (before * after).sum(axis=1) > -cos(radians(_LEAST_TURN_DEG))
            for i in np.flatnonzero(left & turn):
                bisector = before[i] + after[i]
                middle = points[i] + bisector / np.hypot(*bisector) * radius
                reliefs.append(circle(2 * radius, tuple(middle), tolerance=tolerance))
    if not reliefs:
        raise ShapeError("No corner of the shape needs a relief.")
    relieved = shapely.union_all([shape, *reliefs])
    if not isinstance(relieved, Polygon) and len(door.polygons("shape", shape)) == 1:
        raise ShapeError(f"Reliefs of radius {radius:g} do not fit the shape.")
    return relieved
