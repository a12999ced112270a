"""V-carving: closed shapes cut with a V that goes along their middles, as deep as they are wide there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from math import floor

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, length, let_in, one_of, optional
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.carving import Carving
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.crossing import rise
from toolpaths.making.motion.route import short_route
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.carving.carved_floor import RIDGE, CarvedFloor
from toolpaths.making.operations.carving.carving_notes import depth_note, narrower_than_tip
from toolpaths.making.operations.carving.flats_and_vee import FlatsAndVee
from toolpaths.making.operations.carving.junctions import deepest
from toolpaths.making.operations.carving.stroke_walk import joined
from toolpaths.making.operations.carving.tip_lines import TipLine, between, no_deeper, tip_line
from toolpaths.making.operations.carving.tip_motion import TipMotion, passes
from toolpaths.making.operations.leads import rising_off
from toolpaths.making.operations.operation import CLEAR, RIM, Site
from toolpaths.making.operations.pocket import Pocket, checked_cutters
from toolpaths.making.operations.rings import Direction
from toolpaths.making.operations.visiting_order import rings_in_order
from toolpaths.shapes import door
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FIT

# mm of wood that a carving leaves below it at least, in the numbers that errors propose.
_LEFT_BELOW = 1.0
# mm, radius of a disc on a floor up to which a pointed V clears it by itself, side by side.
_BY_POINT = 1.5


@dataclass(frozen=True, kw_only=True, repr=False)
class VCarve(FlatsAndVee):
    """Shapes carved with a V; made by v_carve(). Its depth follows from how wide they are and from the V."""

    depth_limit: float | None = None

    def __post_init__(self) -> None:
        let_in(
            self, shape=door.one_geometry, cutters=checked_cutters, from_depth=distance,
            depth_limit=partial(optional, door=length), direction=partial(one_of, choices=rings.DIRECTIONS),
        )  # fmt: skip
        *flats, vee = self.cutters or (None,)
        if vee is None or vee.profile.kind != "V" or any(cutter.profile.kind == "V" for cutter in flats):
            raise InputError(
                "v_carve takes one V cutter, listed last; flat ones before it clear the floor left by a depth_limit."
            )
        if not vee.centre_cutting:
            raise InputError(f"{vee} does not cut at its centre; a carving goes down on its tip.")
        if flats and self.depth_limit is None:
            raise InputError(f"{flats[0]} has nothing to clear: without a depth_limit a carving has no floor.")
        object.__setattr__(self, "depth", self.from_depth + self._deepest[0])
        super().__post_init__()

    def _check(self) -> None:
        super()._check()
        vee, (deep, place) = self.vee, self._deepest
        high = vee.profile.tip_height
        if deep > high + 1e-6:
            raise DoesNotFitError(
                f"{vee} cuts a cone {high:.2f} mm high, and at ({place[0]:.1f}, {place[1]:.1f}) the shape is "
                f"{2 * self._slope * deep + vee.profile.tip_diameter:.2f} mm wide, {deep:.2f} mm deep. Take a wider V, "
                f"or depth_limit={floor(high * 10) / 10:g}, which leaves a floor.",
                place,
            )
        if self.flats or self.depth_limit is not None:
            self._check_floor()

    def _check_floor(self) -> None:
        made = self._floor(self._area, DEFAULT_TOLERANCE)
        limit, widest = self.depth_limit, self._widest
        if self.flats and made.level.is_empty:
            raise DoesNotFitError(
                f"depth_limit={limit:g} leaves no floor for {self.flats[0]}: the carving is {widest[0]:.2f} mm deep at "
                "most. Leave out the flat cutters, or give a lower depth_limit.",
                widest[1],
            )
        if made.level.is_empty:
            return
        x, y = rings.placed_point(made.level)
        if not self.flats and not self.vee.profile.tip_diameter and made.widest > 2 * _BY_POINT:
            raise DoesNotFitError(
                f"depth_limit={limit:g} leaves a floor of {made.level.area:.1f} mm2, up to {made.widest:.1f} mm wide, "
                f"near ({x:.1f}, {y:.1f}), which is too much for the point of {self.vee}. List a flat cutter before "
                f"it, or leave depth_limit out: it is {widest[0]:.2f} mm deep then.",
                (x, y),
            )
        for cutter in self.flats:
            if made.for_flat(cutter).is_empty:
                raise DoesNotFitError(
                    f"{cutter} fits nowhere on the floor that depth_limit={limit:g} leaves, near ({x:.1f}, {y:.1f}); "
                    f"take one of {floor(10 * made.widest) / 10:g} mm or less.",
                    (x, y),
                )

    @property
    def _usual_name(self) -> str:
        return "carving"

    @cached_property
    def _lines_by_tolerance(self) -> dict[float, list[TipLine]]:
        return {}

    def _middles(self, tolerance: float) -> list[TipLine]:
        """What the tip would follow without a limit, seen from the front."""
        if tolerance not in self._lines_by_tolerance:
            self._lines_by_tolerance[tolerance] = self._tip_lines(self._area, tolerance)
        return self._lines_by_tolerance[tolerance]

    def _strokes(self, middles: list[TipLine], tolerance: float) -> list[TipLine]:
        """What of these lines it follows: what is no deeper than the limit."""
        if self.depth_limit is None:
            return middles
        # What is deeper by rounding, as strokes exactly so wide, is followed as well.
        spare = FIT * tolerance / self._slope
        return no_deeper(between(middles, 0.0, self.depth_limit + spare), self.depth_limit)

    @cached_property
    def _widest(self) -> tuple[float, Point]:
        """mm that it would be deep without a limit, and where."""
        middles = self._middles(DEFAULT_TOLERANCE)
        if not middles:
            x, y = rings.placed_point(self._area)
            circle = shapely.maximum_inscribed_circle(self._area)
            raise DoesNotFitError(
                f"The shape is {2 * circle.length:.2f} mm wide at most, near ({x:.1f}, {y:.1f}), and the tip of "
                f"{self.vee} is {self.vee.profile.tip_diameter:g} mm wide: it leaves nothing. Take a finer V.",
                (x, y),
            )
        return deepest(middles)

    @cached_property
    def _deepest(self) -> tuple[float, Point]:
        """mm below the surface, and where."""
        deep, place = self._widest
        return (deep if self.depth_limit is None else min(deep, self.depth_limit)), place

    def _floor(self, area: BaseGeometry, tolerance: float) -> CarvedFloor:
        assert self.depth_limit is not None
        return CarvedFloor(area, self.depth_limit, self._slope, self.vee.profile.flat_radius, tolerance)

    def depths(self, fixture: Fixture) -> tuple[float, float]:
        above, deep = super().depths(fixture)
        thick = -fixture.underside_z
        if deep > thick - 1e-6:
            x, y = self._deepest[1]
            most = floor((thick - above - _LEFT_BELOW) * 10) / 10
            would = (
                f"depth_limit={most:g} keeps {_LEFT_BELOW:g} mm of it" if most > 0 else "the board is too thin for it"
            )
            raise DoesNotFitError(
                f"it would go {deep:.2f} mm deep at ({x:.1f}, {y:.1f}) seen from the front, and the board is {thick:g} "
                f"thick: {would}.",
                (x, y),
            )
        return above, deep

    @property
    def rim(self) -> BaseGeometry:
        return shapely.difference(shapely.buffer(self._area, RIM), self._area)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        if cutter != self.vee:
            return self._cleared(cutter, site)
        fixture, tolerance = site.fixture, site.tolerance
        builder = PathBuilder(cutter, fixture.safe_z)
        middles = [
            tip_line(np.column_stack([fixture.seen_from_front(line.points[:, :2]), line.points[:, 2]]))
            for line in self._middles(tolerance)
        ]
        motion = TipMotion(builder, fixture.machine, self.top, FIT * tolerance)
        self._cut(motion, self._strokes(middles, tolerance), site)
        if self.depth_limit is not None:
            made = self._floor(fixture.place(self._area), tolerance)
            self._cut_walls(builder, made, site)
            self._cut(motion, made.rest_lines(made.rest(self.flats), middles), site)
        limited = no_deeper(middles, np.inf if self.depth_limit is None else self.depth_limit)
        narrow = narrower_than_tip(fixture.place(self._area), cutter, tolerance)
        return builder.path([depth_note(limited), *narrow])

    def _cut(self, motion: TipMotion, lines: list[TipLine], site: Site) -> None:
        """Lines, those that hang together one after the other."""
        groups = [[lines[number] for number in group] for group in joined(lines)]
        starts = [(float(group[0].points[0, 0]), float(group[0].points[0, 1])) for group in groups]
        wait, over = site.fixture.wait_at, rise(site.fixture, self.vee)
        for visit in short_route([[(place, place)] for place in starts], wait, wait, over):
            group = groups[visit.thing]
            motion.cut(group, passes(deepest(group)[0], self.vee))

    def _cut_walls(self, builder: PathBuilder, made: CarvedFloor, site: Site) -> None:
        """Round the floor, along the foot of its walls."""
        if made.centres.is_empty:
            return
        levels = [self.top - depth for depth in passes(made.depth, self.vee)]
        found = rings.boundary_rings(made.centres, made.drawn, wood_outside=True, direction=self.direction)
        for _, begun in rings_in_order(made.centres, found, self.vee, site.fixture):
            builder.go_above(begun.start, self.top + CLEAR)
            end = entries.cut_ring(builder, begun, self.top, levels, "auto")
            builder.cut(rising_off(begun, end, builder.z, self.top + CLEAR))

    def _cleared(self, cutter: Cutter, site: Site) -> Toolpath:
        """The floor, with a flat cutter."""
        assert self.depth_limit is not None
        made = self._floor(self._area, site.tolerance)
        clearing = Pocket(
            shape=made.for_flat(self.flats[-1]), cutters=self.flats, depth=self.from_depth + self.depth_limit,
            from_depth=self.from_depth, direction=self.direction,
        )  # fmt: skip
        # What it leaves is the V's.
        return replace(clearing.toolpath(cutter, site), notes=())

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        profile = self.vee.profile
        return (
            Carving(
                area=self._area, angle_deg=profile.angle_deg, tip_diameter=profile.tip_diameter,
                depth=self._deepest[0], from_depth=self.from_depth, ridges=0.0 if self.depth_limit is None else RIDGE,
                name=self.title,
            ),
        )  # fmt: skip


def v_carve(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutters: Cutter | Sequence[Cutter],
    *,
    depth_limit: float | None = None,
    from_depth: float = 0.0,
    direction: Direction = "conventional",
    name: str = "",
) -> VCarve:
    """Carve closed shapes, such as letters, with a V whose flanks touch the line on both sides: the wider, the deeper.

    cutters : a V; or flat ones from coarse to fine and then the V, for the floor that a depth_limit leaves
    depth_limit : mm below from_depth at most; what is wider has its slopes and a level floor, cleared first, or where
        that is no wider than 3 mm, as where strokes meet, by the V itself, in ridges of 0.05 mm if its tip is pointed
    direction : along the walls of such a floor, as for contour
    from_depth, name : as for every operation

    A sharp corner comes up to the surface, an island stands. With a flat at its tip the V leaves corners rounded by
    half of it. How deep it goes, and where strokes that meet go deeper than they do alone, is a note of the setup.

    >>> from toolpaths import Cutter, rectangle, v_carve, v_point
    >>> vee = Cutter(6, v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
    >>> v_carve(rectangle(80, 6, (100, 70)), vee)
    <carving: T6 V 12 90 deg, 0 to 3 deep>

    Raises DoesNotFitError for a shape too wide for the cone or too narrow for the flat at its tip, and for a floor that
    its cutters cannot clear; InputError for numbers and cutters that cannot be used together.
    """
    return VCarve(
        shape=door.one_geometry("shape", shape), cutters=checked_cutters("cutters", cutters), depth_limit=depth_limit,
        from_depth=from_depth, direction=direction, name=name,
    )  # fmt: skip
