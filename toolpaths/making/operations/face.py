"""Face: level the top of the board, or an area of it, with parallel passes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil
from typing import Any, Literal

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import finite, let_in, one_of
from toolpaths.base.errors import InputError, ShapeError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Through
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.way_down import check_plunge
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import rings
from toolpaths.making.operations.operation import (
    CLEAR,
    OnArea,
    OneCutter,
    Site,
    check_not_hollow,
    check_side_cutting,
    check_stepover,
    levels,
)
from toolpaths.shapes import door
from toolpaths.shapes.placement import Placement

RowDirection = Literal["both", "climb", "conventional"]
ROW_DIRECTIONS: tuple[RowDirection, ...] = ("both", *rings.DIRECTIONS)
# Room between the cutter and the wood where it comes down beside it, mm.
_PAST_EDGE = 1.0
# Share of the area by which a round shape drawn in chords may be hollow.
_HOLLOW = 1e-3


@dataclass(frozen=True, kw_only=True, repr=False)
class Face(OneCutter, OnArea):
    """An area levelled; made by face()."""

    angle_deg: float = 0.0
    stepover: float = 0.4
    direction: RowDirection = "both"

    def _check(self) -> None:
        super()._check()
        hollow = shapely.difference(shapely.convex_hull(self._area), self._area)
        if hollow.area > _HOLLOW * self._area.area:
            x, y = rings.placed_point(hollow)
            raise ShapeError(
                f"Parallel passes would also level what lies outside the shape at ({x:.1f}, {y:.1f}); give a shape "
                "without hollows and holes, or use pocket().",
                (x, y),
            )
        if isinstance(self.depth, Through):
            raise InputError("A face is levelled by some mm; through() is for cuts through the board.")
        let_in(self, angle_deg=finite, stepover=finite, direction=partial(one_of, choices=ROW_DIRECTIONS))
        check_stepover(self.stepover, 0.9)
        check_side_cutting(self.cutter)
        check_not_hollow(self.cutter)
        if self.cutter.profile.flat_radius == 0 or self.cutter.profile.kind == "V":
            raise InputError(f"Levelling takes a flat cutter; {self.cutter} is none.")

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        return super()._drawn_at(place) | {"angle_deg": self.angle_deg + place.turned_deg}

    @property
    def _usual_name(self) -> str:
        return "level the face"

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture, top = site.fixture, self.top
        turned = affinity.rotate(fixture.place(self._area), -self.angle_deg, origin=(0, 0))
        _, low, _, high = turned.bounds
        # The flat of the tip sweeps the area; rows begin and end half a step over its edges.
        flat = 2 * cutter.profile.flat_radius
        rows = max(1, ceil((high - low) / (self.stepover * flat)))
        step = (high - low) / rows
        out = cutter.radius + _PAST_EDGE
        builder = PathBuilder(cutter, fixture.safe_z)
        spans = [_span(turned, low + row * step, cutter.radius) for row in range(rows + 1)]
        for z in levels(top, self.floor(fixture), cutter.running.step_down):
            for row in range(rows + 1):
                y, (left, right) = low + row * step, spans[row]
                # Rows go up; wood not yet cut lies to the left of travel along +X: conventional.
                forward = row % 2 == 0 if self.direction == "both" else self.direction == "conventional"
                ends = ((left - out, y), (right + out, y)) if forward else ((right + out, y), (left - out, y))
                line = affinity.rotate(shapely.LineString(ends), self.angle_deg, origin=(0, 0))
                start, end = line.coords
                if row == 0 or self.direction != "both":
                    if shapely.distance(fixture.board.outline, shapely.Point(start)) < cutter.radius:
                        check_plunge(cutter)
                    builder.go_above(start, top + CLEAR)
                    builder.plunge(z)
                else:
                    builder.straight(start, z)
                builder.straight(end, z)
        return builder.path()

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        past = 3 * self.cutter.radius + _PAST_EDGE
        return (Recess(area=self._area, depth=self.depth, corners=0.0, overrun=past, name=self.title),)


def face(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    depth: float,
    from_depth: float = 0.0,
    angle_deg: float = 0.0,
    stepover: float = 0.4,
    direction: RowDirection = "both",
    name: str = "",
) -> Face:
    """Level an area down to `depth` with parallel passes at an angle, 0 along X: with the grain.

    Each pass runs past the area on either end by more than the cutter's radius; where the area is
    the whole board the cutter so comes down in air, and the fixture's `overhang` must allow a
    diameter and a millimetre. Within a board it needs a cutter that cuts at its centre.
    direction : "both", forth and back; or "climb" or "conventional" in every pass
    depth, from_depth, name : as for every operation

    >>> from toolpaths import Board, Cutter, face, flat
    >>> board = Board(width=200, height=140, thickness=18)
    >>> face(board.outline, Cutter(7, flat(22), feed_mm_min=1800, spindle_rpm=10000), depth=0.5)
    <level the face: T7 flat 22, 0 to 0.5 deep>

    Raises ShapeError for a shape with hollows, InputError for numbers and cutters that cannot be used.
    """
    return Face(
        shape=door.one_geometry("shape", shape), cutter=cutter, depth=depth, from_depth=from_depth,
        angle_deg=angle_deg, stepover=stepover, direction=direction, name=name,
    )  # fmt: skip


def _span(area: BaseGeometry, y: float, reach: float) -> tuple[float, float]:
    """How far the area extends to left and right within a cutter's radius of a row."""
    left, low, right, high = area.bounds
    band = shapely.intersection(area, shapely.box(left, max(y - reach, low), right, min(y + reach, high)))
    across = band.bounds
    return across[0], across[2]
