"""Rooms too tight for a cutter: what of a shape it loses there, and what wood it leaves."""

from __future__ import annotations

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations import rings
from toolpaths.making.operations.rings import ContourSide
from toolpaths.shapes import offset


def unreached(
    area: BaseGeometry, centres: BaseGeometry, side: ContourSide, away: float, tolerance: float
) -> BaseGeometry:
    """What a cutter does not reach of the inside of an area, or of its outside.

    centres : inside, where its axis may be; outside, what its axis goes round
    away : its radius
    """
    if side == "inside":
        return shapely.difference(area, offset.zone(centres, away + tolerance, tolerance, slim=False))
    return shapely.difference(offset.zone(centres, -away - tolerance, tolerance, slim=False), area)


def left_note(left: BaseGeometry, cutter: Cutter, tolerance: float) -> tuple[str, ...]:
    """A note on the wood that a cutter cannot reach, if there is any."""
    parts = [part for part in shapely.get_parts(left) if part.area > tolerance]
    if not parts:
        return ()
    largest = max(parts, key=lambda part: part.area)
    x, y = rings.placed_point(largest)
    total = sum(part.area for part in parts)
    return (
        f"{cutter} leaves {total:.2f} mm2 in {len(parts)} corners or gaps too tight for it, the largest, "
        f"{largest.area:.2f} mm2, near X{x:.1f} Y{y:.1f} on the board as it lies.",
    )


def lost_near(
    area: BaseGeometry, centres: BaseGeometry, away: float, side: ContourSide, tolerance: float
) -> Point | None:
    """A place where a piece or a hole of a shape was lost when its boundary moved away by so much, if any was."""
    kept = _one_each(_polygons(area), _polygons(centres)) and _one_each(_holes(area), _holes(centres))
    return None if kept else _narrowest(area, away, side, tolerance)


def _one_each(before: list[Polygon], after: list[Polygon]) -> bool:
    """Whether each became exactly one: none lost, none split, none joined to another."""
    if len(before) != len(after) or not before:
        return len(before) == len(after)
    ours, theirs = shapely.STRtree(after).query(before, predicate="intersects").tolist()
    return len(before) == len(ours) == len(set(ours)) == len(set(theirs))


def _polygons(area: BaseGeometry) -> list[Polygon]:
    return [piece for piece in shapely.get_parts(area) if not piece.is_empty]


def _holes(area: BaseGeometry) -> list[Polygon]:
    return [Polygon(hole) for piece in _polygons(area) for hole in piece.interiors]


def _narrowest(area: BaseGeometry, away: float, side: ContourSide, tolerance: float) -> Point:
    """A place in the largest piece of room that is too narrow for the cutter."""
    room = area
    if side == "outside":
        room = shapely.difference(offset.zone(area, 4 * away, tolerance), area)
    tight = shapely.difference(room, offset.zone(offset.zone(room, -away, tolerance), away, tolerance))
    largest = max(shapely.get_parts(tight), key=lambda part: part.area, default=area)
    return rings.placed_point(area if largest.is_empty else largest)
