"""The part meant, as heights: between which two the wood of one side has to end, at any place.

Sideways a wall may be off by `Part.within`, so every feature is taken a little wider when asking what
may be gone, and a little narrower when asking what has to be gone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians, tan
from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.depth import Depth, Through
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import CutAlong, Part, Parting, Recess
from toolpaths.facts.profile import Profile
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.raster import covered
from toolpaths.judging.wood.removal import remove
from toolpaths.judging.wood.sweep import Flags, Ints

# Beyond this share of a rounded tip its surface is too steep for a height to say much; a wall is
# judged sideways there.
_STEEP = 0.7
_ROUND = 16
# A shape may be a curve drawn in chords that turn by less than this at each corner, radians, and be off
# the curve by the height of its chords, of which so many mm at most are forgiven.
_SMOOTH = np.radians(20)
_MOST_FORGIVEN = 0.05


AnyFloats = TypeVar("AnyFloats", Floats, Heights)


@dataclass(frozen=True, slots=True, eq=False)
class Meant:
    """One side of a part as it lies.

    wide, narrow : (area, floor) of each recess, grown and shrunk by `within`; -inf for one cut through
    lines : (line, profile, tip, steepness) of each cut along a line
    waste : area not judged, grown by `within`
    """

    within: float
    thickness: float
    wide: tuple[tuple[BaseGeometry, float], ...]
    narrow: tuple[tuple[BaseGeometry, float], ...]
    lines: tuple[tuple[BaseGeometry, Profile, float], ...]
    waste: BaseGeometry

    def band(self, points: Floats) -> tuple[Floats, Floats]:
        """(k,) lowest and highest at points (k, 2)."""
        lowest, highest = np.zeros(len(points)), np.full(len(points), np.inf)
        held = _Held(points)
        for area, floor in self.wide:
            inside = held.within(area)
            lowest[inside] = np.minimum(lowest[inside], floor)
        for area, floor in self.narrow:
            inside = held.within(area)
            highest[inside] = np.minimum(highest[inside], max(floor, -self.thickness))
        for line, profile, tip in self.lines:
            near = held.near(line, profile.radius + self.within)
            away = np.asarray(shapely.distance(shapely.points(points[near]), line))
            wide, (slim, rise) = grown(profile, 2 * self.within), _narrow(profile, self.within)
            lowest[near] = np.minimum(lowest[near], _over(wide, tip, away))
            must = _over(slim, tip, away)
            judged = (must < 0) & (must <= tip + _highest_judged(slim) - rise)
            highest[near] = np.where(judged, np.minimum(highest[near], must + rise), highest[near])
        waste = np.zeros(len(points), bool)
        waste[held.within(self.waste)] = True
        return self._lowest(lowest, waste), self._highest(highest, waste)

    def lowest(self, grid: Grid) -> Heights:
        """(rows, columns) lowest at the cell centres of a grid."""
        lowest = np.zeros(grid.shape, np.float32)
        for area, floor in self.wide:
            np.minimum(lowest, np.float32(floor), out=lowest, where=covered(area, grid))
        for line, profile, tip in self.lines:
            remove(lowest, grid, _table(line, tip), grown(profile, 2 * self.within))
        return self._lowest(lowest, covered(self.waste, grid))

    def highest(self, grid: Grid) -> Heights:
        """(rows, columns) highest at the cell centres of a grid."""
        highest = np.full(grid.shape, np.inf, np.float32)
        for area, floor in self.narrow:
            np.minimum(highest, np.float32(max(floor, -self.thickness)), out=highest, where=covered(area, grid))
        for line, profile, tip in self.lines:
            slim, rise = _narrow(profile, self.within)
            surface = np.zeros(grid.shape, np.float32)
            remove(surface, grid, _table(line, tip), slim)
            judged = (surface < 0) & (surface <= tip + _highest_judged(slim) - rise)
            np.minimum(highest, surface + np.float32(rise), out=highest, where=judged)
        return self._highest(highest, covered(self.waste, grid))

    def _lowest(self, heights: AnyFloats, waste: Flags) -> AnyFloats:
        """What is cut through may be cut through deeper, and waste may be anything."""
        heights[(heights <= -self.thickness) | waste] = -np.inf
        return heights

    def _highest(self, heights: AnyFloats, waste: Flags) -> AnyFloats:
        """Nothing has to be cut deeper than through, and waste may be anything."""
        np.maximum(heights, -self.thickness, out=heights)
        heights[waste] = np.inf
        return heights


def meant_on(part: Part, fixture: Fixture, finest: Floats) -> Meant:
    """A side of the part as it lies in the fixture.

    finest : (m, 6) radius, box (left, low, right, high) and foot of each stretch of sideways cutting,
        from which the corners that a recess may keep are told where the part does not say
    """
    wide, narrow, lines = [], [], []
    for feature in part.cut_from(fixture.side):
        if isinstance(feature, Recess):
            area = fixture.place(feature.area)
            floor = tip_of(feature.depth, part.board.thickness)
            floor = -np.inf if floor <= -part.board.thickness else floor
            slack = slack_of(area, part.within)
            wide.append((shapely.buffer(area, slack + feature.overrun, quad_segs=_ROUND), floor))
            corner, foot = corner_of(feature, area, finest)
            reached = reachable(area, corner)
            narrow.append((shapely.buffer(reached, -slack - foot, quad_segs=_ROUND), floor))
        elif isinstance(feature, CutAlong):
            tip = tip_of(feature.depth, part.board.thickness)
            lines.append((fixture.place(feature.line), feature.profile, tip))
            if not feature.waste.is_empty:
                wide.append((fixture.place(feature.waste), tip))
    return Meant(part.within, part.board.thickness, tuple(wide), tuple(narrow), tuple(lines), _waste(part, fixture))


def _waste(part: Part, fixture: Fixture) -> BaseGeometry:
    """The wood that is not judged, as it lies: what any parting of either side cuts off, and the slack beside."""
    board = part.board.outline
    pieces = [
        shapely.buffer(
            f.area if f.waste == "inside" else shapely.difference(board, f.area),
            slack_of(f.area, part.within),
            quad_segs=_ROUND,
        )
        for f in (*part.front, *part.back)
        if isinstance(f, Parting)
    ]
    return fixture.place(shapely.union_all(pieces)) if pieces else shapely.Polygon()


def slack_of(area: BaseGeometry, within: float) -> float:
    """mm sideways by which the walls of a shape may be off: `within`, and how far its chords may lie off a curve.

    A chord of length c after which a curve turns by t is c/2 tan(t/4) high (reference 2.2: sagitta).
    """
    high, parts = 0.0, shapely.get_parts(area)
    for line in parts if area.area == 0 else shapely.get_rings(parts):
        edges = np.diff(shapely.get_coordinates(line), axis=0)
        after = np.roll(edges, -1, axis=0)
        if not shapely.is_closed(line):
            edges, after = edges[:-1], after[:-1]
        (x0, y0), (x1, y1) = edges.T, after.T
        turn = np.abs(np.arctan2(x0 * y1 - y0 * x1, x0 * x1 + y0 * y1))
        long = np.maximum(np.hypot(*edges.T), np.hypot(*after.T))
        smooth = turn < _SMOOTH
        high = max(high, float((long / 2 * np.tan(turn / 4))[smooth].max(initial=0.0)))
    return within + min(high, _MOST_FORGIVEN)


def footprint(feature: CutAlong, fixture: Fixture) -> BaseGeometry:
    """The area over which a cut along a line takes wood off the face, as it lies."""
    profile, thickness = feature.profile, fixture.board.thickness
    wide = profile.radius_at(-tip_of(feature.depth, thickness))
    return shapely.buffer(fixture.place(feature.line), wide, quad_segs=_ROUND)


def tip_of(depth: Depth, thickness: float) -> float:
    """Z of the lowest place of a cut."""
    return -thickness - depth.beyond if isinstance(depth, Through) else -depth


def corner_of(feature: Recess | Parting, area: BaseGeometry, finest: Floats) -> tuple[float, float]:
    """Radius that inner corners may keep, and width of the rounding at the foot of walls: as stated, else of
    the finest cutter that moves sideways there."""
    corner, foot = feature.corners, feature.foot if isinstance(feature, Recess) else 0.0
    if corner is None or foot is None:
        left, low, right, high = area.bounds
        here = (finest[:, 1] < right) & (finest[:, 3] > left) & (finest[:, 2] < high) & (finest[:, 4] > low)
        least = finest[here].min(axis=0) if here.any() else np.zeros(6)
        corner = float(least[0]) if corner is None else corner
        foot = float(least[5]) if foot is None else foot
    return corner, foot


def reachable(area: BaseGeometry, radius: float) -> BaseGeometry:
    """An area without the corners that a round cutter leaves.

    Only corners are left out, wood within a radius of what the cutter does reach (in one of 60 degrees
    or more, reference: opening of the area by a disc); a room that it does not get into at all stays in.
    """
    if radius == 0:
        return area
    opened = shapely.buffer(shapely.buffer(area, -radius, quad_segs=_ROUND), radius, quad_segs=_ROUND)
    missed = shapely.difference(area, shapely.buffer(opened, radius, quad_segs=_ROUND))
    return shapely.union(shapely.intersection(opened, area), missed)


def grown(profile: Profile, by: float) -> Profile:
    """The profile moved outwards all round by half of `by`, so that it is flat over as much more."""
    kind = "bull nose" if profile.kind == "ball" else profile.kind
    tip = profile.tip_diameter + by if profile.angle_deg < 180 else 0.0
    return Profile(kind, profile.diameter + by, profile.corner_radius, profile.angle_deg, tip)


def _narrow(profile: Profile, within: float) -> tuple[Profile, float]:
    """The profile moved inwards all round, or where its tip is too pointed for that, itself and how much
    higher the surface of the one moved inwards lies."""
    if profile.flat_radius > within:
        return replace(profile, diameter=profile.diameter - 2 * within, tip_diameter=_slimmer(profile, within)), 0.0
    return profile, within * _steepness(profile)


def _slimmer(profile: Profile, within: float) -> float:
    return profile.tip_diameter - 2 * within if profile.angle_deg < 180 else 0.0


def _over(profile: Profile, tip: float, away: Floats) -> Floats:
    """Height that a cut along a line leaves at a distance from it; the face beyond the cutter."""
    height = tip + profile.height(np.minimum(away, profile.radius))
    return np.where(away <= profile.radius, np.minimum(height, 0.0), 0.0)


def _highest_judged(profile: Profile) -> float:
    """Above its tip, how far up a profile is judged by height."""
    if profile.angle_deg < 180:
        return profile.tip_height
    return float(profile.height(np.array([profile.flat_radius + _STEEP * profile.corner_radius]))[0])


def _steepness(profile: Profile) -> float:
    """Greatest rise per mm outwards of what is judged by height; 0 where the tip is flat."""
    if profile.angle_deg < 180:
        return 1 / tan(radians(profile.angle_deg / 2))
    return _STEEP / (1 - _STEEP**2) ** 0.5 if profile.corner_radius else 0.0


def _table(line: BaseGeometry, tip: float) -> Floats:
    """Level moves of an axis along lines, or standing at points; as in moves.py."""
    spans = []
    for piece in shapely.get_parts(line):
        points = shapely.get_coordinates(piece)
        spans.append((points[:-1], points[1:]) if len(points) > 1 else (points, points))
    first, last = (np.concatenate(ends) for ends in zip(*spans, strict=True))
    table = np.zeros((11, len(first)))
    table[[X0, Y0]], table[[X1, Y1]] = first.T, last.T
    table[[Z0, Z1]] = tip
    table[SWEEP] = 0.0
    return table


class _Held:
    """Points (k, 2) in the order of x, so that a shape asks only those beside it."""

    def __init__(self, points: Floats) -> None:
        self._order = np.argsort(points[:, 0], kind="stable")
        self._x, self._y = points[self._order].T

    def near(self, shape: BaseGeometry, reach: float) -> Ints:
        """Indices of those in its box, or no farther from it than that; none if it is empty."""
        return self._order[self._near(shape, reach)]

    def within(self, area: BaseGeometry) -> Ints:
        """Indices of those within an area."""
        near = self._near(area, 0.0)
        if not len(near):
            return near
        shapely.prepare(area)
        inside: Flags = shapely.contains_xy(area, self._x[near], self._y[near])
        return np.asarray(self._order[near[inside]])

    def _near(self, shape: BaseGeometry, reach: float) -> Ints:
        left, low, right, high = shape.bounds
        first, last = np.searchsorted(self._x, (left - reach, right + reach))
        y = self._y[first:last]
        return np.asarray(first + np.flatnonzero((y >= low - reach) & (y <= high + reach)))
