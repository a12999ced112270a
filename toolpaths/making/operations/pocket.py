"""Pocket: clear an area to a depth with one cutter or several, each finer one only where wood is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import shapely
from shapely import GeometryCollection
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, not_negative, one_of
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.way_down import fall
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import clearing
from toolpaths.making.operations import entry as entries
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations.choose import PATTERNS, Manner, Pattern, plan
from toolpaths.making.operations.clearing import Region
from toolpaths.making.operations.descent import descend
from toolpaths.making.operations.entry import AreaEntry
from toolpaths.making.operations.limited.narrow import roomy
from toolpaths.making.operations.limited.passes import Limit, clear_limited
from toolpaths.making.operations.operation import (
    AIR,
    CLEAR,
    Operation,
    Site,
    check_side_cutting,
    check_wall,
    checked_cutter,
    checked_finish,
    checked_stepover,
    levels,
)
from toolpaths.making.operations.ring import Direction
from toolpaths.making.operations.tight import left_note
from toolpaths.making.operations.walls import check_open, finish_walls
from toolpaths.shapes import door, offset


@dataclass(frozen=True, kw_only=True, repr=False)
class Pocket(Operation):
    """An area cleared; made by pocket()."""

    shape: BaseGeometry
    cutters: tuple[Cutter, ...]
    islands: BaseGeometry = field(default_factory=GeometryCollection)
    cleared: BaseGeometry = field(default_factory=GeometryCollection)
    direction: Direction = "conventional"
    entry: AreaEntry = "auto"
    pattern: Pattern = "auto"
    stepover: float = 0.4
    engagement_deg: float | None = None
    finish: float = 0.0
    finish_floor: float = 0.0

    def _check(self) -> None:
        for name, given in (("islands", self.islands), ("cleared", self.cleared)):
            if not given.is_empty:
                door.area(name, given)
        door.area("shape", self.shape)
        tools = tuple(checked_cutter(cutter) for cutter in self.cutters)
        if not tools or any(fine.diameter >= coarse.diameter for coarse, fine in zip(tools, tools[1:])):
            sizes = ", ".join(str(cutter) for cutter in tools) or "none"
            raise InputError(
                f"cutters must be listed from coarse to fine, each smaller than the one before, not {sizes}."
            )
        for cutter in tools:
            check_side_cutting(cutter)
            if cutter.profile.flat_radius == 0:
                raise InputError(f"{cutter} has no flat at its tip and leaves ridges on a floor; take a flat one.")
            entries.checked_entry(self.entry, cutter, entries.AREA_ENTRIES)
        rounds.checked_direction(self.direction)
        one_of("pattern", self.pattern, PATTERNS)
        checked_stepover(self.stepover, 0.5)
        checked_finish(self.finish, tools[-1])
        deepest = tools[-1].running.step_down
        if not_negative("finish_floor", self.finish_floor) > deepest:
            raise InputError(
                f"finish_floor={self.finish_floor:g} is more than a pass of {tools[-1]}; leave {deepest:g} or less."
            )
        _check_limit(self.engagement_deg, self.entry, self.pattern)

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return self.cutters

    @property
    def _usual_name(self) -> str:
        return "pocket"

    @cached_property
    def _area(self) -> BaseGeometry:
        return door.area("shape", self.shape)

    @cached_property
    def _room(self) -> BaseGeometry:
        """What is to be cleared."""
        return (
            self._area if self.islands.is_empty else shapely.difference(self._area, door.area("islands", self.islands))
        )

    @cached_property
    def _cleared(self) -> BaseGeometry:
        return self.cleared if self.cleared.is_empty else door.area("cleared", self.cleared)

    @property
    def _limited(self) -> bool:
        """Whether the engagement is limited at all; 180 degrees, a slot, is no limit."""
        return self.engagement_deg is not None and self.engagement_deg < 180.0

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        fixture, tolerance, top = site.fixture, site.tolerance, self.top
        finish, finish_floor, direction, entry = self.finish, self.finish_floor, self.direction, self.entry
        finest, limited = cutter is self.cutters[-1], self._limited
        floor = self.floor(fixture)
        check_wall(cutter, top, floor)
        full = fixture.place(self._room)
        if full.is_empty:
            raise DoesNotFitError("The islands cover the whole pocket.", rounds.placed_point(self._area))
        if floor + finish_floor >= top:
            raise DoesNotFitError(
                f"finish_floor={finish_floor:g} leaves nothing to the passes of a pocket {top - floor:g} deep; "
                f"leave less than {top - floor:g}."
            )
        room = offset.wall(full, -finish, tolerance)
        centres = offset.reach(room, cutter.radius, tolerance)
        if limited and not finest:
            centres = roomy(centres, cutter.radius, tolerance)
        _check_room(full, room, centres, cutter, finish=finish, finest=finest)
        open_area = fixture.place(self._cleared)
        builder = PathBuilder(cutter, fixture.safe_z)
        lift_s, grain = _lift_s(cutter, fixture, floor), fixture.grain_deg or 0.0
        through = floor <= -fixture.board.thickness
        manner = Manner(cutter, fixture.machine, self.pattern, entry, grain, lift_s, through)
        step, climb = self.stepover * 2 * cutter.profile.flat_radius, direction == "climb"
        limit = Limit(self.engagement_deg or 180.0, step, climb, entry, tolerance)
        above = top
        reached = offset.wall(centres, cutter.radius, tolerance)
        passes = levels(top, floor + finish_floor, cutter.running.step_down)
        passes += [floor] if finish_floor and finest else []
        for layer in _layers(passes, reached, open_area, site):
            if limited:
                clear_limited(builder, centres, layer.wood, layer.passes, top, above, limit)
            else:
                regions = _regions(layer, centres, cutter, step, climb, tolerance)
                courses = [strung for region in regions for strung in plan(region, manner)]
                descend(builder, courses, top, above, layer.passes, entry)
            above = layer.passes[-1]
        if not builder.moves and not (finest and finish):
            return builder.path([f"{cutter} finds no wood left to take and is not used."])
        if not finest:
            return builder.path()
        ends = centres
        if finish:
            ends = offset.reach(full, cutter.radius, tolerance)
            gone, deep = shapely.union(layer.air, reached), levels(top, floor, cutter.body.cutting_length)
            if limited:
                check_open(ends, gone, cutter, tolerance)
                left = shapely.difference(offset.wall(ends, cutter.radius, tolerance), gone)
                clear_limited(builder, ends, clearing.standing(left, tolerance), deep, top, top, limit)
            else:
                finish_walls(builder, ends, gone, direction, top, deep, tolerance)
        return builder.path(left_note(full, ends, cutter, tolerance))

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        finest = self.cutters[-1]
        foot = finest.radius - finest.profile.flat_radius
        return (Recess(area=self._room, depth=self.depth, corners=finest.radius, foot=foot, name=self.title),)


def pocket(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutters: Cutter | Sequence[Cutter],
    *,
    depth: Depth,
    from_depth: float = 0.0,
    islands: BaseGeometry | Sequence[BaseGeometry] = (),
    cleared: BaseGeometry | Sequence[BaseGeometry] = (),
    direction: Direction = "conventional",
    entry: AreaEntry = "auto",
    pattern: Pattern = "auto",
    stepover: float = 0.4,
    engagement_deg: float | None = None,
    finish: float = 0.0,
    finish_floor: float = 0.0,
    name: str = "",
) -> Pocket:
    """Clear the area inside a shape, to `depth` or through().

    cutters : one, or several from coarse to fine; each finer one goes only where wood is left
    islands : areas left standing
    cleared : areas without wood to begin with, for instance openings cut from the other side
    stepover : share of the diameter (of the tip's flat) from loop to loop, up to 0.5, beyond which islands could stay
    pattern : "inside out" or "outside in", loops stepping over from the wall; "spiral", where they lie one in one;
        "parallel", passes along the grain; or "auto", whichever is done soonest; right through never one that
        cuts the walls first, since a core would come loose
    engagement_deg : how much of the cutter's rim may be in wood at most, from 10, for hard wood and weak machines; all
        cuts keep to it but the way in. A straight front of half the diameter takes 90, a slot 180, which is no limit
    finish : mm left at the walls by all, and taken by the finest in one last round at full depth, or as
        deep at once as its edges are long
    finish_floor : mm left on the floor by all, and taken by the finest in a last pass over all of it
    direction : as for contour
    entry : "auto", "helix", "ramp", "zigzag" or "plunge"; auto goes down through air or a helix first, else as round a
        contour
    depth, from_depth, name : as for every operation

    >>> from toolpaths import Cutter, flat, pocket, rectangle
    >>> T1, T2 = (Cutter(n, flat(d), feed_mm_min=1500, spindle_rpm=18000) for n, d in ((1, 6), (2, 3)))
    >>> pocket(rectangle(80, 60, (100, 70)), [T1, T2], depth=7)
    <pocket: T1 flat 6, T2 flat 3, 0 to 7 deep>

    Raises InputError for numbers, words and cutters that cannot be used together, and in the setup DoesNotFitError
    where a part of the area cannot be entered, a cutter fits nowhere, or meets too much.
    """
    return Pocket(
        shape=door.one_geometry("shape", shape), cutters=(cutters,) if isinstance(cutters, Cutter) else tuple(cutters),
        depth=depth, from_depth=from_depth, islands=door.one_geometry("islands", islands),
        cleared=door.one_geometry("cleared", cleared), direction=direction, entry=entry, pattern=pattern,
        stepover=stepover, engagement_deg=engagement_deg, finish=finish, finish_floor=finish_floor, name=name,
    )  # fmt: skip


def _widest(room: BaseGeometry) -> tuple[float, Point]:
    """Diameter of the largest round cutter that fits anywhere in a room, mm, and where."""
    circles = [shapely.maximum_inscribed_circle(part) for part in clearing.parts(room)]
    widest = max(circles, key=lambda circle: circle.length)
    x, y = widest.coords[0]
    return 2 * float(widest.length), (x, y)


def _check_limit(engagement_deg: float | None, entry: str, pattern: str) -> None:
    if engagement_deg is None or between("engagement_deg", engagement_deg, 10.0, 180.0) == 180.0:
        return
    if entry not in ("auto", "helix"):
        raise InputError(f"entry={entry!r} cuts a slot on its way; with engagement_deg take entry='auto' or 'helix'.")
    if pattern != "auto":
        raise InputError(f"pattern={pattern!r} keeps to no engagement; with engagement_deg take pattern='auto'.")


class _Layer(NamedTuple):
    """Passes at several heights over the same wood: `wood` to take, `air` where there is none above them, and `sure`
    where of that earlier toolpaths took it."""

    passes: list[float]
    wood: BaseGeometry
    air: BaseGeometry
    sure: BaseGeometry


def _layers(passes: list[float], reached: BaseGeometry, open_area: BaseGeometry, site: Site) -> list[_Layer]:
    """The passes in groups that find the same wood, from the top down; `reached` is all that the cutter can take.

    What is open to a depth is open above it as well. So where the first and the last of some passes find the same
    wood, those between do too, and the passes are halved only where they do not.
    """
    ends = {}
    for z in dict.fromkeys((passes[0], passes[-1])):
        # Of an opening from the other side the core may still lie there.
        sure = site.removed.cut_down_to(z, reached)
        air = shapely.union_all([open_area, site.removed.through, sure])
        ends[z] = _Layer(passes, clearing.standing(shapely.difference(reached, air), site.tolerance), air, sure)
    first, last = ends[passes[0]], ends[passes[-1]]
    if first is last or _alike(first, last, site.tolerance):
        return [last]
    half = (len(passes) + 1) // 2
    above, below = (_layers(some, reached, open_area, site) for some in (passes[:half], passes[half:]))
    if _alike(above[-1], below[0], site.tolerance):
        return [*above[:-1], below[0]._replace(passes=above[-1].passes + below[0].passes), *below[1:]]
    return [*above, *below]


def _alike(one: _Layer, other: _Layer, tolerance: float) -> bool:
    """Whether two layers find the same wood."""
    return bool(clearing.standing(shapely.symmetric_difference(one.wood, other.wood), tolerance).is_empty)


def _check_room(
    full: BaseGeometry, room: BaseGeometry, centres: BaseGeometry, cutter: Cutter, *, finish: float, finest: bool
) -> None:
    """Every piece of the room must be entered by the finest cutter; a coarser one must fit somewhere."""
    if centres.is_empty:
        widest, (x, y) = _widest(full)
        less = f"take finish={max(widest - cutter.diameter, 0.0) / 2:.2f}, or " if finish else "leave it out or take "
        raise DoesNotFitError(
            f"{cutter} fits nowhere in the pocket at ({x:.1f}, {y:.1f}); {less}"
            f"a smaller one, of {int((widest - 2 * finish) * 10) / 10:g} mm or less.",
            (x, y),
        )
    if finest:
        for part in clearing.parts(room):
            if not part.intersects(centres):
                x, y = rounds.placed_point(part)
                raise DoesNotFitError(
                    f"{cutter} does not fit into the pocket at ({x:.1f}, {y:.1f}); add a finer one.", (x, y)
                )


def _regions(
    layer: _Layer, centres: BaseGeometry, cutter: Cutter, step: float, climb: bool, tolerance: float
) -> list[Region]:
    """The rooms of a layer with wood in reach, each a piece of the centres."""
    air, sure = (shapely.buffer(area, -cutter.radius - AIR) for area in (layer.air, layer.sure))
    if cutter.centre_cutting:
        # A hole or slot of its own width is a way down as well, though there is no room to move over in it.
        snug = clearing.parts(shapely.buffer(layer.air, 2 * tolerance - cutter.radius))
        air = shapely.union_all([air, *(part for part in snug if not part.intersects(air))])
    found = []
    for piece in clearing.parts(centres):
        wood = shapely.intersection(layer.wood, offset.zone(piece, cutter.radius + tolerance, tolerance))
        if not clearing.standing(wood, tolerance).is_empty:
            flat = cutter.profile.flat_radius
            free, known = shapely.intersection(air, piece), shapely.intersection(sure, piece)
            found.append(Region(piece, wood, free, known, cutter.radius, flat, step, climb, tolerance))
    return found


def _lift_s(cutter: Cutter, fixture: Fixture, floor: float) -> float:
    """Seconds of a way over the top and into the wood again, about."""
    rapid = fixture.machine.rapid_mm_min / 60
    helix = cutter.running.step_down / fall(cutter)
    up_and_down = (2 * fixture.safe_z - floor) / rapid
    return up_and_down + 60 * ((CLEAR - floor) / cutter.running.plunge_mm_min + helix / cutter.feed_mm_min)
