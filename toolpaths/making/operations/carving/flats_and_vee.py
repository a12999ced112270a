"""What works an area with flat cutters and then a V: the V, its slope, and what its tip would follow."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.making.operations.carving.tip_lines import TipLine, between, tip_line
from toolpaths.making.operations.operation import OnArea
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import door
from toolpaths.shapes.largest_discs import largest_discs


@dataclass(frozen=True, kw_only=True, repr=False)
class FlatsAndVee(OnArea):
    """Work whose walls are the flanks of a V, and whose depth follows from them.

    cutters : flat ones from coarse to fine, then the V
    """

    depth_given: ClassVar[bool] = False
    depth: Depth = field(init=False)
    cutters: tuple[Cutter, ...]
    direction: Direction = "conventional"

    @property
    def vee(self) -> Cutter:
        """The V."""
        return self.cutters[-1]

    @property
    def flats(self) -> tuple[Cutter, ...]:
        """The flat cutters."""
        return self.cutters[:-1]

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return self.cutters

    @property
    def _slope(self) -> float:
        """mm sideways for each mm of depth."""
        return self.vee.profile.slope

    def _tip_lines(self, area: BaseGeometry, tolerance: float) -> list[TipLine]:
        """What the tip follows in an area where both its flanks touch the border, mm deep below the level of it."""
        made, tip = [], self.vee.profile.flat_radius
        for polygon in door.polygons("shape", area):
            for points in largest_discs(polygon, tolerance).lines:
                made.append(tip_line(np.column_stack([points[:, :2], (points[:, 2] - tip) / self._slope])))
        return between(made, 0.0, np.inf)
