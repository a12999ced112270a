"""Closed curves to areas with holes, by either fill rule of SVG.

Curves that neither touch nor cross keep every vertex, and which of them lies in which tells shells from holes. Where
some do, they are parted where they cross.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Polygon

from toolpaths.base.checks import Floats
from toolpaths.shapes.door import SMALLEST_AREA
from toolpaths.shapes.filled import FillRule, filled

EVEN_ODD: FillRule = "evenodd"
NONZERO: FillRule = "nonzero"

Ints = NDArray[np.int64]


def filled_areas(rings: Sequence[Floats], rule: FillRule) -> list[Polygon]:
    """The areas that closed curves, (n, 2) points each, fill together; those of the first curves first."""
    rings = [ring for ring in rings if len(ring) >= 3]
    if not rings:
        return []
    if len(rings) == 1:
        only = Polygon(rings[0])
        if only.is_valid:
            return [only]
    lines = np.array([LinearRing(ring) for ring in rings], dtype=object)
    polygons = shapely.polygons(lines)
    if _apart(lines, polygons):
        return _nested(rings, polygons, rule)
    return [part for part in shapely.get_parts(filled(rings, rule)) if part.area >= SMALLEST_AREA]


def _apart(lines: NDArray[np.object_], polygons: NDArray[np.object_]) -> bool:
    """Whether no curve crosses or touches itself or another."""
    if not shapely.is_valid(polygons).all():
        return False
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    return bool((first == second).all())


def _nested(rings: Sequence[Floats], polygons: NDArray[np.object_], rule: FillRule) -> list[Polygon]:
    starts = shapely.points(np.array([ring[0] for ring in rings]))
    inner, outer = shapely.STRtree(polygons).query(starts, predicate="within")
    inner, outer = inner[inner != outer], outer[inner != outer]
    sign = np.where(shapely.is_ccw(shapely.get_exterior_ring(polygons)), 1, -1)
    around: Ints = np.zeros(len(rings), dtype=np.int64)
    np.add.at(around, inner, sign[outer] if rule == NONZERO else 1)
    within = around + sign if rule == NONZERO else around + 1
    in_outside, in_inside = _is_filled(around, rule), _is_filled(within, rule)
    shells, holes = np.flatnonzero(in_inside & ~in_outside), np.flatnonzero(in_outside & ~in_inside)
    # A hole belongs to the smallest shell round it.
    size = shapely.area(polygons)
    owned: dict[int, list[Floats]] = {int(shell): [] for shell in shells}
    containers: dict[int, list[int]] = {}
    for one, other in zip(inner.tolist(), outer.tolist()):
        containers.setdefault(one, []).append(other)
    for hole in holes.tolist():
        shell = min((each for each in containers[hole] if each in owned), key=lambda each: float(size[each]))
        owned[shell].append(rings[hole])
    return [Polygon(rings[shell], inside) for shell, inside in owned.items()]


def _is_filled(winding: Ints, rule: FillRule) -> NDArray[np.bool_]:
    filled: NDArray[np.bool_] = winding % 2 == 1 if rule == EVEN_ODD else winding != 0
    return filled
