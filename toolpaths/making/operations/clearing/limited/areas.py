"""Areas of any geometry, and areas moved, as this method of clearing needs them."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.shapes import door, offset


def polygons(geometry: BaseGeometry) -> list[Polygon]:
    """Those parts of any geometry that have an area to speak of."""
    # Most are in one part.
    found = [geometry] if isinstance(geometry, Polygon) else shapely.get_parts(geometry)
    return [part for part in found if isinstance(part, Polygon) and part.area > 2 * door.SMALLEST_AREA]


def area_of(geometry: BaseGeometry) -> BaseGeometry:
    found = polygons(geometry)
    return found[0] if len(found) == 1 else MultiPolygon(found)


def moved(area: BaseGeometry, distance: float, tolerance: float) -> BaseGeometry:
    """The area's parts moved outwards, or inwards where negative."""
    return area_of(offset.wall(area_of(area), distance, tolerance))
