"""V-carving: closed shapes cut with a V that goes along their middles, as deep as they are wide there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from math import floor, radians, tan
from typing import Any, ClassVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, length, let_in, optional
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.route import short_route
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations.carving.junctions import deeper_forks, deepest
from toolpaths.making.operations.carving.stroke_walk import joined
from toolpaths.making.operations.carving.tip_lines import TipLine, between, tip_line
from toolpaths.making.operations.carving.tip_motion import TipMotion, passes
from toolpaths.making.operations.operation import OnArea, Site
from toolpaths.making.operations.pocket import checked_cutters
from toolpaths.shapes import door
from toolpaths.shapes.largest_discs import largest_discs
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FIT


@dataclass(frozen=True, kw_only=True, repr=False)
class VCarve(OnArea):
    """Shapes carved with a V; made by v_carve(). Its depth follows from how wide they are and from the V."""

    depth_given: ClassVar[bool] = False
    depth: Depth = field(init=False)
    cutters: tuple[Cutter, ...]
    depth_limit: float | None = None

    def __post_init__(self) -> None:
        let_in(
            self, shape=door.one_geometry, cutters=checked_cutters, from_depth=distance,
            depth_limit=partial(optional, door=length),
        )  # fmt: skip
        if not self.cutters or self.cutters[-1].profile.kind != "V":
            raise InputError("v_carve takes a V cutter, after flat ones where a depth_limit leaves a floor to be cleared.")
        object.__setattr__(self, "depth", self.from_depth + deepest(self._lines(DEFAULT_TOLERANCE))[0])
        super().__post_init__()

    @property
    def vee(self) -> Cutter:
        """The V."""
        return self.cutters[-1]

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return self.cutters

    @property
    def _usual_name(self) -> str:
        return "carving"

    @property
    def _slope(self) -> float:
        """mm sideways for each mm of depth."""
        return tan(radians(self.vee.profile.angle_deg / 2))

    @cached_property
    def _found(self) -> dict[float, list[TipLine]]:
        return {}

    def _lines(self, tolerance: float) -> list[TipLine]:
        """What the tip follows, seen from the front."""
        if tolerance not in self._found:
            made = []
            for polygon in door.polygons("shape", self._area):
                for points in largest_discs(polygon, tolerance).lines:
                    depth = (points[:, 2] - self.vee.profile.flat_radius) / self._slope
                    made.append(tip_line(np.column_stack([points[:, :2], depth])))
            self._found[tolerance] = between(made, 0.0, np.inf)
        return self._found[tolerance]

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture = site.fixture
        builder = PathBuilder(cutter, fixture.safe_z)
        lay = [
            tip_line(np.column_stack([fixture.seen_from_front(line.points[:, :2]), line.points[:, 2]]))
            for line in self._lines(site.tolerance)
        ]
        motion = TipMotion(builder, fixture.machine, self.top, FIT * site.tolerance)
        groups = [[lay[number] for number in group] for group in joined(lay)]
        places = [(float(lines[0].points[0, 0]), float(lines[0].points[0, 1])) for lines in groups]
        for visit in short_route([[(place, place)] for place in places], fixture.wait_at, fixture.wait_at):
            lines = groups[visit.thing]
            motion.cut(lines, passes(deepest(lines)[0], cutter))
        return builder.path()

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        return ()


def v_carve(shape, cutters, *, depth_limit=None, from_depth=0.0, name=""):
    return VCarve(
        shape=door.one_geometry("shape", shape), cutters=checked_cutters("cutters", cutters), depth_limit=depth_limit,
        from_depth=from_depth, name=name,
    )  # fmt: skip
