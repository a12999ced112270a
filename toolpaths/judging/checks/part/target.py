"""The target: the part meant, as heights between which the wood of one side has to end, at any place.

Sideways a wall may be off by `Part.within`, so every feature is taken a little wider when asking what may be
removed, and a little narrower when asking what has to be removed. Which surfaces those are each feature says itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Floor, Surfaces, Swept
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.profile import Profile
from toolpaths.facts.waste import waste_of
from toolpaths.judging.trial.exact_heights import heights_over
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.raster import covered, covered_part
from toolpaths.judging.wood.removal import remove, window_over
from toolpaths.judging.wood.sweep import Flags, Ints

# mm about a feature of which every place counts as its own.
_TOUCH = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """How low, or how high, the wood of one side may end, as it lies.

    Where it may be cut through it may end at any depth; deeper than through it never has to be cut.

    underside : z of the board's lower face as it lies
    surfaces : of the features, as wide as they may be for the lowest, as narrow for the highest
    waste : area in which that is not judged
    untouched : z where no feature takes anything
    nowhere : z where the wood may end at any height, -inf or inf
    """

    underside: float
    surfaces: Surfaces
    waste: BaseGeometry
    untouched: float
    nowhere: float

    def at(self, places: Floats) -> Floats:
        """(k,) z at places (k, 2)."""
        near = _Places(places)
        heights = _lowered_at(np.full(len(places), self.untouched), near, self.surfaces)
        heights[heights <= self.underside] = min(self.nowhere, self.underside)
        heights[near.within(self.waste)] = self.nowhere
        return heights

    def over(self, grid: Grid) -> Heights:
        """(rows, columns) likewise at the cell centres of a grid."""
        heights = np.full(grid.shape, self.untouched, np.float32)
        for area, z in self.surfaces.floors:
            rows, columns, inside = covered_part(area, grid)
            np.minimum(heights[rows, columns], np.float32(z), out=heights[rows, columns], where=inside)
        for swept in self.surfaces.swept:
            table = _table(swept)
            rows, columns, window = window_over(grid, table, swept.profile.radius)
            surface = np.zeros(window.shape, np.float32)
            remove(surface, window, table, swept.profile)
            here = heights[rows, columns]
            np.minimum(here, surface, out=here, where=(surface < 0) & (surface <= swept.up_to))
        heights[heights <= self.underside] = min(self.nowhere, self.underside)
        heights[covered(self.waste, grid)] = self.nowhere
        return heights


def lowest(part: Part, fixture: Fixture, slack: Slack) -> Target:
    """What may be removed from a side of the part, as it lies in the fixture."""
    surfaces = _placed([feature.lowest(slack) for feature in part.cut_from(fixture.side)], fixture)
    waste = fixture.place(waste_of(part.partings(), slack))
    return Target(fixture.underside_z, surfaces, waste, untouched=0.0, nowhere=-np.inf)


def highest(part: Part, fixture: Fixture, slack: Slack) -> Target:
    """What has to be removed from a side of the part, as it lies in the fixture.

    That includes what is meant in the waste alone, such as the pilot holes of screws that hold it; of what only
    reaches into the waste as much as lies in the part.
    """
    features, waste = part.cut_from(fixture.side), waste_of(part.partings(), slack)
    surfaces = _placed([feature.highest(slack) for feature in features], fixture)
    there = shapely.difference(waste, _within(waste, features))
    return Target(fixture.underside_z, surfaces, fixture.place(there), untouched=np.inf, nowhere=np.inf)


def _placed(each: Iterable[Surfaces], fixture: Fixture) -> Surfaces:
    floors: list[Floor] = []
    # What is swept alike, as the holes of one drill, is one surface along many lines.
    swept: dict[tuple[Profile, float, float], list[BaseGeometry]] = {}
    for one in each:
        floors += [floor._replace(area=fixture.place(floor.area)) for floor in one.floors]
        for line, profile, tip, up_to in one.swept:
            swept.setdefault((profile, tip, up_to), []).extend(shapely.get_parts(fixture.place(line)))
    together = [Swept(shapely.geometrycollections(lines), *alike) for alike, lines in swept.items()]
    return Surfaces(tuple(floors), tuple(together))


def _within(waste: BaseGeometry, features: Iterable[Feature]) -> BaseGeometry:
    """The places at which these features lie in the waste alone."""
    each = [
        shapely.buffer(place, max(feature.reach, _TOUCH), quad_segs=ROUND)
        for feature in features
        if not feature.waste_side
        for place in shapely.get_parts(feature.shape)
    ]
    shapely.prepare(waste)
    areas = np.array(each, object)
    return shapely.union_all(areas[shapely.covers(waste, areas)])


def _lowered_at(heights: Floats, places: _Places, surfaces: Surfaces) -> Floats:
    """Heights (k,) at places, lowered to these surfaces."""
    for area, z in surfaces.floors:
        inside = places.within(area)
        heights[inside] = np.minimum(heights[inside], z)
    for swept in surfaces.swept:
        for cut in heights_over(_table(swept), swept.profile, places.points):
            some = cut.z <= swept.up_to
            np.minimum.at(heights, cut.place[some], cut.z[some])
    return heights


def _table(swept: Swept) -> Floats:
    """Level moves of an axis along lines, or standing at points; as in moves.py."""
    first, last = _ends(swept.line)
    table = np.zeros((11, len(first)))
    table[[X0, Y0]], table[[X1, Y1]] = first.T, last.T
    table[[Z0, Z1]] = swept.tip
    table[SWEEP] = 0.0
    return table


class _Places:
    """Points (k, 2), also in the order of x, so that a shape asks only those beside it."""

    def __init__(self, points: Floats) -> None:
        self.points = points
        self._order = np.argsort(points[:, 0], kind="stable")
        self._x, self._y = points[self._order].T

    def within(self, area: BaseGeometry) -> Ints:
        """Indices of those within an area."""
        near = self._in_box(area)
        if not len(near):
            return near
        shapely.prepare(area)
        inside: Flags = shapely.contains_xy(area, self._x[near], self._y[near])
        return np.asarray(self._order[near[inside]])

    def _in_box(self, shape: BaseGeometry) -> Ints:
        left, low, right, high = shape.bounds
        first, last = np.searchsorted(self._x, (left, right))
        y = self._y[first:last]
        return np.asarray(first + np.flatnonzero((y >= low) & (y <= high)))


def _ends(lines: BaseGeometry) -> tuple[Floats, Floats]:
    """(n, 2) first and (n, 2) last points of each straight piece of lines; of a point twice itself."""
    parts = shapely.get_parts(lines)
    points, owner = shapely.get_coordinates(parts, return_index=True)
    follows = np.flatnonzero(owner[1:] == owner[:-1])
    alone = np.flatnonzero(np.isin(owner, np.flatnonzero(shapely.get_num_coordinates(parts) == 1)))
    return points[np.append(follows, alone)], points[np.append(follows + 1, alone)]
