"""Named odd shapes on which every offset is tried, in mm, for a cutter 6 wide."""

from __future__ import annotations

from math import cos, pi, sin

import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from toolpaths.shapes.plain_shapes import circle, rectangle, slot
from toolpaths.shapes.relief import relieve_corners


def _comb() -> BaseGeometry:
    return shapely.union_all([box(0, 0, 90, 12), *[box(x, 10, x + 10, 50) for x in (0, 20, 40, 60, 80)]])


def _star() -> Polygon:
    radii = (50.0, 20.0) * 5
    return Polygon([(r * cos(i * pi / 5), r * sin(i * pi / 5)) for i, r in enumerate(radii)])


def _wave() -> Polygon:
    """A fine outline, in and out by turns: shallow hollows that an engine might take for flat."""
    turns = [2 * pi * i / 1500 for i in range(1500)]
    return Polygon([((50 + 2 * sin(9 * t)) * cos(t), (50 + 0.3 * sin(31 * t)) * sin(t)) for t in turns])


SHAPES: dict[str, BaseGeometry] = {
    "square": box(0, 0, 40, 40),
    "square far from zero": box(700, 400, 740, 440),
    "L": shapely.union_all([box(0, 0, 60, 20), box(0, 0, 20, 60)]),
    "star": _star(),
    "comb": _comb(),
    "circle": circle(80, (110, 110)),
    "ring with a hole": circle(80).difference(circle(40)),
    "two islands": box(0, 0, 100, 60).difference(MultiPolygon([box(20, 20, 35, 40), circle(20, (70, 30))])),
    "thin neck": shapely.union_all([box(0, 0, 30, 30), box(30, 12, 50, 17), box(50, 0, 80, 30)]),
    "slot as wide as the cutter": slot((0, 0), (50, 0), 6),
    "relieved rectangle": relieve_corners(rectangle(84, 60), 1.5),
    "sharp wedge": Polygon([(0, 0), (80, 0), (80, 12)]),
    "wave": _wave(),
}
