"""Groove: a cutter with its axis on a line, open or closed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, label_or_empty, length, let_in, one_of
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.making.motion.route import ORDERS, Order
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries
from toolpaths.making.operations.entries import LineEntry
from toolpaths.making.operations.leads import rising_off
from toolpaths.making.operations.operation import CLEAR, OneCutter, Site, check_side_cutting, checked_cutter, levels
from toolpaths.making.operations.pocket import Pocket, pocket
from toolpaths.making.operations.rings import DIRECTIONS, Direction
from toolpaths.making.operations.visiting_order import lines_in_order
from toolpaths.shapes import door
from toolpaths.shapes.drawn_curve import fitted
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.placement import Placement
from toolpaths.shapes.round_shapes import slot_along
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE


@dataclass(frozen=True, kw_only=True, repr=False)
class Groove(OneCutter):
    """A cut along lines; made by groove()."""

    line: BaseGeometry
    direction: Direction = "conventional"
    entry: LineEntry = "auto"
    order: Order = "short"

    def _check(self) -> None:
        let_in(
            self,
            line=door.as_line,
            direction=partial(one_of, choices=DIRECTIONS),
            order=partial(one_of, choices=ORDERS),
        )
        door.lines("line", self.line)
        check_side_cutting(self.cutter)
        entries.check_entry(self.entry, self.cutter)

    @property
    def drawn(self) -> BaseGeometry:
        return self.line

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        return {"line": place.shape(self.line)}

    @property
    def _usual_name(self) -> str:
        return "groove"

    @cached_property
    def _drawn(self) -> list[tuple[Floats, bool]]:
        return door.lines("line", self.line)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture, tolerance, top = site.fixture, site.tolerance, self.top
        passes = levels(top, self.floor(fixture), cutter.running.step_down)
        builder = PathBuilder(cutter, fixture.safe_z)
        tracks = []
        for drawn, closed in self._drawn:
            points = fixture.seen_from_front(drawn)
            if closed:
                # Wood inside kept on the right means clockwise: see boundary_rings().
                clockwise = self.direction == "climb"
                if shapely.is_ccw(shapely.linearrings(points)) == clockwise:
                    points = points[::-1]
            tracks.append(fitted(points, closed, tolerance))
        for track in lines_in_order(tracks, len(passes), self.order, cutter, fixture):
            builder.go_above(track.start, top + CLEAR)
            if track.closed:
                end = entries.cut_ring(builder, track, top, passes, self.entry)
                builder.cut(rising_off(track, end, builder.z, top + CLEAR))
            else:
                entries.cut_line(builder, track, top, passes, self.entry)
        return builder.path()

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        lines = [shapely.LineString([*points, points[0]] if closed else points) for points, closed in self._drawn]
        line = shapely.MultiLineString(lines)
        return (CutAlong(line=line, profile=self.cutter.profile, depth=self.depth, name=self.title),)


def groove(
    line: BaseGeometry | Outline | Sequence[Any],
    cutter: Cutter,
    *,
    depth: Depth,
    width: float | None = None,
    from_depth: float = 0.0,
    direction: Direction = "conventional",
    entry: LineEntry = "auto",
    order: Order = "short",
    name: str = "",
) -> Groove | Pocket:
    """Cut along each line, or round each polygon, the tip at `depth`.

    line : shapely lines or areas, an Outline, or points (x, y) of one line
    width : mm, of a groove wider than the cutter, its ends round: it is cleared as a pocket with upright walls, both of
        them in one direction; as wide as the cutter unless given
    direction : round closed lines, "climb" or "conventional" on the wood inside them; an open
        line is cut forth and back on successive passes
    order : visit the lines along a "short" way, open ones from either end; or "as given", each as it is drawn
    depth, from_depth, name : as for every operation

    >>> from toolpaths import Cutter, ball, groove
    >>> groove([(30, 70), (170, 70)], Cutter(3, ball(12), feed_mm_min=1500, spindle_rpm=16000), depth=3)
    <groove: T3 ball 12, 0 to 3 deep>

    Raises ShapeError for a line that is none, InputError for numbers and words that cannot be used, DoesNotFitError for
    a width below the cutter's.
    """
    if width is not None and length("width", width) != checked_cutter("cutter", cutter).diameter:
        if width < cutter.diameter:
            raise DoesNotFitError(
                f"width={width:g} is less than {cutter} is wide; {cutter.diameter:g} is the least, or take a finer one."
            )
        if one_of("order", order, ORDERS) != "short":
            raise InputError(
                f"order={order!r}: a groove wider than its cutter is cleared as a pocket, in an own order."
            )
        area = slot_along(line, width, tolerance=DEFAULT_TOLERANCE / 10)
        name = label_or_empty("name", name) or "groove"
        return pocket(area, cutter, depth=depth, from_depth=from_depth, direction=direction, entry=entry, name=name)
    return Groove(
        line=door.as_line("line", line), cutter=cutter, depth=depth, from_depth=from_depth, direction=direction,
        entry=entry, order=order, name=name,
    )  # fmt: skip
