"""Face: level the top of the board, or an area of it, with parallel passes."""

from __future__ import annotations

from math import ceil

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.checks import between, finite, one_of, positive
from toolpaths.cutters import Cutter
from toolpaths.errors import InputError
from toolpaths.fixture import Fixture
from toolpaths.geometry import door
from toolpaths.operations import ring as rounds
from toolpaths.operations.operation import CLEAR, Operation, checked_name, checked_top, levels
from toolpaths.path import PathBuilder, Toolpath

# Room between the cutter and the wood where it comes down beside it, mm.
_BESIDE = 1.0


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

    Each pass runs past the area on either end by more than the cutter's radius, so that the
    cutter comes down in air; the fixture's `overhang` must allow a diameter and a millimetre.
    direction : "both", forth and back; or "climb" or "conventional" in every pass
    """
    area = door.area("shape", shape)
    positive("depth", depth)
    finite("angle_deg", angle_deg)
    between("stepover", stepover, 0.02, 0.9)
    one_of("direction", direction, ("both", *rounds.DIRECTIONS))
    checked_top(top)
    if cutter.profile.kind not in ("flat", "bull nose"):
        raise InputError(f"Levelling takes a flat cutter; {cutter} is none.")

    def make(fixture: Fixture, tolerance: float) -> tuple[Toolpath, ...]:
        lay = fixture.place(area)
        turned = affinity.rotate(lay, -angle_deg, origin=(0, 0))
        left, low, right, high = turned.bounds
        # The flat of the tip sweeps the area; rows begin and end half a step over its edges.
        flat = cutter.diameter - 2 * cutter.profile.corner_radius
        rows = max(1, ceil((high - low) / (stepover * flat)))
        step = (high - low) / rows
        out = cutter.radius + _BESIDE
        builder = PathBuilder(cutter, fixture.safe_height)
        for z in levels(top, top - depth, cutter.step_down):
            for row in range(rows + 1):
                y = low + row * step
                # Rows go up; wood not yet cut lies to the left of travel along +X: conventional.
                forward = row % 2 == 0 if direction == "both" else direction == "conventional"
                ends = ((left - out, y), (right + out, y)) if forward else ((right + out, y), (left - out, y))
                line = affinity.rotate(shapely.LineString(ends), angle_deg, origin=(0, 0))
                start, end = line.coords
                if row == 0 or direction != "both":
                    builder.go_above(start, top + CLEAR)
                    builder.plunge(z)
                else:
                    builder.straight(start, z)
                builder.straight(end, z)
        return (builder.path(),)

    return Operation(checked_name(name, "level the face"), (cutter,), make)
