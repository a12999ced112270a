"""What of a finished part is measured, and what a calliper reads: only what is in it, from the faces it then has."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import degrees, hypot, pi
from typing import NamedTuple

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.features.cone import Cone
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.keyhole import Keyhole
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.part import Part
from toolpaths.facts.turning import SIDES, Side
from toolpaths.show.foot_of_slope import Foot, foot_of_slope
from toolpaths.show.lengths import Lengths

# By which share a disc may seem to be none, an area none at all, a wall be short beside the whole, and a turned
# rectangle be rounded at its corners.
_ROUND, _NOTHING, _WALL, _TURNED = 0.005, 1e-3, 0.25, 0.9
# mm by which two ends of a wall may be off X or Y, by which ears at corners may reach over a wall, and by which the
# sides of a groove may be drawn off.
_LEVEL, _EAR, _CHORD = 1e-6, 3.0, 0.01
# Points of a line of which a band is made.
_MOST_POINTS = 800
Bounds = tuple[float, float, float, float]


class Measured(NamedTuple):
    """One shape of a feature, seen from the front, where the finished part has it.

    shape : a hole's middle, else what the face shows of it
    box : where it lies along X and Y: between its walls, of a groove its middle line; none of a bevel, which lies
        beside another shape
    size : as a calliper reads it, "" where there is none to read
    depth : mm from the face of the part as it is then; None where it goes through
    radius : of a hole; 0 of anything else
    middle_line : of a groove, from which it is measured
    """

    side: Side
    name: str
    shape: BaseGeometry
    box: Bounds | None
    size: str
    depth: float | None
    radius: float = 0.0
    middle_line: BaseGeometry | None = None

    @property
    def middle(self) -> Point:
        left, low, right, high = self.box or self.shape.bounds
        return (left + right) / 2, (low + high) / 2


def part_area(part: Part) -> BaseGeometry:
    """What of the board is the part, seen from the front: within its outline, and not in its openings."""
    openings = [parting.area for parting in part.partings() if parting.waste == "inside"]
    return shapely.difference(_outlined(part), shapely.union_all(openings))


def levelled(part: Part, side: Side) -> float:
    """mm by which all of the part is lower there than the board was."""
    area, underside = part_area(part), -part.board.thickness
    return max((-each.floor(underside) for each in part.cut_from(side) if _levels(each, area, underside)), default=0.0)


def thickness(part: Part) -> float:
    """mm, of the part where nothing else is cut."""
    return part.board.thickness - sum(levelled(part, side) for side in SIDES)


# A page asks three times.
@lru_cache(maxsize=8)
def measured(part: Part, lengths: Lengths) -> tuple[Measured, ...]:
    """All that is cut into the part or round it, by face; not what was cut into the waste, nor its faces levelled."""
    return tuple(_measured(part, lengths))


def _measured(part: Part, lengths: Lengths) -> Iterator[Measured]:
    area, outlined, underside = part_area(part), _outlined(part), -part.board.thickness
    for side in SIDES:
        lower = levelled(part, side)
        for feature in part.cut_from(side):
            if _levels(feature, area, underside):
                continue
            # Of a cut, from its lowest up to the face as it is then.
            tall = -feature.floor(underside) - lower
            through = feature.goes_through(underside)
            for shape, box, size, deep, line in _seen(part, side, feature, tall, area, outlined, lengths):
                radius = feature.profile.radius if isinstance(feature, (CutAlong, Cone)) and feature.hole else 0.0
                yield Measured(side, feature.name, shape, box, size, None if through else deep, radius, line)


def round_diameter(shape: BaseGeometry) -> float | None:
    """mm across a polygon that is a disc but for its chords; None for any other shape."""
    if not isinstance(shape, Polygon):
        return None
    left, low, right, high = shape.bounds
    across, disc_area = right - left, pi / 4 * (right - left) * (high - low)
    outline = shapely.area(Polygon(shape.exterior))
    is_round = abs(across - (high - low)) < _ROUND * across and abs(outline - disc_area) < _ROUND * disc_area
    return across if is_round else None


def wall_bounds(shape: BaseGeometry) -> Bounds:
    """Between which walls along X and Y a shape lies; corners cut over the walls, for what is put in, do not count."""
    left, low, right, high = shape.bounds
    if not isinstance(shape, Polygon):
        return left, low, right, high
    points = shapely.get_coordinates(shape.exterior)
    (y0, y1), (x0, x1) = (
        _walls(points, along, box) for along, box in ((0, (low, high, right - left)), (1, (left, right, high - low)))
    )
    return x0, y0, x1, y1


def _walls(points: np.ndarray, along: int, box: tuple[float, float, float]) -> tuple[float, float]:
    """The two outermost long walls along an axis, 0 for X; where there is none the shape's own edge.

    box : least and greatest of the other axis, and how long the shape is along this one
    """
    least, most, long = box
    steps = np.abs(np.diff(points, axis=0))
    level = (steps[:, 1 - along] < _LEVEL) & (steps[:, along] > _WALL * long)
    at = points[:-1][level, 1 - along]
    low, high = at[at < least + _EAR], at[at > most - _EAR]
    return float(low.min()) if len(low) else least, float(high.max()) if len(high) else most


def _outlined(part: Part) -> BaseGeometry:
    """Within the outline, openings and all."""
    outlines = [parting.area for parting in part.partings() if parting.waste == "outside"]
    return shapely.union_all(outlines) if outlines else part.board.outline


def _levels(feature: Feature, area: BaseGeometry, underside: float) -> bool:
    """Whether a feature lowers all of a part."""
    if not isinstance(feature, Recess) or feature.goes_through(underside):
        return False
    if shapely.area(feature.shape) < (1 - _NOTHING) * area.area:
        return False
    return bool(shapely.difference(area, feature.shape).area < _NOTHING * area.area)


def _seen(
    part: Part, side: Side, feature: Feature, tall: float, area: BaseGeometry, outlined: BaseGeometry, lengths: Lengths
) -> Iterator[tuple[BaseGeometry, Bounds | None, str, float, BaseGeometry | None]]:
    """Each shape of a feature that the part has, its box, its size, how deep it is there, and a groove's middle line.

    tall : mm from the face of the part down to the lowest of it
    """
    for shape in shapely.get_parts(feature.shape):
        if isinstance(feature, CutAlong) and not feature.hole:
            radius = float(feature.profile.radius_at(max(tall, 0.0)))
            # A line of very many points is shown as its middle line: its band takes the square of them.
            fewer = shape if shapely.get_num_coordinates(shape) <= _MOST_POINTS else shapely.simplify(shape, _CHORD)
            band = shape if shapely.get_num_coordinates(fewer) > _MOST_POINTS else shapely.buffer(fewer, radius)
            if shapely.intersects(band, area):
                foot = foot_of_slope(part, side, feature, shape, tall, area)
                if not feature.edge_of.is_empty:
                    foot = foot._replace(wood=feature.edge_of, beside=True)
                yield *_along(shape, band, 2 * radius, area, foot, lengths), foot.depth, None if foot.beside else shape
        elif shapely.intersects(shape, area):
            deep = foot_of_slope(part, side, feature, shape, tall, area).depth if isinstance(feature, Cone) else tall
            reaches_out = isinstance(shape, Polygon) and not feature.waste_side and not _is_inside(shape, outlined)
            within = shapely.intersection(shape, outlined) if reaches_out else shape
            for each in shapely.get_parts(within):
                yield each, wall_bounds(each), _size(feature, each, tall, lengths), deep, None


def _is_inside(shape: BaseGeometry, outlined: BaseGeometry) -> bool:
    """Whether all about a shape is within an outline: found at once, however many points the shape has."""
    return bool(shapely.contains(outlined, shapely.box(*shape.bounds)))


def _size(feature: Feature, shape: BaseGeometry, tall: float, lengths: Lengths) -> str:
    """Across its walls; of a hole or a cone as wide as it is at the face, so many mm above its tip; of a keyhole what
    carries the screw."""
    if isinstance(feature, Keyhole):
        neck, head = feature.profile.neck_diameter, feature.profile.diameter
        return (
            f"{lengths.of(neck)} wide, {lengths.of(head)} at its hole and below shoulders "
            f"{lengths.of(feature.shoulder)} thick"
        )
    if isinstance(shape, Polygon):
        return _across(shape, lengths)
    profile = getattr(feature, "profile", None)
    return "" if profile is None else f"\N{DIAMETER SIGN}{lengths.of(2 * profile.radius_at(max(tall, 0.0)))}"


def _along(
    line: BaseGeometry, band: BaseGeometry, wide: float, area: BaseGeometry, foot: Foot, lengths: Lengths
) -> tuple[BaseGeometry, Bounds | None, str]:
    """A groove, or an edge that is broken.

    band : what is cut of the face along the line, or the line
    """
    if shapely.is_closed(line) and foot.beside:
        seen = shapely.intersection(shapely.simplify(band, _CHORD), area)
        return seen, None, _bevelled(line, band, foot.wood, lengths)
    seen = shapely.intersection(shapely.simplify(band, _CHORD), area)
    left, low, right, high = line.bounds
    middle = f"its middle {lengths.by(right - left, high - low)}"
    if line.length - hypot(right - left, high - low) < _LEVEL:
        middle = f"{lengths.of(line.length)} long"
    return seen, line.bounds, f"{lengths.of(wide)} wide, {middle}"


def _bevelled(line: BaseGeometry, band: BaseGeometry, wood: BaseGeometry, lengths: Lengths) -> str:
    """An edge that is broken: of an opening the mouth at the face, of an outline what is left level within.

    wood : that stands beside it
    """
    ring = Polygon(line)
    if shapely.intersection(ring, wood).area > ring.area / 2:
        inner = shapely.difference(ring, band)
        return f"level within it {_across(inner, lengths)}" if isinstance(inner, Polygon) and inner else ""
    return f"mouth {_across(Polygon(shapely.union(ring, band).exterior), lengths)}"


def _across(shape: Polygon, lengths: Lengths) -> str:
    if across := round_diameter(shape):
        return f"\N{DIAMETER SIGN}{lengths.of(across)}"
    left, low, right, high = wall_bounds(shape)
    turned = shapely.oriented_envelope(shape)
    if turned.area < _TURNED * (right - left) * (high - low) and shape.area > _TURNED * turned.area:
        return _turned(turned, lengths)
    return lengths.by(right - left, high - low)


def _turned(rectangle: BaseGeometry, lengths: Lengths) -> str:
    """A rectangle that lies aslant: along its longer walls, across, and how far that is turned from X."""
    points = shapely.get_coordinates(rectangle)
    sides = sorted(np.diff(points, axis=0)[:2].tolist(), key=lambda step: np.hypot(*step), reverse=True)
    long, wide = (float(np.hypot(*side)) for side in sides)
    angle = degrees(np.arctan2(sides[0][1], sides[0][0])) % 180
    return f"{lengths.by(long, wide)}, turned {angle:.4g} deg"
