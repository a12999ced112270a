"""Shapes are drawn flat: a height that a coordinate has is refused, and never dropped."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import ShapeError


def check_drawn_flat(name: str, shape: BaseGeometry) -> None:
    """Raises ShapeError, with the place, for a shape some of whose coordinates have a Z other than 0."""
    if not shape.has_z:
        return
    places = shapely.get_coordinates(shape, include_z=True)
    heights = np.nan_to_num(np.abs(places[:, 2]), nan=0.0, posinf=np.inf)
    if heights.max(initial=0.0) == 0:
        return
    x, y, z = places[int(heights.argmax())].tolist()
    raise ShapeError(
        f"{name} has a height, Z{z:g} at ({x:g}, {y:g}): shapes are drawn flat, and depth= says how deep they are cut, "
        "the same everywhere. Leave the heights out with shapely.force_2d(), and cut each depth as a shape of its own.",
        (x, y),
    )
