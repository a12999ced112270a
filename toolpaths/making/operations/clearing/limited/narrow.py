"""Rooms too narrow for any room beside the path: there a cutter can only cut a slot, with half its rim in wood."""

from __future__ import annotations

from math import floor

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations.clearing.limited.areas import area_of, moved, polygons

# The room must be so much wider than the cutter, as a share of its diameter.
SPARE = 0.05
# A narrow part so many times longer than it is wide is a slot and no corner.
_SLOT = 60.0


def roomy(centres: BaseGeometry, radius: float, tolerance: float) -> BaseGeometry:
    """The room of the axis without what is hardly wider than the cutter."""
    wide = moved(moved(centres, -SPARE * radius, tolerance), SPARE * radius, tolerance)
    return area_of(shapely.intersection(wide, centres))


def check_width(centres: Polygon, free: BaseGeometry, cutter: Cutter, limit_deg: float, tolerance: float) -> None:
    """Raises DoesNotFitError where a slot hardly wider than the cutter, `centres` for its axis, is not `free` yet."""
    wide = shapely.union(free, shapely.buffer(roomy(centres, cutter.radius, tolerance), SPARE * cutter.radius / 100))
    for part in polygons(shapely.difference(centres, wide)):
        length = part.length / 2
        if length * length > _SLOT * part.area and length > cutter.radius / 2:
            raise too_slim(part, cutter, limit_deg, tolerance)


def too_slim(part: Polygon, cutter: Cutter, limit_deg: float, tolerance: float) -> DoesNotFitError:
    """What is wrong with a narrow room of the axis, and the numbers that would work."""
    spare = shapely.maximum_inscribed_circle(part, tolerance / 10).length
    width = 2 * (cutter.radius + spare)
    at = part.representative_point()
    return DoesNotFitError(
        f"An engagement of at most {limit_deg:g} degrees cannot be kept near ({at.x:.1f}, {at.y:.1f}): the room there "
        f"is {width:.2f} mm wide, and {cutter} can only cut a slot, at 180 degrees. Take engagement_deg=180, or a "
        f"cutter of at most {floor(width / (1 + SPARE) * 100) / 100:.2f} mm.",
        (at.x, at.y),
    )
