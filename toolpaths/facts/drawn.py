"""The doors for shapes among the facts: of clamps and grips, and of the features of a part."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import LineString, MultiPoint, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import FARTHEST, points, sequence, shown
from toolpaths.base.drawn_flat import check_drawn_flat
from toolpaths.base.errors import InputError


def area(name: str, value: Any) -> Polygon | MultiPolygon:
    """One sound polygon or several."""
    if not isinstance(value, (Polygon, MultiPolygon)) or value.is_empty or not value.is_valid:
        raise InputError(f"{name} must be a valid shapely polygon, for instance rectangle(...), not {shown(value)}.")
    return _near(name, value)


def polygon(name: str, value: Any) -> Polygon:
    """One sound polygon."""
    if not isinstance(value, Polygon) or value.is_empty or not value.is_valid:
        raise InputError(f"{name} must be a valid shapely Polygon, for instance rectangle(...), not {shown(value)}.")
    return _near(name, value)


def polygons(name: str, given: Any) -> tuple[Polygon, ...]:
    """Any number of sound polygons."""
    return tuple(polygon(f"each of {name}", each) for each in sequence(name, given, "a tuple of Polygon(...)"))


def area_or_none(name: str, value: Any) -> BaseGeometry:
    """One sound polygon or several, or an empty geometry."""
    return value if isinstance(value, BaseGeometry) and value.is_empty else area(name, value)


def line(name: str, value: Any) -> BaseGeometry:
    """Lines or points, of shapely's or as points (x, y) joined in order."""
    if not isinstance(value, BaseGeometry):
        value = LineString(points(name, value, least=2))
    if value.is_empty or shapely.get_dimensions(value) > 1:
        raise InputError(f"{name} must be shapely lines or points, such as area.boundary, not {shown(value)}.")
    return _near(name, value)


def places(name: str, value: Any) -> Point | MultiPoint:
    """Points, of shapely's or as (x, y)."""
    if not isinstance(value, BaseGeometry):
        value = MultiPoint(points(name, value))
    if not isinstance(value, (Point, MultiPoint)) or value.is_empty:
        raise InputError(f"{name} must be points (x, y), or a shapely Point or MultiPoint, not {shown(value)}.")
    return _near(name, value)


def _near(name: str, shape: Any) -> Any:
    """A shape drawn flat, within reach of a board."""
    farthest = float(np.abs(shapely.get_coordinates(shape)).max())
    if not farthest <= FARTHEST:
        raise InputError(f"{name} reaches to {farthest:g} mm, beyond every board; are its lengths in mm?")
    check_drawn_flat(name, shape)
    return shape
