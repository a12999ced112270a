"""Places told by a shape that is there: so far along a wall from its corner, so far outside or inside it."""

from __future__ import annotations

from math import hypot

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, coordinate, distance, point
from toolpaths.base.errors import DoesNotFitError, Point, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.curves import lengths_along
from toolpaths.shapes.outline_corners import chosen, rings_of
from toolpaths.shapes.spans import COINCIDENT


def place_from_corner(shape: BaseGeometry, corner: Point, toward: Point, along: float, outside: float = 0.0) -> Point:
    """The place so far from a corner of a shape, along one of its two walls, and so far outside that wall.

    corner : a place (x, y); the nearest corner of the shape is meant
    toward : a place (x, y) on the side of the wall that is meant
    along : mm along that wall from the corner
    outside : mm from the wall, away from the shape; < 0 is within it

    >>> from toolpaths import place_from_corner, rectangle
    >>> place_from_corner(rectangle(200, 100, (100, 50)), (0, 0), toward=(200, 0), along=25, outside=9)
    (25.0, -9.0)

    Raises ShapeError for a shape without corners, DoesNotFitError where the wall is shorter.
    """
    rings = rings_of(door.polygons("shape", shape))
    (found,) = chosen([each for ring in rings for each in ring.corners], [point("corner", corner)])
    before, after = rings[found.ring].walls_at(found)
    aim = np.array(point("toward", toward)) - found.place
    if aim @ found.back == aim @ found.on:
        raise ShapeError(
            f"toward={toward} lies as much to the one wall of the corner {found.place} as to the other.", found.place
        )
    goes_on = bool(aim @ found.on > aim @ found.back)
    wall = after if goes_on else before.reverse()
    far = distance("along", along)
    if far > wall.length:
        raise DoesNotFitError(
            f"along={far:g} is more than the wall from the corner {found.place} has: {wall.length:.3f} mm.", found.place
        )
    return _off(shapely.get_coordinates(wall), wall.interpolate(far), coordinate("outside", outside), right=goes_on)


def place_from_wall(shape: BaseGeometry, wall: Point, outside: float) -> Point:
    """The place so far outside a shape, square to its outline at the point that is nearest to `wall`.

    outside : mm from the outline, away from the shape; < 0 is within it

    >>> from toolpaths import circle, place_from_wall
    >>> place_from_wall(circle(80, (50, 50)), (120, 50), outside=6)
    (96.0, 50.0)

    Raises ShapeError for what has no area.
    """
    rings = rings_of(door.polygons("shape", shape))
    near = shapely.Point(point("wall", wall))
    outlines = [shapely.linearrings(ring.points) for ring in rings]
    nearest = min(outlines, key=near.distance)
    place = nearest.interpolate(nearest.project(near))
    return _off(shapely.get_coordinates(nearest), place, coordinate("outside", outside), right=True)


def _off(points: Floats, place: shapely.Point, outside: float, right: bool) -> Point:
    """A place of a line moved square to it, to its right or to its left; at a vertex, square to both its chords."""
    line = shapely.LineString(points)
    along, at = lengths_along(points), line.project(place)
    steps = np.diff(points, axis=0)
    steps /= np.hypot(*steps.T)[:, None]
    touching = (along[:-1] < at + COINCIDENT) & (along[1:] > at - COINCIDENT)
    if line.is_closed and not COINCIDENT < at < line.length - COINCIDENT:
        touching[[0, -1]] = True
    dx, dy = steps[touching].sum(axis=0).tolist()
    side = (outside if right else -outside) / hypot(dx, dy)
    return place.x + dy * side, place.y - dx * side
