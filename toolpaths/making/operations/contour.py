"""Contour: a cutter round a shape, outside it, inside it, or on its line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Any, NamedTuple, TypedDict

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, instance, let_in, one_of, optional, point
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.base.long_outlines import buffered
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, Through, z_of
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.tab_ground import tab_ground
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries, rings, tabs_or_skin
from toolpaths.making.operations.entries import LineEntry
from toolpaths.making.operations.leads import Leads
from toolpaths.making.operations.operation import (
    OnArea,
    OneCutter,
    Site,
    check_finish,
    check_not_hollow,
    check_side_cutting,
    check_wall,
    levels,
)
from toolpaths.making.operations.out_of_reach import left_notes, lost_near
from toolpaths.making.operations.ring_passes import (
    ContourRing,
    Descent,
    TabsWanted,
    cut_contour_ring,
    with_tabs_that_hold,
)
from toolpaths.making.operations.rings import ContourSide, Direction
from toolpaths.making.operations.visiting_order import rings_in_order
from toolpaths.shapes import door, offset
from toolpaths.shapes.drawn_area import DrawnArea, drawn_area
from toolpaths.shapes.placement import Placement
from toolpaths.shapes.track import Track

# Room between the cutter and what stands on the board, kept by the arcs off the wall, mm (common practice, no source).
_CLEARANCE = 1.0
# How far off the wall a cutter goes straight down, mm, and the most of it as a share of its radius.
_OFF, _OFF_SHARE = 1.0, 1 / 3


class _TabsMeant(TypedDict):
    """What a feature says of its tabs."""

    tabs: int
    tab_length: float
    tab_width: float
    tab_height: float


class _LastPass(NamedTuple):
    """Where the last pass round an area goes.

    wall : the area whose boundary its axis follows; final : the rings of that, as they are cut
    """

    drawn: DrawnArea
    wall: BaseGeometry
    final: list[Track]


@dataclass(frozen=True, kw_only=True, repr=False)
class Contour(OneCutter, OnArea):
    """A cut round a shape; made by contour()."""

    side: ContourSide = "outside"
    direction: Direction = "conventional"
    entry: LineEntry = "auto"
    tabs: Tabs | None = None
    skin: float = 0.0
    finish: float = 0.0
    start: Point | None = None

    def _check(self) -> None:
        super()._check()
        door.check_none_inside("shape", self.shape)
        let_in(
            self, side=partial(one_of, choices=rings.CONTOUR_SIDES),
            direction=partial(one_of, choices=rings.DIRECTIONS),
            tabs=partial(optional, door=partial(instance, kind=Tabs)), skin=distance, finish=distance,
            start=partial(optional, door=point),
        )  # fmt: skip
        check_side_cutting(self.cutter)
        if self.side != "on":
            check_not_hollow(self.cutter)
        entries.check_entry(self.entry, self.cutter)
        tabs_or_skin.check_skin(self.skin, self.depth, self.side, self.tabs)
        check_finish(self.finish, self.cutter)

    @property
    def _usual_name(self) -> str:
        return f"contour {self.side}"

    @property
    def has_tabs(self) -> bool:
        return self.tabs is not None

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        tabs = None if self.tabs is None else replace(self.tabs, points=place.points(self.tabs.points))
        start = None if self.start is None else place.point(self.start)
        return super()._drawn_at(place) | {"tabs": tabs, "start": start}

    def depths(self, fixture: Fixture) -> tuple[float, float]:
        return float(self.from_depth), -z_of(Through(-self.skin) if self.skin else self.depth, fixture.underside_z)

    def floor(self, fixture: Fixture) -> float:
        return tabs_or_skin.floor_over(self.skin, self.top, fixture) if self.skin else super().floor(fixture)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture, tolerance, top, floor = site.fixture, site.tolerance, self.top, self.floor(site.fixture)
        if self.side != "on":
            check_wall(cutter, top, floor)
        last = self._last_pass(fixture.place(self._area), tolerance)
        area, wall = last.drawn.area, last.wall
        descent = Descent(cutter, top, tuple(levels(top, floor, cutter.running.step_down)), self.entry)
        found = self._rings(last, fixture)
        wanted, notes = None, tabs_or_skin.skin_note(self.skin)
        if self.tabs is not None:
            wanted = self._tabs_wanted(self.tabs, area, floor, site, found[0].rough.start)
            for ring in found:
                tabs_or_skin.check_wood_for_tabs(self.tabs, wanted.top, ring.rough, wanted.ground, site.removed)
            held = [with_tabs_that_hold(ring, cutter, wanted) for ring in found]
            found, notes = [ring for ring, _ in held], tuple(note for _, moved in held for note in moved)
        # The passes with an allowance leave that much room beside the last one.
        off = self.finish or min(_OFF, cutter.radius * _OFF_SHARE)
        room = self._room_at_wall(wall, fixture, tolerance)
        leads = Leads(cutter.radius, self.direction == "climb", room).starting_off(off)
        grounds = self._grounds(area, floor, site)
        builder = PathBuilder(cutter, fixture.safe_z)
        for ring in found:
            cut_contour_ring(builder, ring, descent, leads, grounds, wanted)
        return builder.path((*notes, *self._left(area, wall, tolerance)))

    def _tabs_wanted(self, tabs: Tabs, area: BaseGeometry, floor: float, site: Site, place: Point) -> TabsWanted:
        """place : where tabs that cannot be are said to be refused"""
        fixture, diameter = site.fixture, self.cutter.diameter
        tab_top = tabs_or_skin.top_of_tabs(tabs, self.top, floor, fixture, place)
        # Only beside the cut does it matter what is removed, not all over the part.
        removed = site.removed.down_to(tab_top, shapely.buffer(area.boundary, tabs.width + diameter + self.finish))
        part = area if self.side == "outside" else Polygon()
        return TabsWanted(tabs, tab_top, fixture.grain_deg, tab_ground(part, removed, diameter, tabs.width))

    def _rings(self, last: _LastPass, fixture: Fixture) -> list[ContourRing]:
        """What is cut round, in order."""
        final, centres, rough = last.final, last.wall, last.final
        if self.finish:
            centres, rough = self._with_allowance(last)
            if len(rough) != len(final):
                raise DoesNotFitError(
                    f"finish={self.finish:g} leaves no room for the passes before the last; take less."
                )
        at = None if self.start is None else fixture.place(shapely.Point(self.start))
        on_end_grain = self.tabs is not None and not self.tabs.points and fixture.grain_deg is not None
        if at is not None:
            rough = [rings.begin_near(track, (at.x, at.y)) for track in rough]
        elif on_end_grain:
            rough = [rings.begin_on_end_grain(track, fixture.grain_deg or 0.0) for track in rough]
        route = rings_in_order(centres, rough, self.cutter, fixture, anywhere=at is None and not on_end_grain)
        given = tabs_or_skin.given_places([track for _, track in route], self.tabs, self.cutter.diameter, fixture)
        return [
            ContourRing(track, final[number] if self.finish else None, places, movable=at is None)
            for (number, track), places in zip(route, given, strict=True)
        ]

    def _with_allowance(self, last: _LastPass) -> tuple[BaseGeometry, list[Track]]:
        """The area whose boundary the passes before the last follow, and its rings."""
        centres = self._centres(last.drawn.area, self.finish, last.drawn.tolerance)
        return centres, self._boundary(centres, last.drawn)

    def _last_pass(self, area: BaseGeometry, tolerance: float) -> _LastPass:
        """The last pass round an area, worked out once for the area as it is seen from the front."""
        if area is self._area and tolerance in self._on_front:
            return self._on_front[tolerance]
        radius = self.cutter.radius
        drawn = drawn_area(area, {"outside": radius, "inside": -radius, "on": 0.0}[self.side], tolerance)
        wall = self._centres(drawn.area, 0.0, tolerance)
        last = _LastPass(drawn, wall, self._boundary(wall, drawn))
        if area is self._area:
            self._on_front[tolerance] = last
        return last

    @cached_property
    def _on_front(self) -> dict[float, _LastPass]:
        """The last pass as seen from the front, by tolerance."""
        return {}

    def _boundary(self, centres: BaseGeometry, drawn: DrawnArea) -> list[Track]:
        """The rings of an area in the direction in which they are cut."""
        return rings.boundary_rings(centres, drawn, wood_outside=self.side == "inside", direction=self.direction)

    def _grounds(self, area: BaseGeometry, floor: float, site: Site) -> list[BaseGeometry]:
        """Where the cutter may go down through air, the roomiest first."""
        if self.entry != "auto" or self.start is not None:
            return []
        bare = site.removed.cut_down_to(floor, buffered(area, 2 * self.cutter.radius))
        return entries.down_through_air(self.cutter, bare, site.tolerance)

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        tabs = self._tabs_meant(tolerance)
        if isinstance(self.depth, Through) and self.side != "on":
            return (Parting(
                area=self._area, waste=self.side, skin=self.skin, corners=self.cutter.radius, name=self.title, **tabs,
            ),)  # fmt: skip
        line, waste = self._centres(self._area, 0.0, tolerance).boundary, self._waste(self._area)
        profile = self.cutter.profile
        return (CutAlong(line=line, profile=profile, depth=self.depth, name=self.title, waste=waste, **tabs),)

    def _tabs_meant(self, tolerance: float) -> _TabsMeant:
        """What may hold across the cut."""
        tabs = self.tabs
        if tabs is None:
            return {"tabs": 0, "tab_length": 1.0, "tab_width": 0.0, "tab_height": 0.0}
        tracks = []
        if not tabs.points:
            last = self._last_pass(self._area, tolerance)
            tracks = self._with_allowance(last)[1] if self.finish else last.final
        return {
            "tabs": len(tabs.points) or sum(tabs.number_on(track) for track in tracks),
            "tab_length": tabs_or_skin.longest_on_wall(tabs, self.cutter.diameter, self.side),
            "tab_width": tabs.width,
            "tab_height": tabs.height,
        }

    def _waste(self, area: BaseGeometry) -> BaseGeometry:
        """Where it does not matter how wide the cut is: there the cutter goes down, comes on to the wall and leaves it,
        and passes before the last are farther off by the finish. None of that is as much as its radius."""
        reach = 3 * self.cutter.radius
        if self.side == "outside":
            return shapely.difference(buffered(area, reach, quad_segs=8), area)
        return shapely.difference(area, buffered(area, -reach, quad_segs=8)) if self.side == "inside" else Polygon()

    def _room_at_wall(self, edge: BaseGeometry, fixture: Fixture, tolerance: float) -> BaseGeometry:
        """Where the axis may leave the boundary of `edge` for the waste; nowhere, if it runs on the shape's line."""
        if self.side == "on":
            return Polygon()
        if self.side == "inside":
            waste = shapely.buffer(edge, tolerance, quad_segs=2)
        else:
            board = shapely.buffer(fixture.board.outline, fixture.overhang - self.cutter.radius, join_style="mitre")
            waste = shapely.difference(board, shapely.buffer(edge, -tolerance, quad_segs=2))
        stands = shapely.union_all([thing.outline for thing in fixture.standing() if thing.kind != "grip"])
        return shapely.difference(waste, shapely.buffer(stands, self.cutter.radius + _CLEARANCE))

    def _centres(self, area: BaseGeometry, extra: float, tolerance: float) -> BaseGeometry:
        """The area whose boundary the cutter's axis follows."""
        if self.side == "on":
            return area
        away = self.cutter.radius + extra
        centres = (offset.wall if self.side == "outside" else offset.reach)(area, away, tolerance, slim=False)
        if at := lost_near(area, centres, away, self.side, tolerance):
            raise DoesNotFitError(
                f"{self.cutter} does not get round the shape {self.side} near ({at[0]:.1f}, {at[1]:.1f}): the gap "
                f"there is narrower than {2 * away:g} mm. Use a smaller cutter, or pocket() for what it does reach.",
                at,
            )
        return centres

    def _left(self, area: BaseGeometry, wall: BaseGeometry, tolerance: float) -> tuple[str, ...]:
        """What the round cutter leaves in the corners of the shape, as notes."""
        if self.side == "on":
            return ()
        return left_notes(area, wall, self.side, self.cutter, tolerance)


def contour(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    depth: Depth,
    from_depth: float = 0.0,
    side: ContourSide = "outside",
    direction: Direction = "conventional",
    entry: LineEntry = "auto",
    tabs: Tabs | None = None,
    skin: float = 0.0,
    finish: float = 0.0,
    start: Point | None = None,
    name: str = "",
) -> Contour:
    """Cut round every polygon of a shape along a short way, what lies inside another first: holes before the outside.

    depth, from_depth, name : as for every operation; depth may be through()
    side : "outside" keeps the shape, "inside" opens it, "on" runs on its line
    direction : "climb" or "conventional", for a spindle turning clockwise, on the wood that stays
    entry : "auto" through air where earlier work left room, unless `start` is given, else a ramp, or straight down
        where the path is too short for one; "plunge" straight down, "ramp" along the path, "zigzag" back and forth on
        its start
    tabs : short bridges that hold the part; or
    skin : mm of wood left over the whole cut through the board, from its underside, in place of tabs. 0.3 to 2 mm:
        thinner, a board that is off by some tenths is cut through; thicker, no knife gets through it (common
        practice, no source)
    finish : mm of wood left by all passes and taken by one last round at full depth
    start : where the cut begins, (x, y) seen from the front; unless given on a long run, or on end grain
        where tabs are to find their places themselves, or wherever it goes down through air

    >>> from toolpaths import Cutter, Tabs, contour, flat, rectangle, through
    >>> cutter = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> contour(rectangle(80, 60, (100, 70)), cutter, depth=through(0.3), tabs=Tabs(count=4, width=8, height=4))
    <contour outside: T1 flat 6, 0 to through and 0.3 deep>

    Raises InputError for numbers and words that cannot be used, ShapeError for a polygon of the shape wholly inside
    another, and in the setup DoesNotFitError where the cutter does not get round a part of the shape.
    """
    return Contour(
        shape=door.one_geometry("shape", shape), cutter=cutter, depth=depth, from_depth=from_depth, side=side,
        direction=direction, entry=entry, tabs=tabs, skin=skin, finish=finish, start=start, name=name,
    )  # fmt: skip
