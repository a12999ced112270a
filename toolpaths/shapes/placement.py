"""Where something drawn once comes to lie: turned about (0, 0), then moved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, coordinate, let_in
from toolpaths.base.checks import finite as number
from toolpaths.base.errors import Point
from toolpaths.base.values import fields_in_a_line
from toolpaths.shapes.curves import cos_sin

Shape = TypeVar("Shape", bound=BaseGeometry)


def _turn(name: str, value: float) -> float:
    """Degrees, 0 up to 360."""
    return number(name, value) % 360.0


@dataclass(frozen=True, slots=True)
class Placement:
    """x, y : where what was drawn at (0, 0) comes to lie; turned_deg : by how much it is turned about that place,
    anticlockwise, 0 up to 360."""

    x: float = 0.0
    y: float = 0.0
    turned_deg: float = 0.0

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        let_in(self, "place ", x=partial(coordinate), y=partial(coordinate))
        let_in(self, turned_deg=_turn)

    def places(self, points: Floats) -> Floats:
        """(n, 2) where points come to lie; unturned ones and quarter turns but for the rounding of one sum."""
        cosine, sine = cos_sin(self.turned_deg)
        turned = points @ np.array([[cosine, sine], [-sine, cosine]]) if self.turned_deg else points
        return np.asarray(turned + np.array([self.x, self.y]))

    def shape(self, shape: Shape) -> Shape:
        """Any shapely geometry."""
        moved: Shape = shapely.transform(shape, self.places)
        return moved

    def point(self, point: Point) -> Point:
        (moved,) = self.points([point])
        return moved

    def points(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """Several, as a value."""
        rows = np.array(list(points), np.float64).reshape(-1, 2)
        return tuple((x, y) for x, y in self.places(rows).tolist())
