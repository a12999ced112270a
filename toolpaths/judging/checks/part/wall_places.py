"""Places close beside the walls of a shape, where a wall that is off by a hair shows at any cell size."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import distinct
from toolpaths.judging.wood.sweep import Flags, Ints, spread

# mm from place to place along a wall: four of them in the 2 mm over which a fault must show.
SPACING = 0.5
# mm beyond what is allowed at which a wall is looked at.
BESIDE = 0.01
# mm of wall over which a fault is no more than a whisker.
WHISKER = 1.5


class Wall(NamedTuple):
    """k places in even steps along the boundary of an area.

    at : (k, 2) on the wall
    out : (k, 2) unit vector there, away from the area
    ring : (k,) number of the ring, rising; its places follow each other and close
    step : (k,) mm of wall that each place stands for
    """

    at: Floats
    out: Floats
    ring: Ints
    step: Floats

    def beside(self, distance: float | Floats) -> Floats:
        """(k, 2) places so far outside the area, inside where negative; one distance or (k,)."""
        return np.asarray(self.at + np.reshape(distance, (-1, 1)) * self.out)


def wall_of(area: BaseGeometry) -> Wall:
    """The whole boundary of a polygon or several, holes included."""
    return walls_of([area])[0]


def walls_of(areas: Sequence[BaseGeometry]) -> tuple[Wall, Ints]:
    """The boundaries of several areas as one wall, with rings of their own; and (k,) the area of each place."""
    # Shell clockwise, holes the other way round: the wood of the area lies to the right of travel.
    parts, owner = shapely.get_parts(
        shapely.orient_polygons(np.array(areas, object), exterior_cw=True), return_index=True
    )
    rings, part = shapely.get_rings(parts, return_index=True)
    points, line = shapely.get_coordinates(rings, return_index=True)
    edges, first = np.diff(points, axis=0), np.flatnonzero(line[1:] == line[:-1])
    long = np.hypot(*edges.T)
    first = first[long[first] > 0]
    line, points, edges, long = line[first], points[first], edges[first], long[first]
    # All rings behind each other, as one line.
    before = np.cumsum(long) - long
    begins = before[np.searchsorted(line, np.arange(len(rings)))]
    length = shapely.length(rings)
    count = np.maximum(np.ceil(length / SPACING), 3).astype(np.intp)
    ring, nth = spread(count)
    at = begins[ring] + (nth + 0.5) / count[ring] * length[ring]
    edge = np.searchsorted(before, at, "right") - 1
    ahead = edges[edge] / long[edge, None]
    places = points[edge] + (at - before[edge])[:, None] * ahead
    out = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    return Wall(places, out, ring, (length / count)[ring]), owner[part[ring]]


def turned_in(wall: Wall, which: Flags) -> Wall:
    """The same wall with `out` pointing into the area at these places (k,)."""
    return wall._replace(out=np.where(which[:, None], -wall.out, wall.out))


def stretches(wall: Wall, which: Flags) -> list[Ints]:
    """Indices of the places that are True, a list for each unbroken stretch, across where a ring closes."""
    found: list[Ints] = []
    for number in distinct(wall.ring[which]):
        first, end = np.searchsorted(wall.ring, (number, number + 1))
        mine, true = np.arange(first, end), which[first:end]
        if true.all():
            found.append(mine)
            continue
        # Begin the ring behind a place that is not.
        begin = int(np.flatnonzero(~true)[0])
        mine, true = np.roll(mine, -begin), np.roll(true, -begin)
        edges = np.flatnonzero(np.diff(true.astype(np.int8), prepend=0, append=0))
        found += [mine[a:b] for a, b in zip(edges[::2], edges[1::2], strict=True)]
    return found
