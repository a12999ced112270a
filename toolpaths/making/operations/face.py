"""Face: level the top of the board, or an area of it, with parallel passes."""

from __future__ import annotations

from math import ceil

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import finite, one_of, positive
from toolpaths.base.errors import InputError, ShapeError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.part import Feature, Recess
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations.entry import check_plunge
from toolpaths.making.operations.operation import (
    CLEAR,
    Operation,
    Site,
    Stage,
    check_side_cutting,
    checked_name,
    checked_stepover,
    checked_top,
    from_face,
    levels,
)
from toolpaths.shapes import door

# Room between the cutter and the wood where it comes down beside it, mm.
_BESIDE = 1.0
# Share of the area by which a round shape drawn in chords may be hollow.
_HOLLOW = 1e-3


def face(
    shape: BaseGeometry,
    cutter: Cutter,
    *,
    depth: float,
    angle_deg: float = 0.0,
    stepover: float = 0.4,
    direction: str = "both",
    top: float = 0.0,
    name: str = "",
) -> Operation:
    """Take `depth` off an area with parallel passes at an angle, 0 along X: with the grain.

    Each pass runs past the area on either end by more than the cutter's radius; where the area is
    the whole board the cutter so comes down in air, and the fixture's `overhang` must allow a
    diameter and a millimetre. Within a board it needs a cutter that cuts at its centre.
    direction : "both", forth and back; or "climb" or "conventional" in every pass
    """
    area = door.area("shape", shape)
    hollow = shapely.difference(shapely.convex_hull(area), area)
    if hollow.area > _HOLLOW * area.area:
        x, y = rounds.placed_point(hollow)
        raise ShapeError(
            f"Parallel passes would also level what lies outside the shape at ({x:.1f}, {y:.1f}); give a shape without "
            "hollows and holes, or use pocket().",
            (x, y),
        )
    depth = positive("depth", depth)
    finite("angle_deg", angle_deg)
    checked_stepover(stepover, 0.9)
    one_of("direction", direction, ("both", *rounds.DIRECTIONS))
    top = checked_top(top)
    check_side_cutting(cutter)
    if cutter.profile.flat_radius == 0 or cutter.profile.kind == "V":
        raise InputError(f"Levelling takes a flat cutter; {cutter} is none.")

    def make(site: Site) -> Toolpath:
        fixture = site.fixture
        lay = fixture.place(area)
        turned = affinity.rotate(lay, -angle_deg, origin=(0, 0))
        _, low, _, high = turned.bounds
        # The flat of the tip sweeps the area; rows begin and end half a step over its edges.
        flat = cutter.diameter - 2 * cutter.profile.corner_radius
        rows = max(1, ceil((high - low) / (stepover * flat)))
        step = (high - low) / rows
        out = cutter.radius + _BESIDE
        builder = PathBuilder(cutter, fixture.safe_z)
        spans = [_span(turned, low + row * step, cutter.radius) for row in range(rows + 1)]
        for z in levels(top, top - depth, cutter.running.step_down):
            for row in range(rows + 1):
                y, (left, right) = low + row * step, spans[row]
                # Rows go up; wood not yet cut lies to the left of travel along +X: conventional.
                forward = row % 2 == 0 if direction == "both" else direction == "conventional"
                ends = ((left - out, y), (right + out, y)) if forward else ((right + out, y), (left - out, y))
                line = affinity.rotate(shapely.LineString(ends), angle_deg, origin=(0, 0))
                start, end = line.coords
                if row == 0 or direction != "both":
                    if shapely.distance(fixture.board.outline, shapely.Point(start)) < cutter.radius:
                        check_plunge(cutter)
                    builder.go_above(start, top + CLEAR)
                    builder.plunge(z)
                else:
                    builder.straight(start, z)
                builder.straight(end, z)
        return builder.path()

    called = checked_name(name, "level the face")

    def meant(tolerance: float) -> tuple[Feature, ...]:
        past = 3 * cutter.radius + _BESIDE
        return (Recess(area=area, depth=from_face(depth, top), corners=0.0, overrun=past, name=called),)

    return Operation(called, (Stage(cutter, make),), meant, top)


def _span(area: BaseGeometry, y: float, reach: float) -> tuple[float, float]:
    """How far the area extends to left and right within a cutter's radius of a row."""
    left, low, right, high = area.bounds
    band = shapely.intersection(area, shapely.box(left, max(y - reach, low), right, min(y + reach, high)))
    across = band.bounds
    return across[0], across[2]
