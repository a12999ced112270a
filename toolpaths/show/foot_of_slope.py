"""Where a slope ends on the finished part: a bevel at the wall beside which its cutter ran, a countersink at its hole.

The tip of a V runs beside the wall that it bevels, in wood that is cut away as well; what a depth gauge finds on the
part is less deep than the cutter went.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.cone import Cone
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.part import Part
from toolpaths.facts.profile import Profile
from toolpaths.facts.turning import SIDES, Side

# Places along a line that are looked at, and mm by which sides of outlines may be drawn off.
_PLACES, _CHORD = 64, 0.01
# Sides of a quarter of a drilled hole's rim: the hole of 40 mm is then drawn within 0.002 mm.
_RIM = 64


class Foot(NamedTuple):
    """How a slope stands beside the wood that is left.

    wood : what of the part stands beside it down to its tip
    beside : whether it runs along the edge of that wood, and not in it
    depth : mm from the face of the part down to where it ends on that wood
    """

    wood: BaseGeometry
    beside: bool
    depth: float


def foot_of_slope(
    part: Part, side: Side, feature: CutAlong | Cone, line: BaseGeometry, tall: float, area: BaseGeometry
) -> Foot:
    """Of one line or point of a feature.

    tall : mm from the face of the part down to the cutter's tip; area : of the part, seen from the front
    """
    radius = feature.profile.radius_at(max(tall, 0.0))
    band = shapely.box(*line.bounds).buffer(radius + _CHORD)
    taken = list(_taken_beside(part, side, feature, band))
    if not taken and shapely.covers(area, band):
        return Foot(area, False, tall)
    wood = shapely.difference(area, shapely.union_all(taken)) if taken else area
    places = _places_along(line)
    near = shapely.intersection(wood, band)
    off = shapely.distance(places, near)
    within = (off == 0) & (shapely.distance(places, shapely.boundary(near)) > radius - _CHORD)
    beside = not near.is_empty and np.count_nonzero(within) < len(places) / 2
    return Foot(wood, bool(beside), tall - _risen(feature.profile, float(np.median(off)), radius) if beside else tall)


def _risen(profile: Profile, off: float, radius: float) -> float:
    """mm by which a cutter's edge is higher than its tip so far from its axis; none where nothing of it is left."""
    return float(profile.height(np.array(off))) if off < radius else 0.0


def _places_along(line: BaseGeometry) -> np.ndarray:
    if line.geom_type == "Point":
        return np.array([line])
    shares = (np.arange(_PLACES) + 0.5) / _PLACES
    return np.asarray(shapely.line_interpolate_point(line, shares, normalized=True))


def _taken_beside(part: Part, side: Side, feature: Feature, band: BaseGeometry) -> list[BaseGeometry]:
    """What else of the board is cut away there, from either side, as deep as the tip of a feature of one."""
    underside = -part.board.thickness
    tip, found = feature.floor(underside), list[BaseGeometry]()
    for face in SIDES:
        for other in part.cut_from(face):
            if other is feature or other.waste_side or (face != side and not other.goes_through(underside)):
                continue
            floor = other.floor(underside)
            # Of two lines alike neither takes the other's wood.
            if floor < tip or (floor == tip and other.level):
                found += _near(other, tip - floor if face == side else -underside, band)
    return found


def _near(feature: Feature, height: float, band: BaseGeometry) -> list[BaseGeometry]:
    """What a feature takes so many mm above its floor, where that meets a band."""
    shapes = shapely.get_parts(feature.shape)
    if isinstance(feature, (CutAlong, Cone)):
        radius = feature.profile.radius_at(height)
        near = shapes[shapely.dwithin(shapes, band, radius)]
        return list(shapely.buffer(near, radius, quad_segs=_RIM))
    return list(shapes[shapely.intersects(shapes, band)])
