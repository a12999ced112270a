"""A carving: an area cut with a V that touches its outline on both sides, the wider the deeper."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial
from math import radians, tan

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, between, distance, length, let_in
from toolpaths.base.long_outlines import buffered
from toolpaths.facts import drawn
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Sloped, Surfaces
from toolpaths.facts.section import Section

# At so many distances from the line at most it is looked at where a flat tip gets.
_MOST_LEVELS = 100


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Carving(Feature):
    """An area whose walls slope from its outline inwards as a V leaves them, down to where they meet or to a floor.

    angle_deg : included angle of the V, 10 to 170
    depth : mm from from_depth down to its lowest place: where the widest of its discs touches the outline, or its floor
    from_depth : mm below the face at which its outline lies
    tip_diameter : mm, of the flat at the tip of the V, which leaves corners rounded by half of it
    ridges : mm that may stand on the floor between two passes

    >>> from toolpaths import Carving, rectangle
    >>> Carving(area=rectangle(40, 6, (50, 30)), angle_deg=90, depth=3, name="bar")
    <Carving: bar, 40 x 6 at (30, 27), 90 deg, 3 deep>

    Raises InputError for an area that is no sound polygon, and for angles and lengths that make none.
    """

    area: Polygon | MultiPolygon
    angle_deg: float
    depth: float
    from_depth: float = 0.0
    tip_diameter: float = 0.0
    ridges: float = 0.0
    name: str = "carving"

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", area=drawn.area, angle_deg=partial(between, low=10.0, high=170.0), depth=length,
            from_depth=distance, tip_diameter=distance, ridges=distance,
        )  # fmt: skip

    @property
    def section(self) -> Section:
        """Its surface by the distance from its outline."""
        return Section.slope(width=self.depth * tan(radians(self.angle_deg / 2)), depth=self.depth)

    @property
    def shape(self) -> BaseGeometry:
        return self.area

    def floor(self, underside: float) -> float:
        return -self.from_depth - self.depth

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return self.area

    def lowest(self, slack: Slack) -> Surfaces:
        off = slack.sideways(self.area)
        wider = buffered(self.area, off, quad_segs=ROUND)
        return Surfaces(sloped=(Sloped(wider, self.area.boundary, self.section, -self.from_depth, off),))

    def highest(self, slack: Slack) -> Surfaces:
        off = slack.sideways(self.area)
        least = max(self.depth - self.ridges, self.depth / 2)
        section = Section.slope(width=self.section.width * least / self.depth, depth=least)
        narrower = buffered(self.area, -off, quad_segs=ROUND)
        # Where the flat of the tip does not get at a depth it is as high as half a flat nearer to the line, at most.
        reached = shapely.intersection(narrower, _with_tip(self.area, self.section.width, self.tip_diameter / 2))
        surfaces = [(reached, off), (narrower, off + self.tip_diameter / 2)] if self.tip_diameter else [(narrower, off)]
        return Surfaces(
            sloped=tuple(
                Sloped(area, self.area.boundary, section, -self.from_depth, -by)
                for area, by in surfaces
                if not area.is_empty
            )
        )

    def walls(self, slack: Slack) -> Walls:
        return Walls(self.area, slack.sideways(self.area))

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        return np.asarray(shapely.intersects_xy(self.area, *places.T))

    def _size(self) -> str:
        return f"{self.angle_deg:g} deg, {self.from_depth + self.depth:g} deep"


# Every check of the part asks it of the same shapes.
@lru_cache(maxsize=256)
def _with_tip(area: BaseGeometry, width: float, tip: float) -> BaseGeometry:
    """Where a flat tip of a radius gets at every depth, as a pointed one does: of the area at each, what is not lost
    when it is opened by that radius."""
    if not tip:
        return area
    lost = []
    step = max(tip / 2, width / _MOST_LEVELS)
    for away in np.arange(0.0, width, step).tolist():
        room = shapely.buffer(area, -away, quad_segs=ROUND)
        inwards = shapely.buffer(room, -tip, quad_segs=ROUND)
        lost.append(shapely.difference(room, shapely.buffer(inwards, tip * 1.001, quad_segs=ROUND)))
    # Between two of the depths it is lost no farther from what is lost at either.
    return shapely.difference(area, shapely.buffer(shapely.union_all(lost), 2 * step))
