"""Pocket: clear an area to a depth with one cutter or several, each finer one only where wood is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import Any

import shapely
from shapely import GeometryCollection
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, distance, finite, let_in, one_of, optional, sequence
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.clearing.course_choice import PATTERNS, CourseTerms, Pattern
from toolpaths.making.operations.clearing.layer_clearing import ClearingByCourses, LayerClearing
from toolpaths.making.operations.clearing.layers import layers
from toolpaths.making.operations.clearing.loops import polygons_of, standing
from toolpaths.making.operations.entries import AreaEntry
from toolpaths.making.operations.operation import (
    CLEAR,
    OnArea,
    Site,
    check_finish,
    check_not_hollow,
    check_side_cutting,
    check_stepover,
    check_wall,
    checked_cutter,
    levels,
)
from toolpaths.making.operations.out_of_reach import left_notes
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import door, offset
from toolpaths.shapes.drawn_area import DrawnArea, drawn_area
from toolpaths.shapes.placement import Placement


@dataclass(frozen=True, kw_only=True, repr=False)
class Pocket(OnArea):
    """An area cleared; made by pocket()."""

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
        super()._check()
        let_in(
            self, cutters=checked_cutters, islands=door.one_geometry, cleared=door.one_geometry,
            direction=partial(one_of, choices=rings.DIRECTIONS), pattern=partial(one_of, choices=PATTERNS),
            stepover=finite, engagement_deg=partial(optional, door=partial(between, low=10.0, high=180.0)),
            finish=distance, finish_floor=distance,
        )  # fmt: skip
        for name, given in (("islands", self.islands), ("cleared", self.cleared)):
            if not given.is_empty:
                door.area(name, given)
        tools = self.cutters
        if not tools or any(fine.diameter >= coarse.diameter for coarse, fine in zip(tools, tools[1:])):
            sizes = ", ".join(str(cutter) for cutter in tools) or "none"
            raise InputError(
                f"cutters must be listed from coarse to fine, each smaller than the one before, not {sizes}."
            )
        for cutter in tools:
            check_side_cutting(cutter)
            check_not_hollow(cutter)
            if cutter.profile.flat_radius == 0:
                raise InputError(f"{cutter} has no flat at its tip and leaves ridges on a floor; take a flat one.")
            entries.check_entry(self.entry, cutter, entries.AREA_ENTRIES)
        check_stepover(self.stepover, 0.5)
        check_finish(self.finish, tools[-1])
        deepest = tools[-1].running.step_down
        if self.finish_floor > deepest:
            raise InputError(
                f"finish_floor={self.finish_floor:g} is more than a pass of {tools[-1]}; leave {deepest:g} or less."
            )
        _check_limit(self.engagement_deg, self.entry, self.pattern)

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return self.cutters

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        islands, cleared = place.shape(self.islands), place.shape(self.cleared)
        return super()._drawn_at(place) | {"islands": islands, "cleared": cleared}

    @property
    def _usual_name(self) -> str:
        return "pocket"

    @cached_property
    def _wanted(self) -> BaseGeometry:
        """What is to be cleared."""
        if self.islands.is_empty:
            return self._area
        return shapely.difference(self._area, door.area("islands", self.islands))

    @cached_property
    def _cleared(self) -> BaseGeometry:
        return self.cleared if self.cleared.is_empty else door.area("cleared", self.cleared)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        top, floor, last = self.top, self.floor(site.fixture), cutter == self.cutters[-1]
        self._check_depths(cutter, floor)
        drawn = self._drawn_on(site, cutter)
        method = self._clearing(cutter, site, floor, drawn)
        centres = self._centres(drawn, cutter, method)
        reached = offset.wall(centres, cutter.radius, site.tolerance)
        if not (last and self.finish) and self._was_all_taken(cutter, reached, site):
            return Toolpath(cutter, (), (_idle_note(cutter),))
        found = layers(top, self._passes(cutter, floor), reached, site.fixture.place(self._cleared), site)
        builder = PathBuilder(cutter, site.fixture.safe_z)
        for layer in found:
            method.clear(builder, centres, layer)
        if not builder.moves and not (last and self.finish):
            return builder.path([_idle_note(cutter)])
        if not last:
            return builder.path()
        if self.finish:
            centres = offset.reach(drawn.area, cutter.radius, site.tolerance, slim=False)
            cleared = shapely.union(found[-1].air, reached)
            method.finish(builder, centres, cleared, top, levels(top, floor, cutter.body.cutting_length))
        return builder.path(left_notes(drawn.area, centres, "inside", cutter, site.tolerance))

    def _was_all_taken(self, cutter: Cutter, reached: BaseGeometry, site: Site) -> bool:
        """Whether a coarser cutter, which took all that it reaches, left nothing of what this one does: soon told
        without a look at what it swept."""
        number, deepest = self.cutters.index(cutter), self.floor(site.fixture) + self.finish_floor
        if not number or (self.finish_floor and number == len(self.cutters) - 1):
            return False
        within = offset.zone(reached, -site.tolerance, site.tolerance)
        swept = site.removed.near(within, deepest)
        for coarser in self.cutters[:number]:
            if any(each.path.cutter == coarser and shapely.covers(each.bounds, within) for each in swept):
                drawn = self._drawn_on(site, coarser)
                centres = self._centres(drawn, coarser, self._clearing(coarser, site, deepest, drawn))
                taken = offset.zone(centres, coarser.profile.flat_radius, site.tolerance)
                if standing(shapely.difference(reached, taken), site.tolerance).is_empty:
                    return True
        return False

    def _check_depths(self, cutter: Cutter, floor: float) -> None:
        check_wall(cutter, self.top, floor)
        if floor + self.finish_floor >= self.top:
            raise DoesNotFitError(
                f"finish_floor={self.finish_floor:g} leaves nothing to the passes of a pocket {self.top - floor:g} "
                f"deep; leave less than {self.top - floor:g}."
            )

    def _drawn_on(self, site: Site, cutter: Cutter) -> DrawnArea:
        """What is to be cleared, as the board lies."""
        area = site.fixture.place(self._wanted)
        if area.is_empty:
            raise DoesNotFitError("The islands cover the whole pocket.", rings.placed_point(self._area))
        return drawn_area(area, -cutter.radius - self.finish, site.tolerance)

    def _passes(self, cutter: Cutter, floor: float) -> list[float]:
        """z of each pass; the finest cutter's last one takes what all leave on the floor."""
        passes = levels(self.top, floor + self.finish_floor, cutter.running.step_down)
        return [*passes, floor] if self.finish_floor and cutter == self.cutters[-1] else passes

    def _clearing(self, cutter: Cutter, site: Site, floor: float, drawn: DrawnArea) -> LayerClearing:
        """How this cutter clears; an engagement of 180 degrees, a slot, is no limit."""
        fixture, step = site.fixture, self.stepover * 2 * cutter.profile.flat_radius
        if self.engagement_deg is not None and self.engagement_deg < 180.0:
            # Few pockets need it.
            from toolpaths.making.operations.clearing.limited.limited_clearing import LimitedClearing

            climb = self.direction == "climb"
            return LimitedClearing(cutter, self.engagement_deg, step, climb, self.entry, site.tolerance)
        terms = CourseTerms(
            cutter=cutter,
            machine=fixture.machine,
            pattern=self.pattern,
            entry=self.entry,
            grain_deg=fixture.grain_deg or 0.0,
            lift_s=_lift_s(cutter, fixture, floor),
            through=floor <= fixture.underside_z,
        )
        return ClearingByCourses(terms, step, self.direction, drawn)

    def _centres(self, drawn: DrawnArea, cutter: Cutter, method: LayerClearing) -> BaseGeometry:
        """Where the axis may be. Every part of the area must be entered by the finest cutter; a coarser one must fit
        somewhere."""
        tolerance, finest = drawn.tolerance, cutter == self.cutters[-1]
        within_finish = offset.wall(drawn.area, -self.finish, tolerance, slim=False)
        centres = offset.reach(within_finish, cutter.radius, tolerance, slim=False)
        if not finest:
            centres = method.before_finer(centres)
        if centres.is_empty:
            raise _fits_nowhere(drawn.area, cutter, self.finish)
        for part in polygons_of(within_finish) if finest else ():
            if not part.intersects(centres):
                x, y = rings.placed_point(part)
                raise DoesNotFitError(
                    f"{cutter} does not fit into the pocket at ({x:.1f}, {y:.1f}); add a finer one.", (x, y)
                )
        return centres

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        finest = self.cutters[-1]
        foot = finest.radius - finest.profile.flat_radius
        return (Recess(area=self._wanted, depth=self.depth, corners=finest.radius, foot=foot, name=self.title),)


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
        "parallel", passes along the grain, then once along the walls; or "auto", whichever is done soonest, one that
        cuts the walls first only where no other finds a way in, and right through never: a core would come loose
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
        shape=door.one_geometry("shape", shape), cutters=checked_cutters("cutters", cutters),
        depth=depth, from_depth=from_depth, islands=door.one_geometry("islands", islands),
        cleared=door.one_geometry("cleared", cleared), direction=direction, entry=entry, pattern=pattern,
        stepover=stepover, engagement_deg=engagement_deg, finish=finish, finish_floor=finish_floor, name=name,
    )  # fmt: skip


def checked_cutters(name: str, cutters: Any) -> tuple[Cutter, ...]:
    """One cutter, or several in the order of their turns."""
    several = [cutters] if isinstance(cutters, Cutter) else sequence(name, cutters, "a Cutter, or a list of them")
    return tuple(checked_cutter(name, cutter) for cutter in several)


def _idle_note(cutter: Cutter) -> str:
    return f"{cutter} finds no wood left to take and is not used."


def _widest(room: BaseGeometry) -> tuple[float, Point]:
    """Diameter of the largest round cutter that fits anywhere in a room, mm, and where."""
    circles = [shapely.maximum_inscribed_circle(part) for part in polygons_of(room)]
    widest = max(circles, key=lambda circle: circle.length)
    x, y = widest.coords[0]
    return 2 * float(widest.length), (x, y)


def _check_limit(engagement_deg: float | None, entry: AreaEntry, pattern: Pattern) -> None:
    if engagement_deg is None or engagement_deg == 180.0:
        return
    if entry not in ("auto", "helix"):
        raise InputError(f"entry={entry!r} cuts a slot on its way; with engagement_deg take entry='auto' or 'helix'.")
    if pattern != "auto":
        raise InputError(f"pattern={pattern!r} keeps to no engagement; with engagement_deg take pattern='auto'.")


def _fits_nowhere(area: BaseGeometry, cutter: Cutter, finish: float) -> DoesNotFitError:
    widest, (x, y) = _widest(area)
    less = f"take finish={max(widest - cutter.diameter, 0.0) / 2:.2f}, or " if finish else "leave it out or take "
    return DoesNotFitError(
        f"{cutter} fits nowhere in the pocket at ({x:.1f}, {y:.1f}); {less}"
        f"a smaller one, of {int((widest - 2 * finish) * 10) / 10:g} mm or less.",
        (x, y),
    )


def _lift_s(cutter: Cutter, fixture: Fixture, floor: float) -> float:
    """Seconds of a crossing over the top, and down again where the wood is cleared, about."""
    rapid = fixture.machine.rapid_mm_min / 60
    return (2 * fixture.safe_z - floor) / rapid + 60 * (CLEAR - floor) / cutter.running.plunge_mm_min
