"""Chamfer: break an edge with a V cutter."""

from __future__ import annotations

from math import radians, tan

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import one_of, positive
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.part import CutAlong, Feature
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entry as entries
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations import visit
from toolpaths.making.operations.leads import rise
from toolpaths.making.operations.operation import (
    CLEAR,
    Operation,
    Site,
    Stage,
    checked_cutter,
    checked_name,
    checked_top,
    from_face,
    levels,
)
from toolpaths.making.operations.tight import lost_near
from toolpaths.shapes import door, offset

# How far past the edge the flank reaches, so that no whisker stays between chamfer and wall, mm.
_PAST_EDGE = 0.5
# Less edge than this left without its chamfer is not worth a note, mm.
_WHISKER = 0.1


def chamfer(
    shape: BaseGeometry,
    cutter: Cutter,
    *,
    width: float,
    side: str = "outside",
    direction: str = "conventional",
    top: float = 0.0,
    name: str = "",
) -> Operation:
    """Chamfer the edge of a shape, `width` mm wide as seen from above, its slope that of the cutter.

    side : "outside" for the edge of a part, "inside" for the edge of an opening
    Cut before or after the wall: the tip runs in the waste, half a millimetre past the edge.
    """
    area = door.area("shape", shape)
    positive("width", width)
    one_of("side", side, ("outside", "inside"))
    rounds.checked_direction(direction)
    top = checked_top(top)
    checked_cutter(cutter)
    profile = cutter.profile
    if profile.kind != "V":
        raise InputError(f"A chamfer takes a V cutter; {cutter} is none.")
    away = profile.tip_diameter / 2 + _PAST_EDGE
    if width + away > cutter.radius:
        raise DoesNotFitError(
            f"{cutter} is too small for a chamfer {width:g} wide; at most {cutter.radius - away:g} fits."
        )
    depth = (width + _PAST_EDGE) / tan(radians(profile.angle_deg / 2))

    def make(site: Site) -> Toolpath:
        fixture, tolerance = site.fixture, site.tolerance
        lay = fixture.place(area)
        inside = side == "inside"
        centres = offset.wall(lay, -away if inside else away, tolerance)
        if lost := lost_near(lay, centres, away, side, tolerance):
            raise DoesNotFitError(f"{cutter} finds no room {side} the shape near ({lost[0]:.1f}, {lost[1]:.1f}).", lost)
        builder = PathBuilder(cutter, fixture.safe_z)
        passes = levels(top, top - depth, cutter.running.step_down)
        found = rounds.rings(centres, wood_outside=inside, direction=direction, tolerance=tolerance)
        for _, begun in visit.rings(centres, found, cutter, fixture):
            builder.go_above(begun.start, top + CLEAR)
            rise(builder, begun, entries.cut_ring(builder, begun, top, passes, "auto"), top + CLEAR)
        missed = shapely.difference(lay.boundary, shapely.buffer(centres.boundary, away + 3 * tolerance)).length
        notes = [f"{cutter} leaves {missed:.1f} mm of edge in corners and gaps too tight for its tip."]
        return builder.path(notes if missed > _WHISKER else ())

    called = checked_name(name, f"chamfer {width:g}")

    def meant(tolerance: float) -> tuple[Feature, ...]:
        edge = offset.wall(area, -away if side == "inside" else away, tolerance).boundary
        return (CutAlong(line=edge, profile=profile, depth=from_face(depth, top), name=called),)

    return Operation(called, (Stage(cutter, make),), meant, top)
