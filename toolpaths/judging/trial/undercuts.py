"""What lies open below wood that stands: the way of an undercut cutter's head under the shoulders that it leaves.

The faces of the wood hold the shoulders as standing. Here is the other bound: where a head has been and what was above
it may still stand, with the heights between which it was.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.turning import turned_points
from toolpaths.judging.trial.case import Case
from toolpaths.judging.wood.field import Heights, Wood, own_copy
from toolpaths.judging.wood.moves import RADIUS, SWEEP, Z0, Z1
from toolpaths.judging.wood.paths import places_on
from toolpaths.judging.wood.raster import covered, lower
from toolpaths.judging.wood.sweep import Ints

# Chords in a quarter of a circle, and mm by which those of an arc may lie inside it.
_ROUND, _SAGITTA = 32, 0.002
# Moves at most of which each has an area of its own: of more those at one depth are one.
_MOST = 400


class Undercuts(NamedTuple):
    """Where heads were below wood, u areas on the board as it lies.

    move : (u,) the move, or the first of several
    area : (u,) polygons
    floor, ceiling : (u,) z between which the head was; of a sloping move the lowest and the highest
    radius : (u,) mm, of the head
    """

    move: Ints
    area: NDArray[np.object_]
    floor: Floats
    ceiling: Floats
    radius: Floats

    def floor_over(self, places: Floats) -> Floats:
        """(k,) the lowest z of a head at places (k, 2); 0 where none has been."""
        lowest = np.zeros(len(places))
        for area, floor in zip(self.area, self.floor.tolist(), strict=True):
            inside = shapely.intersects_xy(area, *places.T)
            lowest[inside] = np.minimum(lowest[inside], floor)
        return lowest

    def over(self, places: Floats, below: Floats) -> Ints:
        """(k,) the first move whose head came below limits (k,) at places (k, 2); -1 where none did."""
        first = np.full(len(places), -1, np.intp)
        for number in np.argsort(-self.move, kind="stable").tolist():
            inside = shapely.intersects_xy(self.area[number], *places.T) & (self.floor[number] < below)
            first[inside] = self.move[number]
        return first


def undercuts_of(case: Case) -> Undercuts:
    """Of one program, in its order."""
    found: list[tuple[int, BaseGeometry, float, float, float]] = []
    for cutter, which in case.under_shoulders():
        path = case.moves.path[:, which]
        low, high = np.minimum(path[Z0], path[Z1]), np.maximum(path[Z0], path[Z1]) + cutter.profile.head_height
        areas = shapely.buffer([_line(path[:, [k]]) for k in range(len(which))], cutter.radius, quad_segs=_ROUND)
        if len(which) <= _MOST:
            found += zip(which.tolist(), areas, low.tolist(), high.tolist(), [cutter.radius] * len(which), strict=True)
            continue
        for floor, ceiling in sorted({*zip(low.tolist(), high.tolist(), strict=True)}):
            mine = np.flatnonzero((low == floor) & (high == ceiling))
            whole = shapely.union_all(areas[mine])
            found.append((int(which[mine[0]]), whole, floor, ceiling, cutter.radius))
    found.sort(key=lambda one: one[0])
    move, area, low, high, radius = zip(*found, strict=True) if found else ((), (), (), (), ())
    areas = np.empty(len(area), object)
    areas[:] = area
    return Undercuts(np.array(move, np.intp), areas, np.array(low), np.array(high), np.array(radius))


def _line(path: Floats) -> BaseGeometry:
    """Where the axis of one move (11, 1) goes, seen from above."""
    count = 2
    if path[SWEEP, 0]:
        step = 2 * np.arccos(max(1 - _SAGITTA / max(float(path[RADIUS, 0]), _SAGITTA), 0.0))
        count = int(min(np.ceil(abs(float(path[SWEEP, 0])) / step), 720)) + 1
    places = places_on(np.repeat(path, count, axis=1), np.linspace(0.0, 1.0, count))[:, :2]
    return shapely.linestrings(places) if np.ptp(places, axis=0).any() else shapely.points(places[0])


class Cavity(NamedTuple):
    """What may lie open below wood that stands: an area on the wood as it lies, between two heights.

    upper : whether it was cut from the upper face
    """

    area: BaseGeometry
    low: float
    high: float
    upper: bool


def cavities(stock: Wood) -> list[Cavity]:
    """Where heads of undercut cutters have been in some wood, as far as the programs that cut it are known."""
    found: list[Cavity] = []
    for upper, cases in ((True, stock.top_cuts), (False, stock.bottom_cuts)):
        for case in cases or ():
            heads = undercuts_of(case)
            for area, floor, ceiling in zip(heads.area, heads.floor.tolist(), heads.ceiling.tolist(), strict=True):
                low, high = (floor, ceiling) if upper else (-stock.board.thickness - z for z in (ceiling, floor))
                found.append(Cavity(_turned(area, case.fixture, stock), low, high, upper))
    return found


def lowest_faces(stock: Wood) -> tuple[Heights, Heights]:
    """Upper and lower face (rows, columns) of the wood where the heads of undercut cutters count as open up to the
    face: as much as may be gone. The wood's own faces where no such cutter is known to have cut them."""
    found = cavities(stock)
    if not found:
        return stock.top, stock.bottom
    top, under = own_copy(stock.top), own_copy(-stock.bottom)
    above, below = ([each for each in found if each.upper == upper] for upper in (True, False))
    lower(top, stock.grid, [each.area for each in above], [each.low for each in above])
    lower(under, stock.grid, [each.area for each in below], [-each.high for each in below])
    return top, -under


def volume_below_shoulders(stock: Wood) -> float:
    """mm3 that are open below wood that stands, which the faces of the wood do not show."""
    found = cavities(stock)
    heights = sorted({z for each in found for z in (each.low, each.high)})
    volume = 0.0
    for low, high in pairwise(heights):
        areas = [each.area for each in found if each.low <= low and each.high >= high]
        if areas:
            cells = covered(shapely.union_all(areas), stock.grid)
            top, bottom = stock.top[cells], stock.bottom[cells]
            volume += float(np.maximum(np.minimum(top, high) - np.maximum(bottom, low), 0.0).sum()) * stock.cell**2
    return volume


def _turned(area: BaseGeometry, fixture: Fixture, stock: Wood) -> BaseGeometry:
    """An area on the board as one fixture holds it, where it is on the wood as it lies."""
    if fixture.turned == stock.turned:
        return area
    turned = fixture.turned or stock.turned
    return shapely.transform(area, lambda points: turned_points(points, stock.board, turned))
