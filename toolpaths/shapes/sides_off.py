"""How far each side of a shape is from the images of the others in its mirror lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LinearRing, Polygon

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes import door
from toolpaths.shapes.curves import nearest_places, places_along
from toolpaths.shapes.mirror_axis import local
from toolpaths.shapes.symmetry import MirrorLine

Flags = NDArray[np.bool_]
# Places at which it is measured how far a side is from its mirror image.
_MEASURED = 2000


@dataclass(frozen=True, slots=True)
class SideOff:
    """How far one side of a shape was from the mirror images of the others.

    side : "left" and "right", "below" and "above" the mirror line; of four, such as "upper left"
    largest : mm, at `place`
    rms : mm, root of the mean square along the outline

    Made by symmetrised().
    """

    side: str
    largest: float
    rms: float
    place: Point

    def __str__(self) -> str:
        x, y = self.place
        return f"{self.side}: {self.largest:.2f} mm off its mirror image at ({x:.1f}, {y:.1f}), rms {self.rms:.2f}"


def sides_off(shape: Polygon, upright: MirrorLine, level: MirrorLine | None) -> list[SideOff]:
    """How far what lies on each side of the lines is from its images."""
    rings = [np.vstack([ring, ring[:1]]) for ring in door.rings_points(shape)]
    length = sum(float(LinearRing(ring).length) for ring in rings)
    places = []
    for ring in rings:
        long = float(LinearRing(ring).length)
        count = max(len(ring), round(_MEASURED * long / length))
        places.append(places_along(ring, np.asarray(np.arange(count) * (long / count))))
    points = np.vstack(places)
    images = [upright.image_of(points)]
    if level is not None:
        images += [level.image_of(points), level.image_of(images[0])]
    # As far as the image of a place is from the outline is the place from the image of the outline.
    off = np.max([np.min([_off(image, ring) for ring in rings], axis=0) for image in images], axis=0)
    right, above = (local(upright, points) > 0).T
    found = []
    for name, chosen in _named_sides(upright, right, above, level is not None):
        if chosen.any():
            worst = int(np.argmax(np.where(chosen, off, -1.0)))
            rms = float(np.sqrt(np.square(off[chosen]).mean()))
            found.append(SideOff(name, float(off[worst]), rms, (float(points[worst][0]), float(points[worst][1]))))
    return found


def _off(points: Floats, line: Floats) -> Floats:
    return np.asarray(np.hypot(*(points - nearest_places(points, line)).T))


def _named_sides(line: MirrorLine, right: Flags, above: Flags, four: bool) -> list[tuple[str, Flags]]:
    """Names of the sides, as seen with the mirror line going up, or level where it is flatter than that."""
    if four:
        return [
            ("upper right", right & above), ("upper left", ~right & above),
            ("lower left", ~right & ~above), ("lower right", right & ~above),
        ]  # fmt: skip
    if abs(line.along_y) >= abs(line.along_x):
        return [("left", ~right), ("right", right)]
    # To the right of a line that goes to the right is below.
    below = right if line.along_x > 0 else ~right
    return [("below", below), ("above", ~below)]
