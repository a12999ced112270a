"""The one catalogue of shapes, in mm, by name: odd ones for offsets, and those that are cut out of a board."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, slot
from toolpaths.shapes.relief import relieve_corners
from toolpaths.shapes.transform import move


def star(points: int, outer: float, inner: float) -> Polygon:
    """A star about the origin, not symmetrical about an axis."""
    turns = np.arange(2 * points) * pi / points + 0.1
    radii = np.where(np.arange(2 * points) % 2, inner, outer)
    return Polygon(np.column_stack([np.cos(turns), np.sin(turns)]) * radii[:, None])


def comb(teeth: int, width: float, apart: float) -> BaseGeometry:
    """Teeth 40 long standing up from a back 12 wide."""
    back = box(0, 0, (teeth - 1) * apart + width, 12)
    return shapely.union_all([back, *[box(i * apart, 10, i * apart + width, 50) for i in range(teeth)]])


def wave() -> Polygon:
    """A fine outline, in and out by turns: shallow hollows that an engine might take for flat."""
    turns = [2 * pi * i / 1500 for i in range(1500)]
    return Polygon([((50 + 2 * sin(9 * t)) * cos(t), (50 + 0.3 * sin(31 * t)) * sin(t)) for t in turns])


# For cutters of 1 to 12 mm; no two corners alike.
SHAPES: dict[str, BaseGeometry] = {
    "square": box(0, 0, 40, 40),
    "square far from zero": box(700, 400, 740, 440),
    "L": Polygon([(0, 0), (60, 0), (60, 25), (25, 25), (25, 70), (0, 70)]),
    "star": star(5, 50, 20),
    "comb": comb(5, 10, 20),
    "fine comb": comb(6, 9, 16),
    "circle": circle(80, (110, 110)),
    "ellipse": ellipse(90, 30),
    "ring with a hole": circle(80).difference(circle(40)),
    "ring off its middle": circle(80).difference(circle(40, (5, 3))),
    "two islands": box(0, 0, 100, 60).difference(MultiPolygon([box(20, 20, 35, 40), circle(20, (70, 30))])),
    "two pieces": shapely.union(box(0, 0, 30, 30), box(31, 0, 60, 30)),
    "thin neck": shapely.union_all([box(0, 0, 30, 30), box(30, 12, 50, 17), box(50, 0, 80, 30)]),
    "slot as wide as the cutter": slot((0, 0), (50, 0), 6),
    "relieved rectangle": relieve_corners(rectangle(84, 60), 1.5),
    "sharp wedge": Polygon([(0, 0), (80, 0), (80, 12)]),
    "shallow dent": Polygon([(0, 0), (100, 0), (100, 50), (52, 50), (50, 49.9), (48, 50), (0, 50)]),
    "wave": wave(),
}

# Each lies on a board of 200 x 140 with 15 mm to spare, none symmetrical about a middle line of it.
ON_BOARD: dict[str, BaseGeometry] = {
    "square": box(40, 30, 100, 90),
    "circle": circle(70, (90, 65)),
    "ellipse": ellipse(110, 60, (95, 72)),
    "rounded": rectangle(100, 60, (95, 75), corner_radius=9),
    "L": Polygon([(40, 30), (140, 30), (140, 60), (80, 60), (80, 110), (40, 110)]),
    "star": move(star(5, 48, 22), 100, 70),
    "comb": shapely.union_all([box(30, 30, 170, 45), *[box(35 + i * 20, 40, 43 + i * 20, 100) for i in range(7)]]),
    "long thin": box(30, 64, 170, 72),
    "odd": Polygon([(40, 30), (60, 100), (75, 40), (100, 110), (130, 35), (160, 90), (165, 28)]),
    "ring": shapely.difference(circle(90, (95, 68)), circle(40, (90, 70))),
    "two pieces": shapely.union_all([box(30, 30, 80, 80), circle(50, (140, 80))]),
    "two holes": box(30, 25, 165, 115) - shapely.union_all([circle(30, (65, 75)), move(star(6, 25, 12), 100, 70)]),
}


def inradius(shape: BaseGeometry) -> float:
    """The radius of the largest disc that fits into a shape, to a thousandth."""
    return max(shapely.maximum_inscribed_circle(part, 0.001).length for part in shapely.get_parts(shape))
