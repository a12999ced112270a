"""Corner reliefs: the extra bite at an inside corner that lets a square-cornered part sit in a pocket."""

from __future__ import annotations

from collections.abc import Iterable
from math import pi
from typing import Any, Literal

import numpy as np
import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, length, one_of
from toolpaths.base.checks import tolerance as checked_tolerance
from toolpaths.base.errors import DoesNotFitError, ShapeError
from toolpaths.facts.cutter import Cutter
from toolpaths.shapes import door
from toolpaths.shapes.curves import arc
from toolpaths.shapes.outline_corners import Corner, Ring, chosen, rings_of
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

Bite = Literal["smallest", "centred", "along the longer wall", "along the shorter wall"]
BITES: tuple[Bite, ...] = ("smallest", "centred", "along the longer wall", "along the shorter wall")


def relieve_corners(
    shape: BaseGeometry,
    radius: float | Cutter,
    *,
    bite: Bite = "smallest",
    near: Iterable[Any] | None = None,
    tolerance: float = DEFAULT_TOLERANCE,
) -> BaseGeometry:
    """The area with a circle added at every corner into which a round cutter does not reach.

    radius : of the circle, mm; or the cutter that will cut it, whose radius is taken with the tolerance added,
        so that it comes in
    bite : "smallest": the circle passes through the corner, its centre on the bisector, and overcuts each wall
        of a square corner by 0.293 radius, of others by (1 - the sine of half their angle) of it; "centred": its
        centre is the corner, it overcuts by the radius;
        "along the longer wall" or "along the shorter wall": it passes through the corner, its centre on that
        wall, behind which alone it bites, by the radius: to be hidden by what covers that wall. At a corner of
        another angle than 90 degrees it cuts into the other wall too, by (1 - its sine) of the radius
    near : places (x, y), for each of which the nearest such corner is relieved; without them all are

    Corners turning 20 degrees or less are left alone.

    >>> from toolpaths import rectangle, relieve_corners
    >>> relieved = relieve_corners(rectangle(84, 60), 1.5)
    >>> round(relieved.bounds[2] - 42, 3)
    0.439
    >>> relieve_corners(rectangle(84, 60), 1.5, bite="along the longer wall").bounds
    (-42.0, -31.5, 42.0, 31.5)

    Raises ShapeError where no corner needs a relief, and DoesNotFitError where one would reach
    the end of its wall or another wall.
    """
    tolerance = checked_tolerance("tolerance", tolerance)
    round_by = radius.diameter / 2 + tolerance if isinstance(radius, Cutter) else length("radius", radius)
    one_of("bite", bite, BITES)
    parts = door.polygons("shape", shape)
    rings = rings_of(parts)
    narrow = [corner for ring in rings for corner in ring.corners if corner.narrow]
    if not narrow:
        raise ShapeError("No corner of the shape needs a relief.")
    whole = shapely.union_all(parts)
    reliefs = []
    for corner in chosen(narrow, near):
        middle = np.array(corner.place) + _aside(corner, rings[corner.ring], bite) * round_by
        start = corner.place if bite != "centred" else (float(middle[0]) + round_by, float(middle[1]))
        relief = Polygon(arc(tuple(middle), start, 2 * pi, tolerance * FLATTEN)[:-1])
        if _bites_elsewhere(relief, whole, corner, rings, tolerance):
            x, y = corner.place
            raise DoesNotFitError(
                f"A relief of radius {round_by:g} at the corner ({x:.3f}, {y:.3f}) would cut through a wall "
                "that is not of this corner; use a smaller radius.",
                corner.place,
            )
        reliefs.append(relief)
    return shapely.union_all([*parts, *reliefs])


def _aside(corner: Corner, ring: Ring, bite: Bite) -> Floats:
    """From the corner to the centre of its relief, in radii."""
    if bite == "centred":
        return np.zeros(2)
    if bite == "smallest":
        bisector = corner.back + corner.on
        return np.asarray(bisector / np.hypot(*bisector))
    before, after = ring.walls_at(corner)
    longer_is_before = before.length > after.length
    return corner.back if longer_is_before == (bite == "along the longer wall") else corner.on


def _bites_elsewhere(relief: Polygon, whole: BaseGeometry, corner: Corner, rings: list[Ring], tolerance: float) -> bool:
    """Whether a relief reaches past the ends of the corner's two walls, or through another wall."""
    ring = rings[corner.ring]
    before, after = ring.walls_at(corner)
    others: list[BaseGeometry] = [shapely.linearrings(other.points) for other in rings if other is not ring]
    others += [wall for wall in ring.walls if wall is not before and wall is not after]
    far_ends = [Point(before.coords[0]), Point(after.coords[-1])]
    if len(ring.corners) > 1 and shapely.contains(relief, far_ends).any():
        return True
    if shapely.intersects(shapely.buffer(relief, -tolerance), others).any():
        return True
    overcut = shapely.get_parts(shapely.difference(relief, whole))
    return bool((shapely.distance(overcut, Point(corner.place)) > tolerance).any())
