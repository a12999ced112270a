"""Surfaces that a feature may leave: level floors, what the profile of a cutter leaves along lines, and surfaces whose
height follows from how far a place is from an edge.

Shapes as drawn, seen from the front; z in mm from the face of the side on which the feature is cut.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.features.edge_distances import Edge, distances, edge_of
from toolpaths.facts.features.slack import ROUND
from toolpaths.facts.features.within_reach import reachable
from toolpaths.facts.profile import Profile
from toolpaths.facts.section import Section

# Beyond this share of a rounded tip its surface is too steep for a height to say much; a wall is judged sideways there.
_STEEP = 0.7

# left, low, right, high.
Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Floor:
    """A level floor over an area.

    drawn : the area as it is drawn
    corners : mm, radius of a cutter that leaves its inner corners standing
    wider : mm by which the floor may reach over its walls; where negative, by which it may end before them
    """

    drawn: BaseGeometry
    z: float
    corners: float = 0.0
    wider: float = 0.0

    @cached_property
    def area(self) -> BaseGeometry:
        """The area of the floor. Making it takes longer than all else, so it is made for those who ask alone."""
        reached = reachable(self.drawn, self.corners)
        return shapely.buffer(reached, self.wider, quad_segs=ROUND) if self.wider else reached

    @property
    def bounds(self) -> Box:
        """left, low, right, high of what the floor lies within, as drawn and as it may be."""
        (left, low, right, high), out = self.drawn.bounds, max(self.wider, 0.0)
        return left - out, low - out, right + out, high + out


class Swept(NamedTuple):
    """What a cutter of this profile leaves when its tip follows lines, or stands at points, at this z.

    up_to : z above which the surface says nothing
    only : area beyond which it says nothing either, None for none such
    """

    line: BaseGeometry
    profile: Profile
    tip: float
    up_to: float = inf
    only: BaseGeometry | None = None


@dataclass(frozen=True, eq=False)
class Sloped:
    """Over an area, a surface whose height follows from how far a place is from an edge.

    area : where it says anything
    edge : lines from which the distance counts, to either side of them, such as the boundary of the shape drawn
    section : how high it is by that distance, above `top`
    top : z of the edge
    nearer : mm by which the edge may be off: of the heights within so much of a distance the lowest counts, where
        negative the highest, so a surface that falls is the same one farther out, or farther in
    """

    area: BaseGeometry
    edge: BaseGeometry
    section: Section
    top: float = 0.0
    nearer: float = 0.0

    def heights(self, distances: Floats) -> Floats:
        """z so far from the edge."""
        found = self.section.heights(distances)
        lower = np.minimum if self.nearer > 0 else np.maximum
        for off in (self.nearer, -self.nearer) if self.nearer else ():
            found = lower(found, self.section.heights(distances + off))
        return np.asarray(self.top + found)

    @property
    def lowest(self) -> float:
        """A z below which it lies nowhere."""
        return self.top - self.section.depth

    @cached_property
    def pieces(self) -> Edge:
        """The straight pieces of its edge."""
        return edge_of(self.edge)

    def at(self, places: Floats) -> Floats:
        """(k,) z at places (k, 2) of its area."""
        return self.heights(distances(self.pieces, places))


class Surfaces(NamedTuple):
    """Several surfaces as one; the lowest of them counts."""

    floors: tuple[Floor, ...] = ()
    swept: tuple[Swept, ...] = ()
    sloped: tuple[Sloped, ...] = ()


def with_walls(each: Iterable[Surfaces], waste: BaseGeometry) -> list[Surfaces]:
    """The surfaces of the features of a side, those along an edge limited to their own side of it where another
    feature, or the waste, opens the other. Of an edge beyond which nothing is open both flanks of the cutter are meant.

    waste : as drawn, like the surfaces
    """
    surfaces = list(each)
    if all(swept.only is None for one in surfaces for swept in one.swept):
        return surfaces
    opened = [floor.drawn for one in surfaces for floor in one.floors]
    opened += [sloped.area for one in surfaces for sloped in one.sloped]
    beside = shapely.union_all([waste, *opened])

    def walled(swept: Swept) -> Swept:
        open_beside = swept.only is not None and swept.line.intersection(beside).length >= swept.line.length / 2
        return swept if open_beside else swept._replace(only=None)

    return [one._replace(swept=tuple(map(walled, one.swept))) for one in surfaces]


def widest(line: BaseGeometry, profile: Profile, tip: float, within: float) -> Swept:
    """The lowest that a cut along a line may leave, if its walls may be so far off."""
    return Swept(line, grown(profile, 2 * within), tip)


def narrowest(line: BaseGeometry, profile: Profile, tip: float, within: float) -> Swept:
    """The highest that it may leave, as far up its sides as a height says anything."""
    slim, rise = _shrunk(profile, within)
    return Swept(line, slim, tip + rise, tip + _highest_judged(slim))


def grown(profile: Profile, by: float) -> Profile:
    """The profile moved outwards all round by half of `by`, so that it is flat over as much more."""
    kind = "bull nose" if profile.kind == "ball" else profile.kind
    tip = profile.tip_diameter + by if profile.angle_deg < 180 else 0.0
    return Profile(kind, profile.diameter + by, profile.corner_radius, profile.angle_deg, tip)


def _shrunk(profile: Profile, within: float) -> tuple[Profile, float]:
    """The profile moved inwards all round, or where its tip is too pointed for that, itself and how much
    higher the surface of the one moved inwards lies."""
    if profile.flat_radius > within:
        tip = profile.tip_diameter - 2 * within if profile.angle_deg < 180 else 0.0
        return replace(profile, diameter=profile.diameter - 2 * within, tip_diameter=tip), 0.0
    if profile.hollow:
        # It rises ever less steeply from its tip on, so nowhere more over this way than there.
        return profile, float(profile.height(np.array(profile.flat_radius + within)))
    return profile, within * _steepness(profile)


def _highest_judged(profile: Profile) -> float:
    """Above its tip, how far up a profile is judged by height. One that is hollow is so all the way: it gets less
    steep upwards, and where it is steep, moved sideways, it tells the height."""
    if profile.angle_deg < 180 or profile.hollow:
        return profile.tip_height
    return float(profile.height(np.array([profile.flat_radius + _STEEP * profile.corner_radius]))[0])


def _steepness(profile: Profile) -> float:
    """Greatest rise per mm outwards of what is judged by height; 0 where the tip is flat."""
    if profile.angle_deg < 180:
        return 1 / profile.slope
    return _STEEP / (1 - _STEEP**2) ** 0.5 if profile.corner_radius else 0.0
