"""The shape that a round cutter can make from inside as well as from outside: its corners are matched to the cutter.

A cutter of radius r leaves the inner corners of a recess round by r, and the inner corners of an insert, which are
the outer ones of the recess. A shape that survives opening and closing by r, that is the ground that a disc covers
within it and the ground that no disc outside it covers, is cut alike from both sides (mathematical morphology, Serra
1982; from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.shapes import offset

# Shares of the tolerance: by which opening and closing may be off together, and what is no change of a corner.
_FINE, _UNCHANGED = 0.25, 1.0
# Radii by which the tip of a corner may move: that of one of 29 degrees does, r (1 / sin(29 / 2) - 1). What is lost
# beyond is no corner but a limb, or a gap, that is narrower than the cutter.
_MOST_MOVED = 3.0


class Matched(NamedTuple):
    """A shape whose corners are matched to a cutter.

    area : the shape that recess and insert have in common
    taken_mm2, added_mm2 : what its outer corners lost, and what its inner corners gained
    moved : mm by which the outline moved at most, at a corner
    at : where, (x, y); None where nothing moved
    """

    area: BaseGeometry
    taken_mm2: float
    added_mm2: float
    moved: float
    at: Point | None


def matched(area: BaseGeometry, radius: float, tolerance: float) -> Matched:
    """The shape nearest to an area that a cutter of this radius makes from inside and from outside alike.

    Raises DoesNotFitError where a piece, a limb or a gap of the area is narrower than the cutter.
    """
    if radius <= 0:
        return Matched(area, 0.0, 0.0, 0.0, None)
    opened = _moved_there_and_back(area, -radius, tolerance)
    closed = _moved_there_and_back(opened, radius, tolerance)
    slack = tolerance * _UNCHANGED
    # Rounded from outside, two corners may meet in a neck that the cutter does not pass from inside.
    neck = shapely.buffer(shapely.difference(closed, _moved_there_and_back(closed, -radius, tolerance)), -slack)
    if not neck.is_empty:
        raise _too_narrow(neck, radius, "a neck of it")
    taken, added = _broad(shapely.difference(area, closed), slack), _broad(shapely.difference(closed, area), slack)
    edge = closed.boundary
    lost, filled = _deepest(taken, edge), _deepest(added, edge)
    for (moved, at), change, what in ((lost, taken, "the shape"), (filled, added, "a gap of it")):
        if moved > _MOST_MOVED * radius or (moved > slack and _pieces(area) != _pieces(closed)):
            parts = shapely.get_parts(change)
            raise _too_narrow(parts[int(shapely.distance(parts, shapely.Point(at)).argmin())], radius, what)
    moved, at = max(lost, filled, key=lambda pair: pair[0])
    if moved <= slack:
        return Matched(area, 0.0, 0.0, 0.0, None)
    return Matched(closed, float(taken.area), float(added.area), moved, at)


def _moved_there_and_back(area: BaseGeometry, distance: float, tolerance: float) -> BaseGeometry:
    """What is left when the outline is moved and moved back: inwards first its opening, outwards first its closing."""
    fine = tolerance * _FINE
    return offset.wall(offset.wall(area, distance, fine, slim=False), -distance, fine, slim=False)


def _broad(change: BaseGeometry, slack: float) -> BaseGeometry:
    """A change without slivers: those of chords that lie beside each other, of which a long outline has thousands."""
    parts = shapely.get_parts(change)
    return shapely.union_all(parts[4 * shapely.area(parts) > slack * shapely.length(parts)])


def _pieces(area: BaseGeometry) -> tuple[int, int]:
    """How many pieces an area has, and how many holes."""
    parts = shapely.get_parts(area)
    return len(parts), int(shapely.get_num_interior_rings(parts).sum())


def _deepest(corners: BaseGeometry, edge: BaseGeometry) -> tuple[float, Point]:
    """How far a place of some corners lies from the new outline at most, mm, and where; inf where none is left."""
    places = shapely.get_coordinates(corners)
    if not len(places):
        return 0.0, (0.0, 0.0)
    away = np.nan_to_num(shapely.distance(edge, shapely.points(places)), nan=np.inf)
    x, y = places[int(away.argmax())].tolist()
    return float(away.max()), (x, y)


def _too_narrow(room: BaseGeometry, radius: float, what: str) -> DoesNotFitError:
    spoke = shapely.maximum_inscribed_circle(max(shapely.get_parts(room), key=lambda part: part.area))
    (x, y), wide = spoke.coords[0], 2 * float(spoke.length)
    most = f"one of {int(wide * 10) / 10:g} mm or less" if 0.1 <= wide < 2 * radius else "a finer one"
    return DoesNotFitError(
        f"Near ({x:.1f}, {y:.1f}) {what} is narrower than the cutter, {2 * radius:g} mm: what is lost there is more "
        f"than a corner. Take {most}, or draw it wider.",
        (x, y),
    )
