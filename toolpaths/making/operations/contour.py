"""Contour: a cutter round a shape, outside it, inside it, or on its line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, NamedTuple

import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import one_of, point
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.base.errors import Point as Place
from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, Through, z_of
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.way_down import fall
from toolpaths.making.motion.tab_heights import raise_over
from toolpaths.making.motion.tabs import Tabs, check_apart, places_on
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entry as entries
from toolpaths.making.operations import holding, visit
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations.entry import LineEntry
from toolpaths.making.operations.leads import Leads, rise
from toolpaths.making.operations.operation import (
    AIR,
    CLEAR,
    Operation,
    Site,
    check_side_cutting,
    check_wall,
    checked_finish,
    levels,
)
from toolpaths.making.operations.ring import Direction
from toolpaths.making.operations.tight import left_note, lost_near
from toolpaths.shapes import door, offset
from toolpaths.shapes.track import Track

# Room between the cutter and what stands on the board, kept by the arcs off the wall, mm (common practice, no source).
_CLEARANCE = 1.0
# How far off the wall a cutter goes straight down, mm, and the most of it as a share of its radius.
_OFF, _OFF_SHARE = 1.0, 1 / 3
# How far into ground where it may go down, mm: more than a ring of chords wavers.
_INTO = 0.02
Side = Literal["outside", "inside", "on"]
SIDES: tuple[Side, ...] = ("outside", "inside", "on")


@dataclass(frozen=True, kw_only=True, repr=False)
class Contour(Operation):
    """A cut round a shape; made by contour()."""

    shape: BaseGeometry
    cutter: Cutter
    side: Side = "outside"
    direction: Direction = "conventional"
    entry: LineEntry = "auto"
    tabs: Tabs | None = None
    skin: float = 0.0
    finish: float = 0.0
    start: Place | None = None

    def _check(self) -> None:
        door.area("shape", self.shape)
        one_of("side", self.side, SIDES)
        rounds.checked_direction(self.direction)
        check_side_cutting(self.cutter)
        entries.checked_entry(self.entry, self.cutter)
        if self.tabs is not None and not isinstance(self.tabs, Tabs):
            raise InputError(f"tabs={self.tabs!r} must be Tabs(count=..., width=..., height=...).")
        holding.checked_skin(self.skin, self.depth, self.side, self.tabs)
        checked_finish(self.finish, self.cutter)
        if self.start is not None:
            object.__setattr__(self, "start", point("start", self.start))

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return (self.cutter,)

    @property
    def _usual_name(self) -> str:
        return f"contour {self.side}"

    @property
    def has_tabs(self) -> bool:
        return self.tabs is not None

    @cached_property
    def _area(self) -> BaseGeometry:
        return door.area("shape", self.shape)

    def depths(self, board: Board) -> tuple[float, float]:
        return float(self.from_depth), -z_of(Through(-self.skin) if self.skin else self.depth, board)

    def floor(self, fixture: Fixture) -> float:
        return holding.floor_over(self.skin, self.top, fixture) if self.skin else super().floor(fixture)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture, tolerance = site.fixture, site.tolerance
        area, cutter, side, direction = self._area, self.cutter, self.side, self.direction
        tabs, skin, finish, top = self.tabs, self.skin, self.finish, self.top
        lay = fixture.place(area)
        at = None if self.start is None else fixture.place(Point(self.start))
        floor = self.floor(fixture)
        if side != "on":
            check_wall(cutter, top, floor)
        passes = levels(top, floor, cutter.running.step_down)
        wood_outside = side == "inside"

        def begun(track: Track) -> Track:
            if at is not None:
                return rounds.begin_near(track, (at.x, at.y))
            return rounds.begin_on_end_grain(track, fixture.grain_deg or 0.0)

        def edge(extra: float) -> tuple[BaseGeometry, list[Track]]:
            centres = _centres(lay, cutter, side, extra, tolerance)
            return centres, rounds.rings(centres, wood_outside=wood_outside, direction=direction, tolerance=tolerance)

        wall, final = edge(0.0)
        centres = wall
        if finish:
            centres, rough = edge(finish)
            if len(rough) != len(final):
                raise DoesNotFitError(f"finish={finish:g} leaves no room for the passes before the last; take less.")
        else:
            rough = final
        on_end_grain = tabs is not None and not tabs.points and fixture.grain_deg is not None
        route = visit.rings(centres, rough, cutter, fixture, begun if at is not None or on_end_grain else None)
        rough, final = [track for _, track in route], [final[number] for number, _ in route]
        builder = PathBuilder(cutter, fixture.safe_z)
        given = holding.given_places(rough, tabs, cutter.diameter, fixture)
        room = _room_beside(wall, side, cutter, fixture, tolerance)
        # The passes with an allowance leave that much room beside the last one.
        leads = Leads(cutter, finish or min(_OFF, cutter.radius * _OFF_SHARE), direction == "climb", room)
        grounds = []
        if self.entry == "auto" and at is None:
            # With some room to spare, or else in a hole or slot of the cutter's own diameter.
            bare = site.removed.cut_down_to(floor, shapely.buffer(lay, 2 * cutter.radius))
            grounds = [shapely.buffer(bare, -cutter.radius + spare) for spare in (-AIR, 2 * tolerance)]
        shared = _Shared(builder, top, passes, self.entry, tabs, fixture, leads, grounds, self.start is None)
        paths = [_around(shared, r, f if finish else None, p) for r, f, p in zip(rough, final, given, strict=True)]
        moves = tuple(move for path in paths for move in path.moves)
        return Toolpath(cutter, moves, (*holding.skin_note(skin), *_left(lay, wall, cutter, side, tolerance)))

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        area, cutter, side, tabs = self._area, self.cutter, self.side, self.tabs
        if isinstance(self.depth, Through) and side != "on":
            count = 0 if tabs is None else len(tabs.points) or tabs.count * len(shapely.get_rings(area))
            if tabs is not None and tabs.spacing:
                edge = _centres(area, cutter, side, self.finish, tolerance)
                ways = rounds.rings(edge, wood_outside=side == "inside", direction=self.direction, tolerance=tolerance)
                count = sum(tabs.number_on(way) for way in ways)
            long = 1.0 if tabs is None else holding.longest_on_wall(tabs, cutter.diameter, side)
            return (
                Parting(
                    area=area,
                    waste=side,
                    tabs=count,
                    tab_length=long,
                    skin=self.skin,
                    corners=cutter.radius,
                    name=self.title,
                ),
            )
        edge = _centres(area, cutter, side, 0.0, tolerance).boundary
        waste = _waste(area, cutter, side)
        return (CutAlong(line=edge, profile=cutter.profile, depth=self.depth, name=self.title, waste=waste),)


def contour(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    depth: Depth,
    from_depth: float = 0.0,
    side: Side = "outside",
    direction: Direction = "conventional",
    entry: LineEntry = "auto",
    tabs: Tabs | None = None,
    skin: float = 0.0,
    finish: float = 0.0,
    start: Place | None = None,
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

    Raises InputError for numbers and words that cannot be used, and in the setup DoesNotFitError where the cutter does
    not get round a part of the shape.
    """
    return Contour(
        shape=door.one_geometry("shape", shape), cutter=cutter, depth=depth, from_depth=from_depth, side=side,
        direction=direction, entry=entry, tabs=tabs, skin=skin, finish=finish, start=start, name=name,
    )  # fmt: skip


class _Shared(NamedTuple):
    """What the rings of a contour have in common.

    grounds : where the cutter may go down through air, the roomiest first
    free : whether a path may begin elsewhere, to go down where no tab is
    """

    builder: PathBuilder
    top: float
    passes: list[float]
    entry: str
    tabs: Tabs | None
    fixture: Fixture
    leads: Leads
    grounds: list[BaseGeometry]
    free: bool


def _around(shared: _Shared, rough: Track, final: Track | None, places: list[Place]) -> Toolpath:
    """All passes round one ring, a last one round another if it is given, and its tabs."""
    builder, top, passes, entry, tabs, fixture, leads, grounds, free = shared
    cutter, floor = builder.cutter, passes[-1]
    way = entries.ring_entry(cutter, rough, top, passes, entry)
    # Straight down into wood beside the wall only without tabs: one near there would come out wider.
    straight = _Down(leads, *leads.begun(rough)) if way == "plunge" and tabs is None else None
    down = next((found for ground in grounds if (found := _through_air(rough, ground, leads))), straight)
    ring, slopes = (down.ring, False) if down else (rough, way != "plunge")
    if tabs is not None:
        run = max(a - b for a, b in zip([top, *passes], passes)) / fall(cutter) if slopes else 0.0
        way_in = min(run, ring.length) + cutter.diameter
        tab_top = holding.top_of_tabs(tabs, top, floor, fixture, ring.start)
        if not tabs.points:
            places = places_on(ring, tabs, cutter.diameter, tab_top - floor, way_in, fixture.grain_deg)
        else:
            check_apart(ring, places, tabs, cutter.diameter, tab_top - floor)
            if free and not down:
                ring = rounds.begin_clear(ring, places, tabs.half_zone(cutter.diameter, tab_top - floor), way_in)
    builder.moves = []
    if down:
        builder.go_above(down.place, top + CLEAR)
        for z in passes:
            builder.straight(down.place, builder.z)
            builder.plunge(z)
            down.leads.round(builder, down.ring, z)
    else:
        builder.go_above(ring.start, top + CLEAR)
        end = entries.cut_ring(builder, ring, top, passes, way)
        if final is None:
            rise(builder, ring, end, top + CLEAR)
    if final is not None:
        begun, beside = leads.begun(rounds.begin_near(final, (builder.x, builder.y)))
        builder.straight(beside, floor)
        leads.round(builder, begun, floor)
    path = builder.path()
    return path if tabs is None else raise_over(path, places, tabs, tab_top, (ring, final or ring))


class _Down(NamedTuple):
    """A place to go straight down, and the ring begun where an arc leads on to it from there."""

    leads: Leads
    ring: Track
    place: Place


def _through_air(ring: Track, ground: BaseGeometry, leads: Leads) -> _Down | None:
    """Down where earlier work left room for the cutter, on the ring or a little off it; None where it did not."""
    radius = leads.cutter.radius
    away = float(shapely.distance(rounds.line(ring), ground))
    if ground.is_empty or away > radius / 2:
        return None
    place = rounds.place_within(ring, shapely.buffer(ground, away + _INTO))
    if place is None:
        return None
    ring = rounds.begin_near(ring, place)
    if away == 0:
        return _Down(replace(leads, off=0.0), ring, ring.start)
    near = replace(leads, off=away + _INTO)
    begun, beside = near.begun(ring.starting_at(near.ahead))
    return _Down(near, begun, beside) if shapely.distance(ground, Point(beside)) < _INTO else None


def _waste(area: BaseGeometry, cutter: Cutter, side: str) -> BaseGeometry:
    """Where it does not matter how wide the cut is: there the cutter goes down, comes on to the wall and leaves it, and
    passes before the last are farther off by the finish. None of that is as much as its radius."""
    reach = 3 * cutter.radius
    if side == "outside":
        return shapely.difference(shapely.buffer(area, reach), area)
    return shapely.difference(area, shapely.buffer(area, -reach)) if side == "inside" else Polygon()


def _room_beside(edge: BaseGeometry, side: str, cutter: Cutter, fixture: Fixture, tolerance: float) -> BaseGeometry:
    """Where the axis may leave the boundary of `edge` for the waste; nowhere, if it runs on the line of the shape."""
    if side == "on":
        return Polygon()
    if side == "inside":
        waste = shapely.buffer(edge, tolerance, quad_segs=2)
    else:
        board = shapely.buffer(fixture.board.outline, fixture.overhang - cutter.radius, join_style="mitre")
        waste = shapely.difference(board, shapely.buffer(edge, -tolerance, quad_segs=2))
    stands = shapely.union_all([thing.outline for thing in fixture.standing() if thing.kind != "grip"])
    return shapely.difference(waste, shapely.buffer(stands, cutter.radius + _CLEARANCE))


def _centres(area: BaseGeometry, cutter: Cutter, side: str, extra: float, tolerance: float) -> BaseGeometry:
    """The area whose boundary the cutter's axis follows."""
    if side == "on":
        return area
    away = cutter.radius + extra
    centres = (offset.wall if side == "outside" else offset.reach)(area, away, tolerance)
    if at := lost_near(area, centres, away, side, tolerance):
        raise DoesNotFitError(
            f"{cutter} does not get round the shape {side} near ({at[0]:.1f}, {at[1]:.1f}): the gap there is narrower "
            f"than {2 * away:g} mm. Use a smaller cutter, or pocket() for what it does reach.",
            at,
        )
    return centres


def _left(area: BaseGeometry, wall: BaseGeometry, cutter: Cutter, side: str, tolerance: float) -> tuple[str, ...]:
    """What the round cutter leaves in the corners of the shape, as a note."""
    if side == "on":
        return ()
    if side == "inside":
        return left_note(area, wall, cutter, tolerance)
    room = shapely.difference(offset.zone(area, 4 * cutter.radius, tolerance), area)
    return left_note(room, offset.zone(room, -cutter.radius, tolerance), cutter, tolerance)
