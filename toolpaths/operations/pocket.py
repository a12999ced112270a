"""Pocket: clear an area to a depth with one cutter or several, each finer one only where wood is left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from toolpaths.checks import between
from toolpaths.cutters import Cutter
from toolpaths.depth import Depth, checked_depth
from toolpaths.errors import DoesNotFit, InputError
from toolpaths.errors import Point as Place
from toolpaths.fixture import Fixture
from toolpaths.geometry import door, offset
from toolpaths.geometry.track import Track
from toolpaths.operations import clearing
from toolpaths.operations import entry as entries
from toolpaths.operations import ring as rounds
from toolpaths.operations.operation import (
    CLEAR,
    Operation,
    Site,
    Stage,
    check_side_cutting,
    check_wall,
    checked_cutter,
    checked_finish,
    checked_name,
    checked_top,
    floor_of,
    from_face,
    levels,
)
from toolpaths.operations.tight import left_note
from toolpaths.part import Feature, Recess
from toolpaths.path import PathBuilder, Toolpath

# Room between the cutter and standing wood where it goes down through air, mm.
_AIR = 0.1
# A link through the area longer than this many diameters is lifted over instead.
_LONGEST_LINK = 3.0
# From air into the wood at most so many diameters of slot.
_LONGEST_WAY_IN = 1.5


def pocket(
    shape: BaseGeometry,
    cutters: Cutter | Sequence[Cutter],
    *,
    depth: Depth,
    islands: BaseGeometry | Sequence[BaseGeometry] = (),
    cleared: BaseGeometry | Sequence[BaseGeometry] = (),
    direction: str = "conventional",
    entry: str = "auto",
    stepover: float = 0.4,
    finish: float = 0.0,
    top: float = 0.0,
    name: str = "",
) -> Operation:
    """Clear the area inside a shape, to `depth` below `top` or through().

    cutters : one, or several from coarse to fine; each finer one goes only where wood is left
    islands : areas left standing
    cleared : areas without wood to begin with, for instance openings cut from the other side
    stepover : share of the diameter (of the tip's flat) from loop to loop, up to 0.5, beyond which islands could stay
    finish : mm left at the walls by all, and taken by the finest in one last round at full depth
    direction : as for contour
    entry : "auto", "helix", "ramp", "zigzag" or "plunge"; auto goes down through air or a helix first
    Raises DoesNotFit where a part of the area cannot be entered, or a cutter fits nowhere.
    """
    area = door.area("shape", shape)
    keep = door.area("islands", islands) if _given(islands) else None
    cleared_area = door.area("cleared", cleared) if _given(cleared) else None
    listed = [cutters] if isinstance(cutters, Cutter) else list(cutters)
    tools = tuple(checked_cutter(cutter) for cutter in listed)
    if not tools or any(fine.diameter >= coarse.diameter for coarse, fine in zip(tools, tools[1:])):
        raise InputError("cutters must be listed from coarse to fine, each smaller than the one before it.")
    for cutter in tools:
        check_side_cutting(cutter)
        if cutter.profile.flat_radius == 0:
            raise InputError(f"{cutter} has no flat at its tip and leaves ridges on a floor; take a flat one.")
        entries.checked_entry(entry, cutter, entries.AREA_ENTRIES)
    rounds.checked_direction(direction)
    depth = checked_depth(depth)
    top = checked_top(top)
    between("stepover", stepover, 0.02, 0.5)
    checked_finish(finish, tools[-1])

    def stage(cutter: Cutter) -> Stage:
        finest = cutter is tools[-1]

        def make(site: Site) -> Toolpath:
            fixture, tolerance = site.fixture, site.tolerance
            floor = floor_of(depth, top, fixture)
            check_wall(cutter, top, floor)
            full = fixture.place(area if keep is None else shapely.difference(area, keep))
            if full.is_empty:
                raise DoesNotFit("The islands cover the whole pocket.", rounds.placed_point(area))
            room = offset.wall(full, -finish, tolerance)
            centres = offset.reach(room, cutter.radius, tolerance)
            _check_room(room, centres, cutter, finest=finest, tolerance=tolerance)
            open_area = shapely.Polygon() if cleared_area is None else fixture.place(cleared_area)
            clear = _Clearing(cutter, fixture, centres, top, entry, tolerance)
            above = top
            reached = offset.wall(centres, cutter.radius, tolerance)
            for layer in _layers(levels(top, floor, cutter.step_down), reached, open_area, site):
                clear.layer(layer, above, stepover * 2 * cutter.profile.flat_radius, direction == "climb")
                above = layer.passes[-1]
            if not clear.builder.moves and not (finest and finish):
                return clear.builder.path([f"{cutter} finds no wood left to take and is not used."])
            if not finest:
                return clear.builder.path()
            ends = centres
            if finish:
                ends = offset.reach(full, cutter.radius, tolerance)
                air = shapely.union(layer.air, reached)
                clear.walls(ends, direction, levels(top, floor, cutter.cutting_length), air)
            return clear.builder.path(left_note(full, ends, cutter, tolerance))

        return Stage(cutter, make)

    called = checked_name(name, "pocket")

    def meant(tolerance: float) -> tuple[Feature, ...]:
        room = area if keep is None else shapely.difference(area, keep)
        finest = tools[-1]
        foot = finest.radius - finest.profile.flat_radius
        return (Recess(area=room, depth=from_face(depth, top), corners=finest.radius, foot=foot, name=called),)

    return Operation(called, tuple(stage(cutter) for cutter in tools), meant, top)


def _given(areas: BaseGeometry | Sequence[BaseGeometry]) -> bool:
    return isinstance(areas, BaseGeometry) or len(areas) > 0


class _Layer(NamedTuple):
    """Passes at several heights over the same wood: `wood` to take, `air` where there is none above them."""

    passes: list[float]
    wood: BaseGeometry
    air: BaseGeometry


def _layers(passes: list[float], reached: BaseGeometry, open_area: BaseGeometry, site: Site) -> list[_Layer]:
    """The passes in groups that find the same wood, from the top down; `reached` is all that the cutter can take."""
    layers: list[_Layer] = []
    for z in passes:
        air = shapely.union(open_area, site.gone.down_to(z, reached))
        wood = clearing.standing(shapely.difference(reached, air), site.tolerance)
        if layers and clearing.standing(shapely.symmetric_difference(wood, layers[-1].wood), site.tolerance).is_empty:
            layers[-1].passes.append(z)
        else:
            layers.append(_Layer([z], wood, air))
    return layers


def _check_room(room: BaseGeometry, centres: BaseGeometry, cutter: Cutter, *, finest: bool, tolerance: float) -> None:
    """Every piece of the room must be entered by the finest cutter; a coarser one must fit somewhere."""
    if centres.is_empty:
        x, y = rounds.placed_point(room) if not room.is_empty else (0.0, 0.0)
        raise DoesNotFit(
            f"{cutter} fits nowhere in the pocket at ({x:.1f}, {y:.1f}); leave it out or take a smaller one."
        )
    if finest:
        for part in clearing.parts(room):
            if not part.intersects(centres):
                x, y = rounds.placed_point(part)
                raise DoesNotFit(
                    f"{cutter} does not fit into the pocket at ({x:.1f}, {y:.1f}); add a finer one.", (x, y)
                )


class _Clearing:
    """The motion of one cutter through the pieces of wood of a pocket."""

    def __init__(
        self, cutter: Cutter, fixture: Fixture, centres: BaseGeometry, top: float, entry: str, tolerance: float
    ) -> None:
        self.cutter, self.centres, self.top, self.entry = cutter, centres, top, entry
        self.tolerance = tolerance
        self._rooms: dict[Polygon, BaseGeometry] = {}
        self.builder = PathBuilder(cutter, fixture.safe_height)
        self.air: BaseGeometry = Polygon()

    def layer(self, layer: _Layer, above: float, step: float, climb: bool) -> None:
        """Clear the wood of some passes, each piece of it from `above` down."""
        self.air = shapely.intersection(shapely.buffer(layer.air, -self.cutter.radius - _AIR), self.centres)
        for wood in clearing.parts(layer.wood):
            self._piece(wood, layer.passes, above, step, climb)

    def _piece(self, wood: Polygon, passes: list[float], above: float, step: float, climb: bool) -> None:
        cuts = [
            cut
            for centre in clearing.parts(self.centres)
            if shapely.distance(centre, wood) < self.cutter.radius
            for cut in clearing.cuts(
                wood,
                centre,
                self.cutter.radius,
                self.cutter.profile.flat_radius,
                step,
                climb=climb,
                tolerance=self.tolerance,
            )
        ]
        for z in passes:
            for index, cut in enumerate(cuts):
                if index == 0 or not self._link(cut, z):
                    self._enter(cut, wood, above, z)
            above = z

    def walls(self, edge: BaseGeometry, direction: str, passes: list[float], air: BaseGeometry) -> None:
        """One round along every wall, the axis on `edge`, entered from the room that the passes left beside it.

        Raises DoesNotFit where the passes did not get in, so that the round would be a slot at full depth.
        """
        taken = shapely.difference(offset.zone(edge, self.cutter.radius, self.tolerance), air)
        thick = shapely.buffer(taken, -self.cutter.radius / 2)
        if not thick.is_empty:
            at = rounds.placed_point(thick)
            raise DoesNotFit(
                f"{self.cutter} leaving wood for the last round does not get through near ({at[0]:.1f}, {at[1]:.1f}); "
                "take finish=0, or a finer cutter.",
                at,
            )
        for track in rounds.rings(edge, wood_outside=True, direction=direction, tolerance=self.tolerance):
            start = nearest_points(self.centres, Point(track.start))[0]
            ring = rounds.begin_near(track, (start.x, start.y))
            self.builder.go_above((start.x, start.y), self.top + CLEAR)
            for z in passes:
                self.builder.straight((start.x, start.y), self.builder.z)
                self.builder.plunge(z)
                self.builder.straight(ring.start, z)
                self.builder.follow(ring, [(0.0, z), (ring.length, z)])

    def _covers(self, centres: Polygon, a: Place, b: Place) -> bool:
        """Whether the axis may go straight from a to b; fitted arcs lie within the tolerance of the area."""
        if centres not in self._rooms:
            room = shapely.buffer(centres, self.tolerance, quad_segs=2)
            shapely.prepare(room)
            self._rooms[centres] = room
        way = shapely.LineString([a, b]) if a != b else Point(a)
        return bool(shapely.covers(self._rooms[centres], way))

    def _link(self, cut: clearing.Cut, z: float) -> bool:
        """Go to the next cut without lifting, if it is near and the way leads through the area."""
        builder = self.builder
        here = (builder.x, builder.y)
        track = rounds.begun(cut.track, here)
        far = rounds.distance(here, track.start)
        if (
            builder.z != z
            or far > _LONGEST_LINK * self.cutter.diameter
            or not self._covers(cut.centres, here, track.start)
        ):
            return False
        builder.straight(track.start, z)
        builder.follow(track, [(0.0, z), (track.length, z)])
        return True

    def _enter(self, cut: clearing.Cut, wood: Polygon, above: float, z: float) -> None:
        """Down to a cut from the level above it, and along it."""
        track, entry, cutter = cut.track, self.entry, self.cutter
        if entry == "auto" and self._enter_through_air(cut, above, z):
            return
        found = self._helix(cut) if entry in ("auto", "helix") else None
        if found is not None:
            helix, on = found
            self._go(cut, helix.start, above)
            self.builder.follow(helix, entries.helix_heights(cutter, helix, above, z))
            self.builder.straight(on.start, z)
            self.builder.follow(on, [(0.0, z), (on.length, z)])
            return
        if entry == "helix":
            raise DoesNotFit(f"A helix finds no room for {cutter} in the pocket; use entry='ramp'.", track.start)
        track = rounds.begin_on_longest(track) if track.closed else track
        self._go(cut, track.start, above)
        enter = entries.cut_ring if track.closed else entries.cut_line
        enter(self.builder, track, above, [z], entry)

    def _enter_through_air(self, cut: clearing.Cut, above: float, z: float) -> bool:
        """Straight down beside the wood, where an earlier cut left room, then sideways into it."""
        if self.air.is_empty:
            return False
        near = nearest_points(self.air, Point(cut.track.start))[0]
        start = (near.x, near.y)
        track = rounds.begun(cut.track, start)
        far = rounds.distance(start, track.start)
        if far > _LONGEST_WAY_IN * self.cutter.diameter or not self._covers(cut.centres, start, track.start):
            return False
        self._go(cut, start, above)
        self.builder.plunge(z)
        self.builder.straight(track.start, z)
        self.builder.follow(track, [(0.0, z), (track.length, z)])
        return True

    def _helix(self, cut: clearing.Cut) -> tuple[Track, Track] | None:
        """A helix in the widest place inside the cut, and the track to go on along; None if there is no room,
        no near way, or no open way from one to the other."""
        circle = shapely.maximum_inscribed_circle(cut.inside, self.cutter.radius / 20)
        middle = Point(circle.coords[0])
        helix = entries.helix_track(
            self.cutter, (middle.x, middle.y), shapely.distance(middle, cut.centres.boundary), clockwise=False
        )
        if helix is None:
            return None
        on = rounds.begun(cut.track, helix.start)
        far = rounds.distance(helix.start, on.start)
        if far > _LONGEST_LINK * self.cutter.diameter or not self._covers(cut.centres, helix.start, on.start):
            return None
        return helix, on

    def _go(self, cut: clearing.Cut, place: Place, above: float) -> None:
        """To a place on the level above: along the cleared level if that way is open, else over the top."""
        builder = self.builder
        open_way = builder.moves and builder.z == above and above < self.top
        if open_way and self._covers(cut.centres, (builder.x, builder.y), place):
            builder.straight(place, above)
            return
        builder.go_above(place, self.top + CLEAR)
        builder.plunge(above)
