"""Chamfer: break an edge with a V cutter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from math import radians, tan
from typing import ClassVar, Literal

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, length, let_in, one_of
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.leads import rising_off
from toolpaths.making.operations.operation import CLEAR, RIM, OnArea, OneCutter, Site, checked_cutter, levels
from toolpaths.making.operations.out_of_reach import lost_near
from toolpaths.making.operations.rings import DIRECTIONS, Direction
from toolpaths.making.operations.visiting_order import rings_in_order
from toolpaths.shapes import door, offset
from toolpaths.shapes.drawn_area import drawn_area

EdgeSide = Literal["outside", "inside"]
EDGE_SIDES: tuple[EdgeSide, ...] = ("outside", "inside")
# How far past the edge the flank reaches, so that no whisker stays between chamfer and wall, mm.
_PAST_EDGE = 0.5
# Less edge than this left without its chamfer is not worth a note, mm.
_WHISKER = 0.1


@dataclass(frozen=True, kw_only=True, repr=False)
class Chamfer(OneCutter, OnArea):
    """An edge broken by a V cutter; made by chamfer(). Its depth follows from its width and the cutter's angle."""

    depth_given: ClassVar[bool] = False
    depth: Depth = field(init=False)
    width: float
    side: EdgeSide = "outside"
    direction: Direction = "conventional"

    def __post_init__(self) -> None:
        let_in(self, width=length, from_depth=distance, cutter=checked_cutter)
        if self.cutter.profile.kind != "V":
            raise InputError(f"A chamfer takes a V cutter; {self.cutter} is none.")
        down = (self.width + _PAST_EDGE) / tan(radians(self.cutter.profile.angle_deg / 2))
        object.__setattr__(self, "depth", self.from_depth + down)
        super().__post_init__()

    def _check(self) -> None:
        super()._check()
        door.check_none_inside("shape", self.shape)
        let_in(self, side=partial(one_of, choices=EDGE_SIDES), direction=partial(one_of, choices=DIRECTIONS))
        if self.width + self._away > self.cutter.radius:
            most = self.cutter.radius - self._away
            raise DoesNotFitError(
                f"{self.cutter} is too small for a chamfer {self.width:g} wide; at most {most:g} fits."
            )

    @property
    def _usual_name(self) -> str:
        return f"chamfer {self.width:g}"

    @property
    def rim(self) -> BaseGeometry:
        out = 1 if self.side == "inside" else -1
        near, far = (shapely.buffer(self._area, out * by, join_style="mitre") for by in (self.width, self.width + RIM))
        return shapely.symmetric_difference(near, far)

    @property
    def _away(self) -> float:
        """How far the tip runs off the wall."""
        return self.cutter.profile.tip_diameter / 2 + _PAST_EDGE

    @property
    def _moved(self) -> float:
        """The same, outwards where it is positive."""
        return -self._away if self.side == "inside" else self._away

    def _centres(self, area: BaseGeometry, tolerance: float) -> BaseGeometry:
        """The area whose boundary the axis follows."""
        return offset.wall(area, self._moved, tolerance, slim=False)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture, tolerance, top, away = site.fixture, site.tolerance, self.top, self._away
        lay = fixture.place(self._area)
        drawn = drawn_area(lay, self._moved, tolerance)
        centres = self._centres(drawn.area, tolerance)
        if lost := lost_near(lay, centres, away, self.side, tolerance):
            x, y = lost
            raise DoesNotFitError(f"{cutter} finds no room {self.side} the shape near ({x:.1f}, {y:.1f}).", lost)
        builder = PathBuilder(cutter, fixture.safe_z)
        passes = levels(top, self.floor(fixture), cutter.running.step_down)
        inside = self.side == "inside"
        found = rings.boundary_rings(centres, drawn, wood_outside=inside, direction=self.direction)
        for _, begun in rings_in_order(centres, found, cutter, fixture):
            builder.go_above(begun.start, top + CLEAR)
            end = entries.cut_ring(builder, begun, top, passes, "auto")
            builder.cut(rising_off(begun, end, builder.z, top + CLEAR))
        missed = shapely.difference(lay.boundary, shapely.buffer(centres.boundary, away + 3 * tolerance)).length
        notes = [f"{cutter} leaves {missed:.1f} mm of edge in corners and gaps too tight for its tip."]
        return builder.path(notes if missed > _WHISKER else ())

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        edge = self._centres(self._area, tolerance).boundary
        return (CutAlong(line=edge, profile=self.cutter.profile, depth=self.depth, name=self.title),)


def chamfer(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    width: float,
    from_depth: float = 0.0,
    side: EdgeSide = "outside",
    direction: Direction = "conventional",
    name: str = "",
) -> Chamfer:
    """Chamfer the edge of a shape, `width` mm wide as seen from above, its slope that of the cutter.

    side : "outside" for the edge of a part, "inside" for the edge of an opening
    from_depth, name : as for every operation
    Cut before or after the wall: the tip runs in the waste, half a millimetre past the edge.

    >>> from toolpaths import Cutter, chamfer, rectangle, v_point
    >>> vee = Cutter(6, v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
    >>> chamfer(rectangle(80, 60, (100, 70)), vee, width=1.5)
    <chamfer 1.5: T6 V 12 90 deg, 0 to 2 deep>

    Raises DoesNotFitError for a chamfer wider than the cutter, InputError for numbers and cutters that cannot be used,
    and ShapeError for a polygon of the shape wholly inside another.
    """
    return Chamfer(
        shape=door.one_geometry("shape", shape), cutter=cutter, width=width, from_depth=from_depth, side=side,
        direction=direction, name=name,
    )  # fmt: skip
