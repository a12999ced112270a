"""Rooms too tight for a cutter: what of a shape it loses there, and what wood it leaves."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.within_reach import NEAR, narrow_arms
from toolpaths.making.operations import rings
from toolpaths.making.operations.rings import ContourSide
from toolpaths.shapes import offset


def left_notes(
    area: BaseGeometry, centres: BaseGeometry, side: ContourSide, cutter: Cutter, tolerance: float
) -> tuple[str, ...]:
    """Notes on the wood that a cutter cannot reach of the inside of an area, or of its outside, if there is any.

    centres : inside, where its axis may be; outside, what its axis goes round
    """
    inside, slack = side == "inside", cutter.radius + tolerance
    swept = offset.zone(centres, slack if inside else -slack, tolerance, slim=False)
    left = shapely.difference(area, swept) if inside else shapely.difference(swept, area)
    parts = [part for part in shapely.get_parts(left) if part.area > tolerance]
    if not parts:
        return ()
    room = area if inside else _outside(area, cutter.radius, tolerance)
    axis = centres if inside else shapely.difference(room, centres)
    arms = _arms_among(parts, room, axis, cutter)
    corners = [part for part, is_arm in zip(parts, arms, strict=True) if not is_arm]
    narrow = [part for part, is_arm in zip(parts, arms, strict=True) if is_arm]
    notes = []
    if corners:
        notes.append(f"{cutter} leaves {_in_words(corners, 'corner')}, too tight for it.")
    if narrow:
        notes.append(f"{cutter} leaves {_in_words(narrow, 'gap')}, narrower than it is; add a finer one.")
    return tuple(notes)


def _arms_among(parts: list[BaseGeometry], room: BaseGeometry, axis: BaseGeometry, cutter: Cutter) -> NDArray[np.bool_]:
    """(n,) which parts left of a room belong to arms that the cutter does not get into, as the judge sees it."""
    places = [shapely.points(shapely.get_coordinates(part)) for part in parts]
    shapely.prepare(axis)
    if all(shapely.dwithin(axis, some, NEAR * cutter.radius).all() for some in places):
        return np.zeros(len(parts), bool)
    return np.asarray(shapely.intersects(parts, narrow_arms(room, cutter.radius)))


def _in_words(parts: list[BaseGeometry], name: str) -> str:
    """How much wood parts are, and where on the board as it lies the largest is."""
    largest = max(parts, key=lambda part: part.area)
    x, y = rings.placed_point(largest)
    near = f"near X{x:.1f} Y{y:.1f} on the board as it lies"
    if len(parts) == 1:
        return f"{largest.area:.2f} mm2 in one {name} {near}"
    total = sum(part.area for part in parts)
    return f"{total:.2f} mm2 in {len(parts)} {name}s, the largest, {largest.area:.2f} mm2, {near}"


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
    room = _outside(area, away, tolerance) if side == "outside" else area
    tight = shapely.difference(room, offset.zone(offset.zone(room, -away, tolerance), away, tolerance))
    largest = max(shapely.get_parts(tight), key=lambda part: part.area, default=area)
    return rings.placed_point(area if largest.is_empty else largest)


def _outside(area: BaseGeometry, away: float, tolerance: float) -> BaseGeometry:
    """The room around an area that a cutter goes round, with all its gaps."""
    return shapely.difference(offset.zone(area, 4 * away, tolerance), area)
