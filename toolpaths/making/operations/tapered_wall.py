"""The wall of a tapered insert: a V round a shape, whose flanks leave it narrower above a level and wider below.

The surface is that of the recess seen from the other side: so deep at the level of the outline, and deeper outside it,
shallower inside it, by the distance from it over the V's slope. A tip that keeps to that surface takes nothing below it
anywhere. Round the shape it goes along the foot of the wall; into notches that are too narrow for that it goes along
their middles, and rises to the level of the outline in each inner corner.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import length, let_in, one_of
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.tapered_insert import TaperedInsert, without_holes
from toolpaths.making.motion.crossing import rise
from toolpaths.making.motion.route import short_route
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.carving.carved_floor import CarvedFloor
from toolpaths.making.operations.carving.flats_and_vee import FlatsAndVee
from toolpaths.making.operations.carving.junctions import deepest
from toolpaths.making.operations.carving.stroke_walk import joined
from toolpaths.making.operations.carving.tip_lines import TipLine, between, no_deeper, tip_line
from toolpaths.making.operations.carving.tip_motion import TipMotion, passes
from toolpaths.making.operations.leads import rising_off
from toolpaths.making.operations.operation import CLEAR, Site
from toolpaths.making.operations.pocket import Pocket, checked_cutters
from toolpaths.making.operations.visiting_order import rings_in_order
from toolpaths.shapes import offset
from toolpaths.shapes.tolerance_shares import FIT

# mm by which a disc is farther from the shape than its radius that is one of the outer edge's.
_ELSEWHERE = 0.02


@dataclass(frozen=True, kw_only=True, repr=False)
class TaperedWall(FlatsAndVee):
    """The wall round a shape that is to stand, and the ground around it cleared; made by tapered_inlay().

    start_depth : mm below the face at which the section is the shape
    below : mm from there down to the floor around it
    around : mm round the shape that are cleared, as is all that is enclosed by that
    """

    start_depth: float
    below: float
    around: float

    def __post_init__(self) -> None:
        let_in(
            self, cutters=checked_cutters, start_depth=length, below=length, around=length,
            direction=partial(one_of, choices=rings.DIRECTIONS),
        )  # fmt: skip
        *flats, vee = self.cutters or (None,)
        if vee is None or vee.profile.kind != "V" or not flats or any(cutter.profile.kind == "V" for cutter in flats):
            raise InputError("A tapered wall takes flat cutters and then one V, listed last.")
        object.__setattr__(self, "depth", self.start_depth + self.below)
        super().__post_init__()

    def _check(self) -> None:
        super()._check()
        high = self.vee.profile.tip_height
        deep = self.start_depth + self.below
        if deep > high + 1e-6:
            raise DoesNotFitError(
                f"{self.vee} cuts a cone {high:.2f} mm high, and the insert's wall is {deep:g} mm high. Take a larger "
                f"V, or make start_depth and proud together {high:.2f} mm or less.",
            )
        if self.around <= self._foot:
            raise InputError(f"around={self.around:g} must be more than {self._foot:.2f}, the foot of the wall.")

    @property
    def _usual_name(self) -> str:
        return "tapered wall"

    @property
    def _foot(self) -> float:
        """mm from the shape to the axis of the V along the foot of the wall."""
        return self.below * self._slope + self.vee.profile.flat_radius

    @cached_property
    def _ground(self) -> BaseGeometry:
        """What lies around the shape, and in its holes, so far out that its floor is as wide as is to be cleared."""
        out = shapely.buffer(self._area, self.around + self._foot, quad_segs=32)
        return shapely.difference(without_holes(out), self._area)

    def _floor(self, area: BaseGeometry, tolerance: float) -> CarvedFloor:
        return CarvedFloor(area, self.below, self._slope, self.vee.profile.flat_radius, tolerance)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        if cutter != self.vee:
            return self._cleared(cutter, site)
        fixture, tolerance = site.fixture, site.tolerance
        builder = PathBuilder(cutter, fixture.safe_z)
        motion = TipMotion(builder, fixture.machine, self.top, FIT * tolerance)
        middles = [
            tip_line(np.column_stack([fixture.seen_from_front(line.points[:, :2]), line.points[:, 2]]))
            for line in self._tip_lines(self._ground, tolerance)
        ]
        spare = FIT * tolerance / self._slope
        strokes = [
            line
            for line in no_deeper(between(middles, 0.0, self.below + spare), self.below)
            if self._beside_shape(line, fixture.place(self._area))
        ]
        made = self._floor(fixture.place(self._ground), tolerance)
        self._cut(motion, strokes, site)
        self._cut_walls(builder, made, site)
        self._cut(motion, made.rest_lines(self._rest(made), middles), site)
        return builder.path()

    def _beside_shape(self, line: TipLine, area: BaseGeometry) -> bool:
        """Whether a line lies in a notch of the shape, and not in one of the outer edge of its ground."""
        radius = line.points[:, 2] * self._slope + self.vee.profile.flat_radius
        away = shapely.distance(area, shapely.points(line.points[:, :2]))
        return bool((away <= radius + _ELSEWHERE).all())

    def _cut(self, motion: TipMotion, lines: list[TipLine], site: Site) -> None:
        """Lines, so deep below the level of the outline, those that hang together one after the other."""
        level = np.array([0.0, 0.0, self.start_depth])
        down = [TipLine(line.points + level, line.start, line.end) for line in lines]
        groups = [[down[number] for number in group] for group in joined(down)]
        starts = [(float(group[0].points[0, 0]), float(group[0].points[0, 1])) for group in groups]
        wait, over = site.fixture.wait_at, rise(site.fixture, self.vee)
        for visit in short_route([[(place, place)] for place in starts], wait, wait, over):
            group = groups[visit.thing]
            motion.cut(group, passes(deepest(group)[0], self.vee))

    def _cut_walls(self, builder: PathBuilder, made: CarvedFloor, site: Site) -> None:
        """Round the shape and in its holes, along the foot of the wall."""
        levels = [self.top - depth for depth in passes(self.start_depth + self.below, self.vee)]
        area = site.fixture.place(self._area)
        every = rings.boundary_rings(made.centres, made.drawn, wood_outside=True, direction=self.direction)
        found = [number for number, track in enumerate(every) if self._is_wall(track.start, area)]
        for number, begun in rings_in_order(made.centres, every, self.vee, site.fixture):
            if number in found:
                builder.go_above(begun.start, self.top + CLEAR)
                end = entries.cut_ring(builder, begun, self.top, levels, "auto")
                builder.cut(rising_off(begun, end, builder.z, self.top + CLEAR))

    def _is_wall(self, place: tuple[float, float], area: BaseGeometry) -> bool:
        return float(shapely.distance(area, shapely.Point(place))) <= self._foot + _ELSEWHERE

    def _rest(self, made: CarvedFloor) -> BaseGeometry:
        """What the flat cutters leave of the floor, but for narrow ridges, which are in no way: what is not wider than
        the foot of the wall lies between two flanks that meet half way up to the level of the outline."""
        left = made.rest(self.flats)
        wide = offset.zone(left, -self._foot / 2, made.tolerance)
        return MultiPolygon([part for part in shapely.get_parts(left) if shapely.intersects(part, wide)])

    def _cleared(self, cutter: Cutter, site: Site) -> Toolpath:
        """The floor, with a flat cutter."""
        made = self._floor(self._ground, site.tolerance)
        clearing = Pocket(
            shape=made.for_flat(self.flats[-1]), cutters=self.flats, depth=self.start_depth + self.below,
            direction=self.direction,
        )  # fmt: skip
        # What it leaves is the V's.
        return replace(clearing.toolpath(cutter, site), notes=())

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        return (
            TaperedInsert(
                area=self._area, start_depth=self.start_depth, depth=self.start_depth + self.below,
                angle_deg=self.vee.profile.angle_deg, around=self.around,
                ridges=self.below / 2, name=self.title,
            ),
        )  # fmt: skip
