"""How an insert lies in its recess: what the maker of both and the judge of their fit have to agree on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, coordinate, distance, finite, flag, label, length, let_in, one_of, point
from toolpaths.base.errors import Point
from toolpaths.base.values import Value
from toolpaths.facts import drawn
from toolpaths.facts.turning import SIDES, Side


@dataclass(frozen=True, slots=True, eq=False, repr=False, kw_only=True)
class Inlaid(Value):
    """An insert in its recess.

    shape : what both have in common, seen from the front of the board with the recess
    face : of that board into which it is let
    at : where the middle of the shape's box lies on the insert's board, seen from its front, on which it is cut
    turned_deg : by which it is turned there, anticlockwise
    turned_over : whether it is laid in with that front down
    gap : mm of room all round it at the walls
    depth : of the recess, mm
    front_depth : mm below the recess's face at which the front of the insert's board comes to lie, < 0 above it
    slope : mm by which the walls come in for each mm down; 0 where they are upright
    brim : mm of wood round the shape on which the insert hangs, and which lies over the face; 0 where it ends at its
        walls
    tab_height : mm over the insert's underside up to which tabs stand on its walls, to be pared off
    """

    name: str
    shape: Polygon | MultiPolygon
    face: Side
    at: Point
    turned_deg: float
    turned_over: bool
    gap: float
    depth: float
    front_depth: float
    slope: float
    brim: float = 0.0
    tab_height: float = 0.0

    def __post_init__(self) -> None:
        let_in(
            self, name=label, shape=drawn.area, face=partial(one_of, choices=SIDES), at=point, turned_deg=finite,
            turned_over=flag, gap=distance, depth=length, front_depth=coordinate, slope=distance, brim=distance,
            tab_height=distance,
        )  # fmt: skip

    @property
    def mirrored(self) -> bool:
        """Whether the insert is drawn mirrored on its board: from the back a shape is seen mirrored, and what is laid
        in face down is so once more."""
        return self.turned_over != (self.face == "back")

    def on_insert(self, places: Floats) -> Floats:
        """(k, 2) where places (k, 2) of the recess's board come from on the insert's, both seen from the front."""
        left, low, right, high = self.shape.bounds
        aside = (places - [(left + right) / 2, (low + high) / 2]) * [-1.0 if self.mirrored else 1.0, 1.0]
        cos, sin = np.cos(np.radians(self.turned_deg)), np.sin(np.radians(self.turned_deg))
        return np.asarray(aside @ np.array([[cos, sin], [-sin, cos]]) + self.at)

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the recess's board on the insert's."""
        return shapely.transform(shape, self.on_insert)
