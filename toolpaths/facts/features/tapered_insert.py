"""A tapered insert: what a V leaves standing of a shape whose walls slope outwards, with a level floor around it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import radians, tan

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, between, distance, length, let_in
from toolpaths.base.errors import InputError
from toolpaths.base.long_outlines import buffered
from toolpaths.facts import drawn
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Sloped, Surfaces
from toolpaths.facts.section import Section, Straight


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class TaperedInsert(Feature):
    """A shape that stands, its walls sloping outwards from the face down to a level floor around it.

    start_depth : mm below the face at which its section is the area; above it is narrower, below it wider
    depth : mm below the face of the floor around it
    angle_deg : included angle of the V that leaves its walls, 10 to 170
    around : mm round the area that are cut down to the floor, as is all that is enclosed by that
    ridges : mm that may stand on that floor, beyond the foot of the walls

    >>> from toolpaths import TaperedInsert, rectangle
    >>> TaperedInsert(area=rectangle(40, 20, (50, 30)), start_depth=4, depth=6, angle_deg=60, around=12, name="leaf")
    <TaperedInsert: leaf, 40 x 20 at (30, 20), 60 deg, 6 deep>

    Raises InputError for an area that is no sound polygon, and for angles and lengths that make no such insert.
    """

    area: Polygon | MultiPolygon
    start_depth: float
    depth: float
    angle_deg: float
    around: float
    ridges: float = 0.0
    name: str = "insert"

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", area=drawn.area, start_depth=length, depth=length, around=length, ridges=distance,
            angle_deg=partial(between, low=10.0, high=170.0),
        )  # fmt: skip
        if self.depth <= self.start_depth:
            raise InputError(f"{self.name}: depth={self.depth:g} must be more than start_depth={self.start_depth:g}.")
        if self.around <= self._foot:
            raise InputError(
                f"{self.name}: around={self.around:g} ends on its walls, which reach {self._foot:.2f} mm out."
            )

    @property
    def _slope(self) -> float:
        """mm sideways for each mm of depth."""
        return tan(radians(self.angle_deg / 2))

    @property
    def _foot(self) -> float:
        """mm from the area to the foot of its walls."""
        return (self.depth - self.start_depth) * self._slope

    @property
    def shape(self) -> BaseGeometry:
        return self.area

    @property
    def reach(self) -> float:
        return self.around

    def floor(self, underside: float) -> float:
        return -self.depth

    def taken(self, below: float, radius: float) -> BaseGeometry:
        face = buffered(self.area, -self.start_depth * self._slope)
        return shapely.difference(without_holes(buffered(self.area, self.around)), face)

    def lowest(self, slack: Slack) -> Surfaces:
        off = slack.sideways(self.area)
        return Surfaces(sloped=self._walls_up(off) + self._walls_down(self._ground(off), off))

    def highest(self, slack: Slack) -> Surfaces:
        off = slack.sideways(self.area)
        ground = self._ground(-off)
        foot = buffered(self.area, self._foot - off, quad_segs=ROUND)
        walls = self._walls_down(shapely.intersection(ground, foot), -off)
        floor = self._walls_down(shapely.difference(ground, foot), -off, self.ridges)
        return Surfaces(sloped=self._walls_up(-off) + walls + floor)

    def _ground(self, off: float) -> BaseGeometry:
        """What is cut down around the area, if all outlines are off by so much."""
        out = buffered(self.area, self.around + off, quad_segs=ROUND)
        return shapely.difference(without_holes(out), buffered(self.area, -off, quad_segs=ROUND))

    def _walls_up(self, off: float) -> tuple[Sloped, ...]:
        """Its walls above the level of the area, and its face."""
        above = Section((Straight(0.0, self.start_depth * self._slope, 0.0, self.start_depth),), "slope up")
        return _sloped(buffered(self.area, min(off, 0.0), quad_segs=ROUND), self.area, above, -self.start_depth, off)

    def _walls_down(self, within: BaseGeometry, off: float, lift: float = 0.0) -> tuple[Sloped, ...]:
        """Its walls below that level, and the floor around, so much higher."""
        below = Section.slope(width=self._foot, depth=self.depth - self.start_depth)
        return _sloped(within, self.area, below, lift - self.start_depth, off)

    def walls(self, slack: Slack) -> Walls:
        return Walls(self.area, slack.sideways(self.area), keeps_inside=True)

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        return np.asarray(shapely.intersects_xy(without_holes(buffered(self.area, self.around)), *places.T))

    def _size(self) -> str:
        return f"{self.angle_deg:g} deg, {self.depth:g} deep"


def without_holes(area: BaseGeometry) -> BaseGeometry:
    """An area and all that lies in its holes."""
    return shapely.union_all([Polygon(part.exterior) for part in shapely.get_parts(area)])


def _sloped(within: BaseGeometry, area: BaseGeometry, section: Section, top: float, off: float) -> tuple[Sloped, ...]:
    return () if within.is_empty else (Sloped(within, area.boundary, section, top, off),)
