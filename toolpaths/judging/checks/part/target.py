"""The target: the part meant, as heights between which the wood of one side has to end, at any place.

Sideways a wall may be off by `Part.within`, so every feature is taken a little wider when asking what may be
removed, and a little narrower when asking what has to be removed. Which surfaces those are each feature says itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.features.edge_distances import edge_of
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Box, Floor, Sloped, Surfaces, Swept, with_walls
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.profile import Profile
from toolpaths.facts.waste import waste_of
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.cuts_over_places import heights_over
from toolpaths.judging.trial.places_in_cells import InCells, sorted_into_cells
from toolpaths.judging.wood.beside import cells_beside
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.heights import level
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.raster import covered, lower
from toolpaths.judging.wood.sweep import Flags, Ints, in_portions

# Share of the slack by which a line may be off when it is looked at roughly, less than half.
_ROUGHLY = 0.4
# Cells, about, from which on all of a board are sooner known than these alone.
_FEW_CELLS = 20_000
# Cells beside an edge that are taken at a time, about.
_MOST_BESIDE = 2_000_000
# mm about a feature of which every place counts as its own.
_TOUCH = 0.01
# mm above the lower face up to which a surface may count as through it, rounded.
_AS_LOW = 0.001


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """How low, or how high, the wood of one side may end, as it lies.

    Where it may be cut through it may end at any depth; deeper than through it never has to be cut.

    underside : z of the board's lower face as it lies
    surfaces : of the features, as wide as they may be for the lowest, as narrow for the highest
    rough : much the same, sooner made, less wide for the lowest and less narrow for the highest
    waste : area in which that is not judged
    untouched : z where no feature takes anything
    nowhere : z where the wood may end at any height, -inf or inf
    """

    underside: float
    surfaces: Surfaces
    rough: Surfaces
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

    def roughly_at(self, places: Floats) -> Floats:
        """(k,) likewise, known sooner; more is at fault by it, never less."""
        return self._roughly().at(places)

    def over(self, grid: Grid) -> Heights:
        """(rows, columns) likewise at the cell centres of a grid."""
        floors = self.surfaces.floors
        heights = np.full(grid.shape, self.untouched, np.float32)
        for swept in self.surfaces.swept:
            # Farther off it lies above the face.
            wide = float(swept.profile.radii(np.array(-swept.tip)))
            cell, away = cells_beside(grid, *edge_of(swept.line), wide)
            z = level(swept.profile, away, np.full(len(away), swept.tip)).astype(np.float32)
            some = (z < 0) & (z <= swept.up_to)
            if swept.only is not None:
                some &= covered(swept.only, grid).reshape(-1)[cell]
            np.minimum.at(heights.reshape(-1), cell[some], z[some])
        for sloped in self.surfaces.sloped:
            cell = np.flatnonzero(covered(sloped.area, grid))
            z = sloped.heights(_away(grid, cell, sloped)).astype(np.float32)
            heights.reshape(-1)[cell] = np.minimum(heights.reshape(-1)[cell], z)
        areas, deep = [floor.area for floor in floors], [floor.z for floor in floors]
        anywhere = self.nowhere < 0
        lower(heights, grid, [*areas, self.waste] if anywhere else areas, [*deep, self.nowhere] if anywhere else deep)
        heights[heights <= self.underside] = min(self.nowhere, self.underside)
        if not anywhere:
            heights[covered(self.waste, grid)] = self.nowhere
        return heights

    def open_over(self, grid: Grid) -> Flags:
        """(rows, columns) cells at whose centres it is at no height at all: there the board is open, or waste."""
        low = self.underside + _AS_LOW
        floors = tuple(floor for floor in self.surfaces.floors if floor.z <= low)
        swept = tuple(swept for swept in self.surfaces.swept if swept.tip <= low)
        sloped = tuple(sloped for sloped in self.surfaces.sloped if sloped.lowest <= low)
        return ~np.isfinite(replace(self, surfaces=Surfaces(floors, swept, sloped)).over(grid))

    def below(self, places: Floats, heights: Floats) -> Flags:
        """(k,) whether it lies below heights (k,) at places (k, 2)."""
        near, found = _Places(places), np.zeros(len(places), bool)
        for bounds, z in self._boxes():
            inside = near.in_box(bounds)
            found[inside] |= heights[inside] > z
        for at in (self.roughly_at, self.at):
            may = np.flatnonzero(found)
            found[may] = at(places[may]) < heights[may]
        return found

    def faults(self, grid: Grid, faulty: Callable[[Heights], Flags]) -> tuple[Flags, Heights]:
        """(rows, columns) the cells at fault, and z at their centres; elsewhere it may be known roughly.

        faulty : of heights (rows, columns), the cells that are at fault by them
        """
        heights = self._roughly().over(grid)
        found = faulty(heights)
        cells = np.flatnonzero(found)
        if len(cells) > _FEW_CELLS:
            heights = self.over(grid)
        elif len(cells):
            heights.reshape(-1)[cells] = self.at(centres(grid, cells))
        else:
            return found, heights
        return faulty(heights), heights

    def _boxes(self) -> Iterator[tuple[Box, float]]:
        """Of each surface, the box that it lies in, and a z below which it lies nowhere."""
        for floor in self.surfaces.floors:
            yield floor.bounds, max(floor.z, self.underside)
        for swept in self.surfaces.swept:
            out = swept.profile.radius
            for left, low, right, high in shapely.bounds(shapely.get_parts(swept.line)).tolist():
                yield (left - out, low - out, right + out, high + out), max(swept.tip, self.underside)
        for sloped in self.surfaces.sloped:
            yield sloped.area.bounds, max(sloped.lowest, self.underside)

    def _roughly(self) -> Target:
        """One that is known sooner and by which more is at fault, never less."""
        return replace(self, surfaces=self.rough)


def lowest(part: Part, fixture: Fixture, slack: Slack) -> Target:
    """What may be removed from a side of the part, as it lies in the fixture."""
    features = part.cut_from(fixture.side)
    off = waste_of(part.partings(), slack)
    surfaces, rough = _placed(lambda each: with_walls([f.lowest(each) for f in features], off), fixture, slack)
    waste = fixture.place(off)
    return Target(fixture.underside_z, surfaces, rough, waste, untouched=0.0, nowhere=-np.inf)


def lowest_here(trial: Trial) -> Target:
    """What may be removed by a program from the part that is meant; asked for by Trial.once()."""
    assert trial.part is not None
    return lowest(trial.part, trial.case.fixture, slack_in(trial, trial.part))


def highest(part: Part, fixture: Fixture, slack: Slack) -> Target:
    """What has to be removed from a side of the part, as it lies in the fixture.

    That includes what is meant in the waste alone, such as the pilot holes of screws that hold it; of what only
    reaches into the waste as much as lies in the part.
    """
    features, waste = part.cut_from(fixture.side), waste_of(part.partings(), slack)
    surfaces, rough = _placed(lambda each: with_walls([f.highest(each) for f in features], waste), fixture, slack)
    there = shapely.difference(waste, _within(waste, features))
    return Target(fixture.underside_z, surfaces, rough, fixture.place(there), untouched=np.inf, nowhere=np.inf)


def _placed(each: Callable[[Slack], list[Surfaces]], fixture: Fixture, slack: Slack) -> tuple[Surfaces, Surfaces]:
    """The surfaces of the features as they lie; and roughly, floors as drawn and cuts along lines of fewer chords.

    each : of some slack, the surfaces of each feature
    """
    surfaces, rough = _together(each(slack), fixture), _together(each(replace(slack, within=slack.within / 2)), fixture)
    # What is so far off the line is within the half of the slack that is not given.
    off = _ROUGHLY * slack.within
    swept = [one._replace(line=shapely.simplify(one.line, off, preserve_topology=False)) for one in rough.swept]
    sloped = [replace(one, edge=shapely.simplify(one.edge, off, preserve_topology=False)) for one in rough.sloped]
    floors = tuple(Floor(floor.drawn, floor.z) for floor in surfaces.floors)
    return surfaces, Surfaces(floors, tuple(swept), tuple(sloped))


def _together(each: Iterable[Surfaces], fixture: Fixture) -> Surfaces:
    floors: list[Floor] = []
    sloped: list[Sloped] = []
    # What is swept alike, as the holes of one drill, is one surface along many lines.
    swept: dict[tuple[Profile, float, float, BaseGeometry | None], list[BaseGeometry]] = {}
    for one in each:
        floors += [replace(floor, drawn=fixture.place(floor.drawn)) for floor in one.floors]
        sloped += [replace(two, area=fixture.place(two.area), edge=fixture.place(two.edge)) for two in one.sloped]
        for line, profile, tip, up_to, only in one.swept:
            there = None if only is None else fixture.place(only)
            swept.setdefault((profile, tip, up_to, there), []).extend(shapely.get_parts(fixture.place(line)))
    together = [Swept(shapely.geometrycollections(lines), *alike) for alike, lines in swept.items()]
    return Surfaces(tuple(floors), tuple(together), tuple(sloped))


def _within(waste: BaseGeometry, features: Iterable[Feature]) -> BaseGeometry:
    """The places at which these features lie in the waste alone."""
    if waste.is_empty:
        return waste
    mine = [feature for feature in features if not feature.waste_side]
    places, owner = shapely.get_parts([feature.shape for feature in mine], return_index=True)
    shapely.prepare(waste)
    inside = shapely.covers(waste, places)
    reach = np.maximum([feature.reach for feature in mine], _TOUCH)[owner[inside]]
    areas = shapely.buffer(places[inside], reach, quad_segs=ROUND)
    return shapely.union_all(areas[shapely.covers(waste, areas)])


def _lowered_at(heights: Floats, places: _Places, surfaces: Surfaces) -> Floats:
    """Heights (k,) at places, lowered to these surfaces."""
    for floor in surfaces.floors:
        if len(places.in_box(floor.bounds)):
            inside = places.within(floor.area)
            heights[inside] = np.minimum(heights[inside], floor.z)
    for sloped in surfaces.sloped:
        inside = places.within(sloped.area)
        heights[inside] = np.minimum(heights[inside], sloped.at(places.points[inside]))
    for swept in surfaces.swept if len(places.points) else ():
        for cut in heights_over(_table(swept), swept.profile, places.points, places.in_cells, heights):
            some = cut.z <= swept.up_to
            if swept.only is not None:
                within = np.zeros(len(heights), bool)
                within[places.within(swept.only)] = True
                some &= within[cut.place]
            np.minimum.at(heights, cut.place[some], cut.z[some])
    return heights


def _away(grid: Grid, cell: Ints, sloped: Sloped) -> Floats:
    """(c,) mm from the centres of cells (c,) to the edge of a surface; of those beyond its slope at least that."""
    # Farther off it is level.
    far = sloped.section.width + abs(sloped.nearer)
    away = np.full(grid.rows * grid.columns, far)
    first, last = sloped.pieces
    # How many cells lie beside each piece, about.
    beside = np.hypot(*(last - first).T) * 2 * far / grid.cell**2 + 1
    for begin, end in in_portions(beside.astype(np.intp), _MOST_BESIDE):
        near, distance = cells_beside(grid, first[begin:end], last[begin:end], far)
        np.minimum.at(away, near, distance)
    return away[cell]


def _table(swept: Swept) -> Floats:
    """Level moves of an axis along lines, or standing at points; as in moves.py."""
    first, last = edge_of(swept.line)
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

    @cached_property
    def in_cells(self) -> InCells:
        """At least one, in the cells of a coarse grid."""
        return sorted_into_cells(self.points)

    def within(self, area: BaseGeometry) -> Ints:
        """Indices of those within an area."""
        near = self._nth_in_box(area.bounds)
        if not len(near):
            return near
        shapely.prepare(area)
        inside: Flags = shapely.contains_xy(area, self._x[near], self._y[near])
        return np.asarray(self._order[near[inside]])

    def in_box(self, bounds: Box) -> Ints:
        """Indices of those in a box."""
        return np.asarray(self._order[self._nth_in_box(bounds)])

    def _nth_in_box(self, bounds: Box) -> Ints:
        left, low, right, high = bounds
        first, last = np.searchsorted(self._x, (left, right))
        y = self._y[first:last]
        return np.asarray(first + np.flatnonzero((y >= low) & (y <= high)))
