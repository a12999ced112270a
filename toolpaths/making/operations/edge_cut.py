"""The edge of a shape cut by the profile of a cutter whose tip runs beside it, in the waste."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass, field
from functools import partial
from typing import ClassVar, Literal

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import let_in, one_of
from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.leads import rising_off
from toolpaths.making.operations.operation import CLEAR, RIM, OnArea, OneCutter, Site, levels
from toolpaths.making.operations.out_of_reach import lost_near
from toolpaths.making.operations.rings import DIRECTIONS, Direction
from toolpaths.making.operations.visiting_order import rings_in_order
from toolpaths.shapes import door, offset
from toolpaths.shapes.drawn_area import drawn_area

EdgeSide = Literal["outside", "inside"]
EDGE_SIDES: tuple[EdgeSide, ...] = ("outside", "inside")
# mm about an opening in which its edge takes wood, and more.
_AROUND = 1000.0
# Less edge than this left uncut is not worth a note, mm.
_WHISKER = 0.1


@dataclass(frozen=True, kw_only=True, repr=False)
class EdgeCut(OneCutter, OnArea):
    """An edge that takes the shape of a cutter's profile. Its depth follows from what it is to become.

    side : of the shape on which the cutter runs: "outside" for the edge of a part, "inside" for that of an opening
    """

    depth_given: ClassVar[bool] = False
    depth: Depth = field(init=False)
    side: EdgeSide = "outside"
    direction: Direction = "conventional"

    def _check(self) -> None:
        super()._check()
        door.check_none_inside("shape", self.shape)
        let_in(self, side=partial(one_of, choices=EDGE_SIDES), direction=partial(one_of, choices=DIRECTIONS))

    @property
    @abstractmethod
    def _edge_width(self) -> float:
        """mm of the face that it takes, as seen from above."""

    @property
    @abstractmethod
    def _away(self) -> float:
        """How far the axis runs off the wall."""

    @property
    @abstractmethod
    def _left_words(self) -> str:
        """What stays of the edge where the cutter does not get, and why, in words."""

    def _levels(self, floor: float) -> list[float]:
        """The z of each pass."""
        return levels(self.top, floor, self.cutter.running.step_down)

    @property
    def rim(self) -> BaseGeometry:
        out = 1 if self.side == "inside" else -1
        wide = (self._edge_width, self._edge_width + RIM)
        near, far = (shapely.buffer(self._area, out * by, join_style="mitre") for by in wide)
        return shapely.symmetric_difference(near, far)

    @property
    def _moved(self) -> float:
        """How far the axis runs off the wall, outwards where it is positive."""
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
        passes = self._levels(self.floor(fixture))
        inside = self.side == "inside"
        found = rings.boundary_rings(centres, drawn, wood_outside=inside, direction=self.direction)
        for _, begun in rings_in_order(centres, found, cutter, fixture):
            builder.go_above(begun.start, top + CLEAR)
            end = entries.cut_ring(builder, begun, top, passes, "auto")
            builder.cut(rising_off(begun, end, builder.z, top + CLEAR))
        missed = shapely.difference(lay.boundary, shapely.buffer(centres.boundary, away + 3 * tolerance)).length
        notes = [f"{cutter} leaves {missed:.1f} mm {self._left_words}."]
        return builder.path(notes if missed > _WHISKER else ())

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        edge, area = self._centres(self._area, tolerance).boundary, self._area
        if self.side == "inside":
            area = shapely.difference(shapely.box(*shapely.buffer(area, _AROUND).bounds), area)
        return (CutAlong(line=edge, profile=self.cutter.profile, depth=self.depth, name=self.title, edge_of=area),)
