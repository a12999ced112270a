"""A recess: an area cut down to a level floor."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import inf

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance, let_in, optional
from toolpaths.base.long_outlines import buffered
from toolpaths.facts import drawn
from toolpaths.facts.depth import Depth, checked_depth, z_of
from toolpaths.facts.features.feature import Feature, Walls, in_words
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import Floor, Surfaces


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Recess(Feature):
    """An area cut down to a level floor, its walls upright.

    depth : mm from the face of its side, or through()
    corners : mm, radius that its inner corners may keep; that of the finest cutter that the program
        moves sideways there unless given
    foot : mm from its walls in which the floor may rise, as a rounded cutter leaves it; likewise
    overrun : mm beyond its walls over which the cut may run out, as in levelling a face

    >>> from toolpaths import Recess, rectangle
    >>> Recess(area=rectangle(40, 20, (50, 30)), depth=5, corners=3, name="tray")
    <Recess: tray, 40 x 20 at (30, 20), 5 deep>

    Raises InputError for an area that is no sound polygon, and for lengths that no board has.
    """

    area: Polygon | MultiPolygon
    depth: Depth
    corners: float | None = None
    foot: float | None = None
    overrun: float = 0.0
    name: str = "recess"

    def _check(self) -> None:
        radius = partial(optional, door=distance)
        let_in(
            self, f"{self.name}: ", area=drawn.area, depth=checked_depth, corners=radius, foot=radius, overrun=distance
        )

    @property
    def shape(self) -> BaseGeometry:
        return self.area

    @property
    def level(self) -> bool:
        return True

    def floor(self, underside: float) -> float:
        return z_of(self.depth, underside)

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return buffered(self.area, self.overrun)

    def lowest(self, slack: Slack) -> Surfaces:
        wider = slack.sideways(self.area) + self.overrun
        return Surfaces((Floor(self.area, self._floor_or_none(slack.underside), wider=wider),))

    def highest(self, slack: Slack) -> Surfaces:
        corners, foot = slack.finest(self.area)
        corners = corners if self.corners is None else self.corners
        foot = foot if self.foot is None else self.foot
        narrower = slack.sideways(self.area) + foot
        return Surfaces((Floor(self.area, self._floor_or_none(slack.underside), corners, -narrower),))

    def walls(self, slack: Slack) -> Walls:
        return Walls(self.area, slack.sideways(self.area))

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        return np.asarray(shapely.intersects_xy(self.area, *places.T))

    def _floor_or_none(self, underside: float) -> float:
        floor = self.floor(underside)
        return -inf if floor <= underside else floor

    def _size(self) -> str:
        return in_words(self.depth)
