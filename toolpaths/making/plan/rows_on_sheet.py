"""Rows of parts on a sheet: each row as high as its highest part, filled from its beginning, by true outlines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.plan.template import Template
from toolpaths.shapes.placement import Placement

_Shapes = NDArray[np.object_]
# mm by which parts may be nearer than asked.
NEAR = 1e-3
# Steps in which room is looked for at least, mm: the first, how much each is longer than the one before, the longest.
_STEP, _GROWS, _LONGEST_STEP = 0.01, 1.3, 1.0
# mm that all keep apart, so that what lies over each other is told from what touches.
_LEAST = 2 * NEAR
# Heights at which the first row may begin that are tried.
_BEGINNINGS = 6


class KeptClear(NamedTuple):
    """Areas that parts keep away from, and mm by which."""

    areas: tuple[BaseGeometry, ...]
    clear: tuple[float, ...]

    def turned(self, place: Placement) -> KeptClear:
        return KeptClear(tuple(place.shape(area) for area in self.areas), self.clear)


class TurnedTemplate(NamedTuple):
    """A template turned: all that it takes up, its lower-left corner at (0, 0); corner : where that lies as drawn."""

    template: Template
    turned_deg: float
    area: BaseGeometry
    corner: Point
    width: float
    height: float


class Laid(NamedTuple):
    shape: TurnedTemplate
    x: float
    y: float

    @property
    def place(self) -> Placement:
        x, y = self.shape.corner
        return Placement(self.x - x, self.y - y, self.shape.turned_deg)


@dataclass(slots=True)
class Row:
    """y, height : its band; begins : the least x of the next part; laid : what lies in it"""

    y: float
    height: float
    begins: float
    laid: list[Laid]


class Sheet(NamedTuple):
    """The room for parts, what they keep clear of there, and mm of wood between them."""

    left: float
    low: float
    right: float
    high: float
    keep: KeptClear
    web: float


def beginnings(sheet: Sheet) -> list[float]:
    """Where the first row may begin: at the margin, or above what stands at the lower edge."""
    return [y for y in _above(sheet, sheet.low) if y < (sheet.low + sheet.high) / 2][:_BEGINNINGS] or [sheet.low]


def _above(sheet: Sheet, y: float) -> list[float]:
    """A height, and those right above each thing that parts keep clear of."""
    tops = (area.bounds[3] + clear for area, clear in zip(*sheet.keep, strict=True))
    return [y, *sorted({top for top in tops if top > y})]


def filled_rows(shapes: Sequence[tuple[list[TurnedTemplate], int]], sheet: Sheet) -> list[Row]:
    """As many as find room, the highest first, each in the first row that has room for it.

    shapes : of each template how it may lie, the first preferred, and how many of it there are
    """
    rows, search = list[Row](), _Search(sheet)
    for turns, count in sorted(shapes, key=lambda each: (-each[0][0].height, -each[0][0].width)):
        full = set[int]()
        for _ in range(count):
            laid = None
            for number, row in enumerate(rows):
                if number not in full and (laid := search.in_row(row, turns)):
                    break
                full.add(number)
            if laid is None:
                begun = _new_row(rows, turns, sheet, search)
                if begun is None:
                    break
                row, laid = begun
                rows.append(row)
            row.laid.append(laid)
            row.begins = laid.x
    return rows


def _new_row(
    rows: Sequence[Row], turns: Sequence[TurnedTemplate], sheet: Sheet, search: _Search
) -> tuple[Row, Laid] | None:
    """The lowest row above all others that has room for a part, and where; None where the sheet ends before."""
    for y in _above(sheet, rows[-1].y + rows[-1].height + sheet.web if rows else sheet.low):
        row = Row(y, turns[0].height, sheet.left, [])
        if y + row.height <= sheet.high + NEAR and (laid := search.in_row(row, turns)):
            return row, laid
    return None


class _Search:
    """Looks for room in rows, and keeps what it found of pairs of shapes: how far apart they lie in a row is the same
    wherever that is."""

    def __init__(self, sheet: Sheet) -> None:
        self._sheet = sheet
        self._areas, self._clear = np.array(sheet.keep.areas, object), np.array(sheet.keep.clear)
        self._low, self._high = (shapely.bounds(self._areas).reshape(-1, 4)[:, side] for side in (1, 3))
        self._apart: dict[tuple[int, int], float] = {}

    def in_row(self, row: Row, turns: Sequence[TurnedTemplate]) -> Laid | None:
        """A part as far to the left of a row as it can be, turned so that it ends soonest."""
        best, ends = None, inf
        near = (self._low < row.y + row.height + self._clear) & (self._high > row.y - self._clear)
        keep, clear = self._areas[near], self._clear[near]
        for shape in turns:
            if shape.height > row.height + NEAR:
                continue
            x = self._first_free(row, shape, keep, clear)
            if x is not None and x + shape.width < ends - NEAR:
                best, ends = Laid(shape, x, row.y), x + shape.width
        return best

    def _first_free(self, row: Row, shape: TurnedTemplate, keep: _Shapes, clear: Floats) -> float | None:
        """The least x at which a shape is far enough from all else; None where the row ends before."""
        web, right = self._sheet.web, self._sheet.right - shape.width
        beside = [each for each in row.laid if each.x + each.shape.width > row.begins - web]
        others = [Placement(each.x, each.y).shape(each.shape.area) for each in beside]
        x = max([row.begins, *(each.x + self._behind(each.shape, shape) for each in beside[-1:])])
        needed = np.maximum(np.concatenate([np.full(len(others), web), clear]), _LEAST)
        return _moved_until_free(Placement(x, row.y), shape, np.array([*others, *keep], object), needed, right)

    def _behind(self, one: TurnedTemplate, other: TurnedTemplate) -> float:
        """mm from the left of one shape to that of another right behind it."""
        key = id(one), id(other)
        if key not in self._apart:
            alone, needed = np.array([one.area], object), np.array([max(self._sheet.web, _LEAST)])
            found = _moved_until_free(Placement(0.0, 0.0), other, alone, needed, inf)
            self._apart[key] = found or 0.0
        return self._apart[key]


def _moved_until_free(
    place: Placement, shape: TurnedTemplate, things: _Shapes, needed: Floats, most: float
) -> float | None:
    """The least x at which a shape is as far from things as needed: to the right it goes by what it lacks, since by
    less it cannot be free, and by more and more where that is next to nothing; then back as far as it is still free.
    None if that is beyond the most."""
    x, sure, step = place.x, place.x, _STEP
    while x <= most + NEAR:
        lacks = _lacks(shape.area, x, place.y, things, needed)
        if lacks <= 0:
            break
        sure, step = x + lacks, min(_GROWS * step, _LONGEST_STEP)
        x = max(sure, x + step)
    else:
        return None
    while x - sure > NEAR:
        middle = (x + sure) / 2
        x, sure = (x, middle) if _lacks(shape.area, middle, place.y, things, needed) > 0 else (middle, sure)
    return x


def _lacks(area: BaseGeometry, x: float, y: float, things: _Shapes, needed: Floats) -> float:
    """mm by which a shape has to be moved along X at least until it is far enough from things; 0 where it is."""
    placed = Placement(x, y).shape(area)
    away = shapely.distance(placed, things)
    lacks = float((needed - away).max(initial=0.0))
    return 0.0 if lacks <= NEAR else max(lacks, _common_along(placed, things[away == 0]))


def _common_along(placed: BaseGeometry, things: _Shapes) -> float:
    """mm of a level line that a shape has in common with others: moved along it by less it still meets them."""
    common = shapely.intersection(placed, things)
    common = common[shapely.area(common) > 0]
    heights = shapely.get_y(shapely.point_on_surface(common))
    left, _, right, _ = placed.bounds
    across = [shapely.LineString([(left, y), (right, y)]) for y in heights.tolist()]
    lines = shapely.get_parts(shapely.intersection(common, across))
    return float(shapely.length(lines).max(initial=0.0))
