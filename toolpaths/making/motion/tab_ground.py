"""Where beside a ring a tab holds: where its wood still stands, and on more of the part than a narrow arm."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point

# An arm of the part is narrow up to so many cutter diameters (common practice, no source).
_ARM = 2.0
# mm by which the axis may be farther from the part than the cutter's radius.
_BESIDE = 0.3


@dataclass(frozen=True, slots=True, eq=False)
class TabGround:
    """Where along the way of the cutter's axis no tab should stand.

    removed : where the axis is too near to wood that is removed already
    arms : where it runs beside narrow arms of the part
    """

    removed: BaseGeometry = field(default_factory=Polygon)
    arms: BaseGeometry = field(default_factory=Polygon)

    def holds(self, places: Floats) -> NDArray[np.bool_]:
        """(k,) whether a tab holds at places (k, 2) of the axis."""
        missing = shapely.intersects_xy(self.removed, *places.T) | shapely.intersects_xy(self.arms, *places.T)
        return np.asarray(~missing)

    def why_not(self, place: Point) -> str:
        """What is wrong with a place, in words; empty if nothing is."""
        if shapely.intersects_xy(self.removed, *place):
            return "over wood that is removed"
        return "on a narrow arm" if shapely.intersects_xy(self.arms, *place) else ""

    @property
    def on_arms(self) -> TabGround:
        """The same where arms have to do."""
        return replace(self, arms=Polygon())


ANYWHERE = TabGround()


def tab_ground(part: BaseGeometry, removed: BaseGeometry, diameter: float, width: float) -> TabGround:
    """The ground of tabs so wide, left by a cutter of this diameter.

    part : what the tabs hold; nothing where it is not known how wide that is
    removed : where no wood stands at the height of the tabs
    """
    narrow = _ARM * diameter / 2
    wide = shapely.buffer(shapely.buffer(part, -narrow), narrow + _BESIDE)
    # What is left in a corner of the wide rest is no arm.
    left = shapely.get_parts(shapely.difference(part, wide))
    arms = shapely.union_all(left[shapely.area(left) > narrow**2])
    beside = shapely.buffer(arms, diameter / 2 + _BESIDE) if not wide.is_empty else Polygon()
    # Beside an arm's root the axis runs beside the wide rest as well.
    beside = shapely.difference(beside, shapely.buffer(wide, diameter / 2 + _BESIDE))
    areas = shapely.buffer(removed, (width + diameter) / 2), beside
    for area in areas:
        shapely.prepare(area)
    return TabGround(*areas)
