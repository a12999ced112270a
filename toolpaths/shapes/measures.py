"""Sizes read back from a shape: how large it is, and which cutter gets into it."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import tolerance as checked_tolerance
from toolpaths.shapes import door
from toolpaths.shapes.arc_fit import fit
from toolpaths.shapes.offset import zone
from toolpaths.shapes.outline_corners import rings_of
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FIT

# Radii looked at, up to the largest circle that fits, before the first that parts the shape is found to the micrometre.
_LOOKS, _CLOSE = 48, 0.001
# The largest circle is found to this share of the lesser side, where that is more.
_CLOSE_SHARE = 1e-5


@dataclass(frozen=True, slots=True, repr=False)
class Measures:
    """What a shape measures, in mm.

    width, height : over all
    area_mm2 : without its holes
    outline : length of its outer outlines and of those of its holes
    least_inner_radius : of its inward bends, into which a cutter must fit; 0 where there is a sharp inside corner
    narrowest_neck : width of the narrowest place between two wider ones, or None where there is none
    widest : diameter of the largest circle that lies in it

    Made by measures().
    """

    width: float
    height: float
    area_mm2: float
    outline: float
    least_inner_radius: float
    narrowest_neck: float | None
    widest: float

    @property
    def largest_cutter(self) -> float:
        """Diameter of the largest cutter that reaches all of the shape from inside, mm; 0 where none does."""
        neck = inf if self.narrowest_neck is None else self.narrowest_neck
        return min(2 * self.least_inner_radius, neck, self.widest)

    def __repr__(self) -> str:
        return f"<Measures: {self.width:.2f} x {self.height:.2f} mm, least inner radius {self.least_inner_radius:.2f}>"

    def __str__(self) -> str:
        neck = "no neck" if self.narrowest_neck is None else f"its narrowest neck {self.narrowest_neck:.2f} mm wide"
        inner = f"{self.least_inner_radius:.2f} mm" if self.least_inner_radius else "0, a sharp corner"
        reached = (
            f"a cutter of up to {self.largest_cutter:.2f} mm reaches all of it"
            if self.largest_cutter
            else "no round cutter reaches all of it"
        )
        return (
            f"{self.width:.2f} x {self.height:.2f} mm, {self.area_mm2:.0f} mm2; least inner radius {inner}; {neck}; "
            f"widest {self.widest:.2f} mm: {reached}"
        )


def measures(shape: BaseGeometry, *, tolerance: float = DEFAULT_TOLERANCE) -> Measures:
    """What a shape measures: overall, its least inner radius, its narrowest neck, and so which cutter gets in.

    A neck is found where the shape, made smaller all round, comes apart, or a hole in it opens to another or to the
    outside: between parts that are wider than it by more than a fiftieth of the shape's widest place.

    >>> from toolpaths import measures, rectangle
    >>> print(measures(rectangle(60, 40, corner_radius=6)))
    60.00 x 40.00 mm, 2369 mm2; least inner radius 6.00 mm; no neck; widest 40.00 mm: a cutter of up to 12.00 mm \
reaches all of it

    Raises ShapeError for what has no area.
    """
    fine = checked_tolerance("tolerance", tolerance)
    parts = door.polygons("shape", shape)
    left, low, right, high = shapely.total_bounds(parts).tolist()
    necks = [neck for part in parts if (neck := _narrowest_neck(part, fine)) is not None]
    return Measures(
        width=right - left,
        height=high - low,
        area_mm2=sum(float(part.area) for part in parts),
        outline=sum(float(part.length) for part in parts),
        least_inner_radius=min(_least_inner_radius(part, fine) for part in parts),
        narrowest_neck=min(necks, default=None),
        widest=2 * max(_largest_circle(part) for part in parts),
    )


def _least_inner_radius(part: Polygon, tolerance: float) -> float:
    """0 at a sharp corner; the widest circle's radius where the outline nowhere bends inwards."""
    least = _largest_circle(part)
    for ring in rings_of([part]):
        if any(corner.narrow for corner in ring.corners):
            return 0.0
        # Rings have their area on the left: what bends to the left closes in on a cutter.
        bends = [segment.radius for segment in fit(ring.points, True, FIT * tolerance).segments if segment.sweep > 0]
        least = min([least, *bends])
    return least


def _largest_circle(part: Polygon) -> float:
    left, low, right, high = part.bounds
    spoke = shapely.maximum_inscribed_circle(part, tolerance=max(_CLOSE, _CLOSE_SHARE * min(right - left, high - low)))
    return float(shapely.length(spoke))


def _narrowest_neck(part: Polygon, tolerance: float) -> float | None:
    """Twice the least distance by which the outline, moved inwards, comes apart or opens a way round a hole."""
    part = shapely.simplify(part, tolerance / 2)
    radii = np.linspace(0.0, _largest_circle(part), _LOOKS + 1)[1:-1]
    apart = next((k for k, radius in enumerate(radii) if _parted(part, radius, tolerance)), None)
    if apart is None:
        return None
    low, high = (0.0 if apart == 0 else float(radii[apart - 1])), float(radii[apart])
    while high - low > _CLOSE / 2:
        middle = (low + high) / 2
        low, high = (low, middle) if _parted(part, middle, tolerance) else (middle, high)
    return low + high


def _parted(part: Polygon, radius: float, tolerance: float) -> bool:
    """Whether no cutter of this radius passes some neck: between two parts, two holes, or a hole and the outline."""
    parts = shapely.get_parts(zone(part, -radius, tolerance))
    return len(parts) > 1 or (len(parts) == 1 and len(parts[0].interiors) < len(part.interiors))
