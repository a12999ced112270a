"""What stands on the board or in it, wherever it comes from: screws, clamps, pins and grips as one kind of thing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import shapely
from shapely import Point, Polygon

from toolpaths.base.values import PickledByFields, fields_in_a_line
from toolpaths.facts.grip import GripKind


@dataclass(frozen=True)
class HoldDown(PickledByFields):
    """A thing on one side of the board as it lies; made by Fixture.standing().

    name : as messages name it
    x, y, radius : the disc that it is, seen from above; about its area, where it has one
    height : mm above the board; a grip, which holds from below, has 0
    driven_at : the message of the stop from which on it is there; "" from the start
    area : of a clamp or a grip; None for what is round
    shank_diameter, length : mm, of a screw, where they are known
    by : what a grip holds with; "" for anything else
    """

    kind: Literal["screw", "clamp", "pin", "grip"]
    name: str
    x: float
    y: float
    radius: float
    height: float
    driven_at: str = ""
    area: Polygon | None = None
    shank_diameter: float | None = None
    length: float | None = None
    by: GripKind | Literal[""] = ""

    __repr__ = fields_in_a_line

    @cached_property
    def outline(self) -> Polygon:
        """What it covers, a disc as a polygon."""
        return self.area if self.area is not None else Point(self.x, self.y).buffer(self.radius)

    @property
    def is_tape(self) -> bool:
        """Whether it is tape: a grip whose kind is not said is one."""
        return self.kind == "grip" and self.by in ("tape", "")

    @property
    def holds(self) -> bool:
        """Whether it keeps the wood beneath it from going anywhere; a pin only says where the board lies."""
        return self.kind != "pin"


def disc_about(area: Polygon) -> tuple[float, float, float]:
    """Centre and radius of the smallest disc about an area."""
    middle = shapely.minimum_bounding_circle(area).centroid
    return middle.x, middle.y, float(shapely.minimum_bounding_radius(area))
