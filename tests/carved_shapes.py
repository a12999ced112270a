"""Shapes to be carved, with what is known of them in closed form.

Reference: the volume of a carving with a sharp tip is the integral of the area of its insets, and its depth the radius
of its largest disc, each by the cotangent of half the V's angle (derived; the table was worked out by hand, that of L,
T and plus by numeric integration).
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
import shapely.affinity
from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry


class Known(NamedTuple):
    """deepest, volume : mm and mm3 with a sharp V of 90 degrees."""

    shape: BaseGeometry
    deepest: float
    volume: float


def _round(shape: BaseGeometry, radius: float) -> BaseGeometry:
    return shapely.buffer(shape, radius, quad_segs=180)


KNOWN = {
    "rectangle": Known(box(0, 0, 40, 10), 5.0, 916.666667),
    "square": Known(box(0, 0, 20, 20), 10.0, 1333.333333),
    "disc": Known(_round(Point(10, 10), 10), 10.0, 1047.197551),
    "triangle": Known(Polygon([(0, 0), (30, 0), (0, 40)]), 10.0, 2000.0),
    "equilateral": Known(Polygon([(0, 0), (20, 0), (10, 10 * 3**0.5)]), 5.773503, 333.333333),
    "ring": Known(_round(Point(16, 16), 16) - _round(Point(16, 16), 10), 3.0, 735.132681),
    "stadium": Known(_round(LineString([(3, 3), (33, 3)]), 3), 3.0, 298.274334),
    "L": Known(Polygon([(0, 0), (30, 0), (30, 6), (6, 6), (6, 20), (0, 20)]), 3.514719, 380.2355),
    "T": Known(box(0, 14, 30, 20) | box(12, 0, 18, 14), 3.75, 382.740),
    "plus": Known(box(0, 12, 30, 18) | box(12, 0, 18, 30), 4.242641, 478.645),
}


def star(points: int, outer: float, inner: float, turned: float = 0.0) -> Polygon:
    """A star with sharp corners."""
    angle = np.arange(2 * points) * np.pi / points + turned
    radius = np.where(np.arange(2 * points) % 2, inner, outer)
    return Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))


def _comb() -> BaseGeometry:
    return shapely.union_all([box(0, 0, 40, 3), *[box(2 * i, 3, 2 * i + 0.4, 12) for i in range(20)]])


def _zigzag() -> BaseGeometry:
    line = LineString([(i / 2, 10 * (i % 2)) for i in range(40)])
    return shapely.buffer(line, 0.12, cap_style="flat", join_style="mitre")


# Shapes that are awkward in one way or another.
AWKWARD = {
    "a hole that touches the outside": Polygon([(0, 0), (20, 0), (20, 10), (0, 10)], [[(10, 0), (12, 5), (8, 5)]]),
    "islands that touch": Polygon(
        [(0, 0), (30, 0), (30, 20), (0, 20)], [[(10, 10), (12, 14), (8, 14)], [(10, 10), (8, 6), (12, 6)]]
    ),
    "a sliver": Polygon([(0, 0), (40, 0), (40, 0.05), (0, 0.1)]),
    "needles": star(5, 20, 0.6),
    "three degrees": Polygon([(0, 0), (40, 0), (40, 2)]),
    "a comb": _comb(),
    "a zigzag": _zigzag(),
    "vertices on a straight side": Polygon([*((i / 2, 0) for i in range(40)), (20, 10), (0, 10)]),
    "a vertex beside another": Polygon([(0, 0), (10, 0), (10, 1e-7), (10, 5), (0, 5)]),
    "a coarse ellipse": shapely.affinity.scale(_round(Point(0, 0), 10).simplify(0.1), 2, 1),
    "a neck": box(0, 0, 10, 10) | box(9, 4.99, 21, 5.01) | box(20, 0, 30, 10),
    "far from zero": shapely.affinity.translate(star(7, 10, 4), 9000, 9000),
    "tiny": star(5, 0.4, 0.15),
}


def odd_shape(seed: int) -> BaseGeometry:
    """A shape of strokes, discs, stars and boxes by lot, some cut out; of one or more parts, with islands."""
    rng = np.random.default_rng(seed)
    made = []
    for _ in range(int(rng.integers(2, 6))):
        kind, (x, y) = rng.integers(0, 4), rng.uniform(0, 40, 2)
        if kind == 0:
            line = LineString(rng.uniform(0, 40, (int(rng.integers(2, 5)), 2)))
            made.append(shapely.buffer(line, rng.uniform(0.3, 4), cap_style="flat", join_style="mitre"))
        elif kind == 1:
            made.append(shapely.buffer(Point(x, y), rng.uniform(0.5, 9), quad_segs=int(rng.integers(4, 120))))
        elif kind == 2:
            outer = rng.uniform(3, 10)
            one = star(int(rng.integers(3, 9)), outer, outer * rng.uniform(0.2, 0.9), rng.uniform(0, 6))
            made.append(shapely.affinity.translate(one, x, y))
        else:
            made.append(box(x, y, x + rng.uniform(0.5, 20), y + rng.uniform(0.5, 20)))
    shape = shapely.union_all(made[: max(1, len(made) - 2)])
    for other in made[max(1, len(made) - 2) :]:
        shape = shape - other if rng.uniform() < 0.7 else shape | other
    parts = [part for part in shapely.get_parts(shapely.buffer(shape, 0)) if part.area > 1.0]
    return shapely.union_all(parts) if parts else odd_shape(seed + 100_000)


def swept(lines: list[np.ndarray]) -> BaseGeometry:
    """All that discs cover that go straight from row to row of (k, 3) x, y and radius: the hull of each two."""
    found = []
    for line in lines:
        discs = [shapely.buffer(Point(x, y), max(r, 1e-9), quad_segs=90) for x, y, r in line.tolist()]
        found += [shapely.convex_hull(one | other) for one, other in pairwise(discs)] if len(discs) > 1 else discs
    return shapely.union_all(found)


def farthest_beyond(one: BaseGeometry, other: BaseGeometry) -> float:
    """mm by which one area reaches beyond another."""
    more = shapely.get_coordinates(shapely.difference(one, other))
    return float(shapely.distance(other, shapely.points(more)).max(initial=0.0))
