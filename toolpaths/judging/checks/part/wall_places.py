"""Places close beside the walls of a shape, where a wall that is off by a hair shows at any cell size."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import distinct
from toolpaths.judging.wood.paths import along_line
from toolpaths.judging.wood.sweep import Flags, Ints

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
    at, out, ring, step = [np.empty((0, 2))], [np.empty((0, 2))], [np.empty(0, np.intp)], [np.empty(0)]
    # Shell clockwise, holes the other way round: the wood of the area lies to the right of travel.
    clockwise = shapely.get_parts(shapely.orient_polygons(area, exterior_cw=True))
    for number, line in enumerate(shapely.get_rings(clockwise)):
        length = float(shapely.length(line))
        count = max(int(np.ceil(length / SPACING)), 3)
        places, ahead = along_line(shapely.get_coordinates(line), (np.arange(count) + 0.5) / count)
        at.append(places)
        out.append(np.stack([-ahead[:, 1], ahead[:, 0]], axis=1))
        ring.append(np.full(count, number))
        step.append(np.full(count, length / count))
    return Wall(np.concatenate(at), np.concatenate(out), np.concatenate(ring), np.concatenate(step))


def turned_in(wall: Wall) -> Wall:
    """The same wall with `out` pointing into the area."""
    return wall._replace(out=-wall.out)


def joined(walls: list[Wall]) -> tuple[Wall, Ints]:
    """One or more walls as one, with rings of their own; and (k,) which of them each place belongs to."""
    rings = np.array([wall.ring.max(initial=-1) + 1 for wall in walls])
    before = np.cumsum(rings) - rings
    owner = np.repeat(np.arange(len(walls)), [len(wall.at) for wall in walls])
    at, out, ring, step = (np.concatenate(columns) for columns in zip(*walls, strict=True))
    return Wall(at, out, ring + before[owner], step), owner


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
