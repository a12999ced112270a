"""The door for geometry: whatever shapely can hold comes in as sound polygons or lines, or is refused.

Every refusal says where, in mm.
"""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from toolpaths.base.checks import FARTHEST, Floats, between, sequence, shown
from toolpaths.base.checks import points as checked_points
from toolpaths.base.drawn_flat import check_drawn_flat
from toolpaths.base.errors import InputError, Point, ShapeError

# Areas below this, in mm2, hold no wood that a cutter could leave or take.
SMALLEST_AREA = 1e-6
# mm: what is farther off in a drawing has lost its hundredths of a mm to rounding.
_DRAWN_FARTHEST = 1e9
# Lists of lists of shapes, so many in each other at most.
_DEEPEST = 10


def _parts(name: str, shape: Any, depth: int = 0) -> list[BaseGeometry]:
    """The single geometries of any number of them, however they are bundled."""
    if isinstance(shape, BaseGeometry):
        inner = getattr(shape, "geoms", None)
        return [shape] if inner is None else [part for whole in inner for part in _parts(name, whole)]
    _refuse_outline(name, shape)
    if depth > _DEEPEST:
        raise InputError(f"{name} holds lists of lists without an end.")
    whole = sequence(name, shape, "a shapely geometry, or a list of them")
    return [part for each in whole for part in _parts(name, each, depth + 1)]


def _refuse_outline(name: str, shape: Any) -> None:
    if type(shape).__name__ == "Outline":
        raise InputError(f"{name} is an Outline in the making; give its .close() for an area, its .line for a line.")


def _check_near(name: str, shape: BaseGeometry) -> None:
    """Raises ShapeError for a coordinate that is no number, has a height, or is farther off than any board is."""
    check_drawn_flat(name, shape)
    coordinates = shapely.get_coordinates(shape)
    if not np.isfinite(coordinates).all():
        raise ShapeError(f"{name} holds a coordinate that is not finite.")
    if np.abs(coordinates).max() > FARTHEST:
        x, y = coordinates[np.abs(coordinates).max(axis=1).argmax()].tolist()
        raise ShapeError(
            f"{name} reaches to ({x:g}, {y:g}), more than {FARTHEST / 1000:g} m from the corner of the board; are its "
            "lengths in mm?",
            (x, y),
        )


def far(name: str, value: float) -> float:
    """mm; a drawing may lie anywhere until it is moved to where it belongs."""
    return between(name, value, -_DRAWN_FARTHEST, _DRAWN_FARTHEST)


def drawn(name: str, shape: Any) -> BaseGeometry:
    """One geometry of any kind, wherever it was drawn, to be moved, turned or resized."""
    _refuse_outline(name, shape)
    if not isinstance(shape, BaseGeometry):
        raise InputError(f"{name}={shown(shape)} must be a shapely geometry.")
    if shape.is_empty:
        raise ShapeError(f"The {name} is empty.")
    check_drawn_flat(name, shape)
    coordinates = shapely.get_coordinates(shape)
    if not (np.isfinite(coordinates).all() and np.abs(coordinates).max() <= _DRAWN_FARTHEST):
        raise ShapeError(f"{name} holds a coordinate that is not finite, or beyond {_DRAWN_FARTHEST:g} mm.")
    return shape


def _where(polygon: Polygon) -> Point | None:
    match = re.search(r"\[([-\d.e+]+) ([-\d.e+]+)\]", shapely.is_valid_reason(polygon))
    return (float(match[1]), float(match[2])) if match else None


def polygons(name: str, shape: Any) -> list[Polygon]:
    """Sound polygons, outside anticlockwise and holes clockwise, from any shapely area or areas.

    Raises ShapeError for a shape that is empty, has no area, or crosses itself, with the place.
    """
    found: list[Polygon] = []
    for part in _parts(name, shape):
        if not isinstance(part, Polygon):
            raise ShapeError(f"{name} holds a {part.geom_type}, which has no area; close the line into a polygon.")
        if part.is_empty:
            raise ShapeError(f"{name} is empty.")
        _check_near(name, part)
        # The two loops of a figure of eight cancel in `area`; made valid, they add up.
        sound = part.is_valid
        if (part if sound else shapely.make_valid(part)).area < SMALLEST_AREA:
            x, y = part.exterior.coords[0][:2]
            raise ShapeError(f"{name} has no area, at ({x:.3f}, {y:.3f}).", (x, y))
        if not sound:
            at = _where(part)
            text = f" at ({at[0]:.3f}, {at[1]:.3f})" if at else ""
            raise ShapeError(f"{name} crosses or touches itself{text}; draw an outline that does not.", at)
        found.append(orient(shapely.force_2d(part)))
    if not found:
        raise ShapeError(f"{name} is empty.")
    return found


def area(name: str, shape: Any) -> BaseGeometry:
    """The union of any areas."""
    parts = polygons(name, shape)
    return parts[0] if len(parts) == 1 else shapely.union_all(parts)


def check_none_inside(name: str, shape: Any) -> None:
    """Raises ShapeError for an area that lies wholly inside another: united with it, nothing is left of its outline.

    For work along outlines; areas that overlap in part are one area, with one outline.
    """
    parts = np.array(polygons(name, shape), object)
    if len(parts) == 1:
        return
    one, other = shapely.STRtree(parts).query(parts, predicate="intersects")
    sizes = shapely.area(parts)
    near = (one != other) & (sizes[one] < sizes[other] + SMALLEST_AREA)
    one, other = one[near], other[near]
    inside = np.flatnonzero(shapely.area(shapely.difference(parts[one], parts[other])) < SMALLEST_AREA)
    if not len(inside):
        return
    first = inside[0]
    place = shapely.point_on_surface(parts[one[first]])
    at = f"the area at ({place.x:.3f}, {place.y:.3f})"
    if sizes[other[first]] - sizes[one[first]] < SMALLEST_AREA:
        raise ShapeError(f"{name} holds {at} twice; leave one out.", (place.x, place.y))
    raise ShapeError(
        f"{name}: {at} lies wholly inside another, and its outline would not be cut. Subtract a hole from what it lies "
        "in, plate - hole, or cut it in an operation of its own, a hole with side='inside'.",
        (place.x, place.y),
    )


def lines(name: str, shape: Any) -> list[tuple[Floats, bool]]:
    """Each line, and each ring of each polygon, as ((n, 2) points, closed); no point is repeated."""
    found = []
    for part in _parts(name, shape):
        if isinstance(part, Polygon):
            rings = polygons(name, part)[0]
            found += [(ring_points(ring), True) for ring in (rings.exterior, *rings.interiors)]
        elif isinstance(part, LineString) and not part.is_empty:
            _check_near(name, part)
            points = shapely.get_coordinates(shapely.remove_repeated_points(part))
            if len(points) < 2 or part.length <= 0:
                x, y = points[0].tolist()
                raise ShapeError(f"{name} has no length, at ({x:.3f}, {y:.3f}).", (x, y))
            found.append((points[:-1], True) if part.is_closed else (points, False))
        else:
            raise ShapeError(f"{name} holds a {part.geom_type}; a line or a polygon is needed.")
    if not found:
        raise ShapeError(f"{name} is empty.")
    return found


def as_line(name: str, line: Any) -> BaseGeometry:
    """What is meant by a line: shapely geometry as it is, the line of an Outline, or points (x, y) joined in order."""
    if isinstance(line, BaseGeometry):
        return line
    if type(line).__name__ == "Outline":
        return line.line
    held = sequence(name, line, "a line: shapely lines, an Outline, or points (x, y) in mm")
    if any(isinstance(part, BaseGeometry) for part in held):
        return shapely.GeometryCollection(_parts(name, held))
    return LineString(checked_points(name, held, least=2))


def one_geometry(name: str, shape: Any) -> BaseGeometry:
    """A shape, or a list of shapes, as one geometry that is a value; it is not looked at whether it is sound."""
    if isinstance(shape, BaseGeometry):
        return shape
    parts = _parts(name, shape)
    return parts[0] if len(parts) == 1 else shapely.GeometryCollection(parts)


def ring_points(ring: LineString) -> Floats:
    """(n, 2) points of a closed ring, the first not repeated."""
    points: Floats = shapely.get_coordinates(ring)[:-1]
    return points


def rings_points(shape: Polygon) -> list[Floats]:
    """The (n, 2) points of each ring of a polygon, its outside first."""
    return [ring_points(ring) for ring in (shape.exterior, *shape.interiors)]


def polygon(name: str, points: Any) -> Polygon:
    """A sound polygon from (n, 2) points."""
    if len(points) < 3:
        x, y = (float(c) for c in points[0])
        raise ShapeError(f"{name} has no area, at ({x:.3f}, {y:.3f}).", (x, y))
    (only,) = polygons(name, Polygon(points))
    return only
