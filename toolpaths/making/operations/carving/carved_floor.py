"""The level floor of a carving that goes no deeper than a limit, and what of it a flat cutter leaves to the V."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations.carving.tip_lines import TipLine, between, tip_line
from toolpaths.making.operations.clearing.loops import polygons_of
from toolpaths.shapes import offset
from toolpaths.shapes.drawn_area import DrawnArea, drawn_area
from toolpaths.shapes.tolerance_shares import FIT

# mm that ridges may stand between the passes of a pointed tip over a floor; and the share of a flat one from pass to
# pass, which leaves none in corners of 60 degrees and more.
RIDGE, _OVER = 0.05, 0.5
# Steps from pass to pass that the tip goes across the floor to the next.
_LINKED = 3.0
# mm2 of wood that is worth going to.
_SCRAP = 0.01


@dataclass(frozen=True, eq=False)
class CarvedFloor:
    """The floor of an area carved to a depth.

    area : what is carved, as it lies
    depth : mm below the surface; slope : mm sideways for each mm of depth
    tip : mm, radius of the flat at the V's tip
    """

    area: BaseGeometry
    depth: float
    slope: float
    tip: float
    tolerance: float

    @cached_property
    def drawn(self) -> DrawnArea:
        return drawn_area(self.area, -self._inset, self.tolerance)

    @property
    def _inset(self) -> float:
        return self.depth * self.slope + self.tip

    @cached_property
    def centres(self) -> BaseGeometry:
        """Where the axis may be with the tip on the floor; its boundary is the way along the walls."""
        found = offset.wall(self.drawn.area, -self._inset, self.tolerance, slim=False)
        # Strokes that are as wide but for rounding are followed along their middle.
        return MultiPolygon(
            [
                part
                for part in polygons_of(found)
                if not offset.wall(part, -FIT * self.tolerance, self.tolerance, slim=False).is_empty
            ]
        )

    @cached_property
    def level(self) -> BaseGeometry:
        """The floor."""
        return offset.wall(self.centres, self.tip, self.tolerance, slim=False) if self.tip else self.centres

    @cached_property
    def widest(self) -> float:
        """mm, diameter of the largest disc on it."""
        discs = [shapely.maximum_inscribed_circle(part).length for part in polygons_of(self.level)]
        return 2 * max(discs, default=0.0)

    def for_flat(self, cutter: Cutter) -> BaseGeometry:
        """The parts of it that a flat cutter gets into."""
        found = [part for part in polygons_of(self.level) if not self._reach(part, cutter).is_empty]
        return MultiPolygon(found)

    def _reach(self, area: BaseGeometry, cutter: Cutter) -> BaseGeometry:
        return offset.wall(area, -cutter.radius, self.tolerance, slim=False)

    def rest(self, cutters: Iterable[Cutter]) -> BaseGeometry:
        """What flat cutters leave of it."""
        left = self.level
        for cutter in cutters:
            swept = offset.zone(self._reach(self.level, cutter), cutter.profile.flat_radius, self.tolerance, slim=False)
            left = shapely.difference(left, swept)
        return MultiPolygon([part for part in polygons_of(left) if part.area > _SCRAP])

    def rest_lines(self, rest: BaseGeometry, lines: list[TipLine]) -> list[TipLine]:
        """Where the tip goes at full depth to take the rest: side by side inside the walls, and into corners.

        lines : along the middles of all the area
        """
        if rest.is_empty:
            return []
        step = max(2 * self.tip * _OVER, 2 * RIDGE * self.slope)
        near = shapely.buffer(rest, step)
        middles = [line.points[:, :2] for line in between(lines, self.depth, np.inf) if len(line.points) > 1]
        loops, number = list[BaseGeometry](), 1
        while True:
            inner = offset.wall(self.centres, -number * step, self.tolerance, slim=False)
            there = shapely.intersection(inner.boundary, near)
            if there.is_empty:
                break
            loops += _lines(there)
            number += 1
        corners = [line for middle in middles for line in _lines(shapely.intersection(LineString(middle), near))]
        strung = _strung(loops, _LINKED * step, self.centres) + [shapely.get_coordinates(line) for line in corners]
        return [tip_line(np.column_stack([line, np.full(len(line), self.depth)])) for line in strung]


def _strung(lines: list[BaseGeometry], most: float, room: BaseGeometry) -> list[Floats]:
    """Lines one after the other where the next begins, or ends, no farther than so many mm from the end of the last and
    the way there is inside a room; (n, 2) points each."""
    left = [shapely.get_coordinates(line) for line in lines]
    ends = np.array([(line[0], line[-1]) for line in left]).reshape(-1, 2, 2)
    is_left = np.ones(len(left), bool)
    shapely.prepare(room)
    found = []
    for first in range(len(left)):
        if not is_left[first]:
            continue
        is_left[first] = False
        row = [left[first]]
        while is_left.any():
            away = np.hypot(*(ends - row[-1][-1]).transpose(2, 0, 1))
            away[~is_left] = np.inf
            number, end = np.unravel_index(int(away.argmin()), away.shape)
            link = LineString([row[-1][-1], ends[number, end]])
            if away[number, end] > most or not shapely.covers(room, link):
                break
            is_left[number] = False
            row.append(left[number][::-1] if end else left[number])
        found.append(np.vstack(row))
    return found


def _lines(geometry: BaseGeometry) -> list[BaseGeometry]:
    """The lines of a geometry, those that meet end to end as one."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    found = [part for part in parts if part.geom_type == "LineString" and part.length > 0]
    return list(shapely.get_parts(shapely.line_merge(shapely.multilinestrings(found)))) if found else []
